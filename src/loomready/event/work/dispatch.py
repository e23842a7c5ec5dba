"""A plan made slot by slot: whoever is at a job goes on, the warp with the most left to do comes first.

Plans from here are quick to make; the search begins with them, and a simulated run is one of them.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from loomready.event.work.problem import PAIR, Plan, Work, Worth, only, worth

Units = Sequence[Sequence[int]]
"""What is to be done of each job of each warp, in units."""


def planned_units(work: Work) -> list[list[int]]:
    return [[job.units for job in chain.jobs] for chain in work.chains]


class _Run:
    """One pass over the slots."""

    def __init__(
        self,
        work: Work,
        units: Units,
        weights: Sequence[float],
        told: Plan,
        there: Callable[[int, int], bool],
        limits: bool,
    ) -> None:
        self.work, self.weights, self.told, self.there = work, weights, told, there
        self.left = [list(each) for each in units]
        self.tail = [sum(each) for each in units]
        self.plan: dict[tuple[int, int, int], tuple[int, ...]] = {}
        self.at: dict[tuple[int, int], set[int]] = {}
        for (chain, job, _slot), people in told.items():
            self.at.setdefault((chain, job), set()).update(people)
        self.named = {key: set(people) for key, people in self.at.items()}
        self.begun: set[tuple[int, int, int]] = set()
        self.caps = [
            (each.most if limits and each.most is not None else len(work.times)) for each in work.workers
        ]
        self.used = [0] * len(work.workers)

    def job_of(self, chain: int) -> int | None:
        """The job that is next; None: the warp is ready."""
        return next((job for job, left in enumerate(self.left[chain]) if left > 0), None)

    def slot(self, slot: int) -> None:
        work = self.work
        free = {
            number
            for number, each in enumerate(work.workers)
            if slot in each.slots and self.used[number] < self.caps[number] and self.there(number, slot)
        }
        if not free:
            return
        waiting = [
            (chain, job)
            for chain in range(len(work.chains))
            if self.weights[chain] > 0 and (job := self.job_of(chain)) is not None
        ]
        waiting.sort(
            key=lambda each: (
                (*each, slot) not in self.told,
                -self.weights[each[0]] * self.tail[each[0]],
                each[0],
            )
        )
        boards = work.boards - sum(self._holds_board(chain, job) for chain, job in waiting)
        crews: dict[tuple[int, int], list[int]] = {}
        for chain, job in waiting:
            skill = work.chains[chain].jobs[job].skill
            if skill == "winding" and not self._holds_board(chain, job):
                if boards <= 0:
                    continue
                boards -= 1
            crew = self._crew(chain, job, slot, free, waiting)
            if crew:
                crews[chain, job] = crew
                free -= set(crew)
            elif skill == "winding" and not self._holds_board(chain, job):
                boards += 1
        for (chain, job), crew in crews.items():  # hands that are left help at a threading
            each = work.chains[chain].jobs[job]
            if each.skill == "threading" and self.left[chain][job] > each.done_by(1):
                more = self._best(
                    chain, job, slot, {one for one in free if each.skill in work.workers[one].can}
                )
                if more is not None:
                    crew.append(more)
                    free.discard(more)
        for (chain, job), crew in crews.items():
            self.plan[chain, job, slot] = tuple(sorted(crew))
            done = min(self.left[chain][job], work.chains[chain].jobs[job].done_by(len(crew)))
            self.left[chain][job] -= done
            self.tail[chain] -= done
            for person in crew:
                self.used[person] += 1
                self.begun.add((chain, job, person))

    def _holds_board(self, chain: int, job: int) -> bool:
        if self.work.chains[chain].jobs[job].skill != "winding":
            return False
        return any((chain, job, person) in self.begun for person in range(len(self.work.workers)))

    def _crew(
        self, chain: int, job: int, slot: int, free: set[int], waiting: list[tuple[int, int]]
    ) -> list[int] | None:
        skill = self.work.chains[chain].jobs[job].skill
        workers = self.work.workers
        can = {one for one in free if skill in workers[one].can}
        first = self._best(chain, job, slot, can, waiting)
        if first is None or skill != PAIR:
            return None if first is None else [first]
        beside = {one for one in free if workers[one].may(skill)} - {first}
        learners = {one for one in beside if skill not in workers[one].can}
        second = self._best(chain, job, slot, beside, waiting, learners)
        return None if second is None else [first, second]

    def _best(
        self,
        chain: int,
        job: int,
        slot: int,
        among: set[int],
        waiting: Sequence[tuple[int, int]] = (),
        rather: set[int] | frozenset[int] = frozenset(),
    ) -> int | None:
        """Who is at it, who was, whom the plan names, who can do least else, who has the smallest share."""
        if not among:
            return None
        before = self.plan.get((chain, job, slot - 1), ())
        told = self.told.get((chain, job, slot), ())
        named = self.named.get((chain, job), set())

        def key(one: int) -> tuple[bool, bool, bool, bool, bool, int, float, int]:
            worker = self.work.workers[one]
            other = sum(
                worker.may(self.work.chains[of].jobs[its].skill)
                for of, its in waiting
                if (of, its) != (chain, job)
            )
            return (
                one not in before,
                (chain, job, one) not in self.begun,
                one not in told,
                one not in named,
                one not in rather,
                other,
                self.used[one] / (1 + min(self.caps[one], len(worker.slots))),
                one,
            )

        return min(among, key=key)


def _everybody(person: int, slot: int) -> bool:
    return True


def dispatch(
    work: Work,
    weights: Sequence[float],
    units: Units | None = None,
    told: Plan | None = None,
    there: Callable[[int, int], bool] = _everybody,
    fixed: Plan | None = None,
    limits: bool = True,
) -> dict[tuple[int, int, int], tuple[int, ...]]:
    """A plan. ``weights``: of each warp, greater comes first, 0 is left out; ``told``: people of an earlier
    plan, who are taken first; ``there``: whether a person is there in a slot; ``fixed``: what stands as it
    is, in slots before all others.
    """
    run = _Run(work, planned_units(work) if units is None else units, weights, told or {}, there, limits)
    for (chain, job, _slot), people in sorted((fixed or {}).items(), key=lambda item: item[0][2]):
        done = min(run.left[chain][job], work.chains[chain].jobs[job].done_by(len(people)))
        run.left[chain][job] -= done
        run.tail[chain] -= done
        for person in people:
            run.used[person] += 1
            run.begun.add((chain, job, person))
    run.plan.update(fixed or {})
    for slot in work.times:
        run.slot(slot)
        if not any(run.tail[chain] for chain, weight in enumerate(weights) if weight > 0):
            break
    return run.plan


def first_plan(
    work: Work, lists: int, seed: int, fixed: Plan | None = None, told: Plan | None = None
) -> tuple[dict[tuple[int, int, int], tuple[int, ...]], Worth]:
    """The best of so many plans, from weights that change a little at a time.

    A warp that would not be ready is left out; those worth least are tried without first.
    """
    chance = random.Random(seed)
    count = len(work.chains)

    def made(weights: Sequence[float]) -> tuple[dict[tuple[int, int, int], tuple[int, ...]], Worth]:
        plan = dispatch(work, weights, fixed=fixed, told=told)
        found = worth(work, plan)
        if len(found.ready) < count:
            kept = only(plan, found.ready) | dict(fixed or {})
            found, plan = worth(work, kept), kept
        return plan, found

    weights = [1.0] * count
    best = made(weights)
    for _ in range(lists):
        tried = list(weights)
        for _change in range(chance.randint(1, 2)):
            number = chance.randrange(count) if count else 0
            if not count:
                break
            out = len(best[1].ready) < count and chance.random() < 0.4
            tried[number] = (0.0 if tried[number] else 1.0) if out else 2 ** chance.uniform(-2, 2)
        found = made(tried)
        if found[1].rank >= best[1].rank:
            best, weights = found, tried
    return best

"""A plan made slot by slot: whoever is at a job goes on, the warp with the most left to do comes first.

Plans from here are quick to make; the search begins with them, and a simulated run is one of them.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from loomready.event.watch import UNWATCHED, Watch
from loomready.event.work.problem import PAIR, Plan, Work, Worth, only, sessions_of, worth

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
        replay: bool,
    ) -> None:
        self.replay = replay
        self.told_until = dict.fromkeys(range(len(work.chains)), 0)
        for chain, _job, slot in told:
            self.told_until[chain] = max(self.told_until[chain], slot + 1)
        self.behind: set[int] = set()  # warps of which something could not be done as told
        self.work, self.weights, self.told, self.there = work, weights, told, there
        self.left = [list(each) for each in units]
        self.tail = [sum(each) for each in units]
        self.plan: dict[tuple[int, int, int], tuple[int, ...]] = {}
        self.at: dict[tuple[int, int], set[int]] = {}
        for (chain, job, _slot), people in told.items():
            self.at.setdefault((chain, job), set()).update(people)
        self.told_at: dict[int, list[tuple[int, int, tuple[int, ...]]]] = {}
        for (chain, job, slot), people in told.items():
            self.told_at.setdefault(slot, []).append((chain, job, people))
        self.named = {key: set(people) for key, people in self.at.items()}
        self.begun: set[tuple[int, int, int]] = set()
        self.caps = [len(work.times) if each.most is None else each.most for each in work.workers]
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
            if self.weights[chain] > 0
            and (job := self.job_of(chain)) is not None
            and (not self.replay or self._may_work(chain, job, slot))
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
            as_told = self.replay and len(self.told.get((chain, job, slot), ())) == 1
            if each.skill == "threading" and self.left[chain][job] > each.done_by(1) and not as_told:
                more = self._best(
                    chain, job, slot, {one for one in free if each.skill in work.workers[one].can}
                )
                if more is not None:
                    crew.append(more)
                    free.discard(more)
        if self.replay:
            for chain, job, people in self.told_at.get(slot, ()):
                if set(crews.get((chain, job), ())) != set(people):
                    self.behind.add(chain)
        for (chain, job), crew in crews.items():
            self.plan[chain, job, slot] = tuple(sorted(crew))
            done = min(self.left[chain][job], work.chains[chain].jobs[job].done_by(len(crew)))
            self.left[chain][job] -= done
            self.tail[chain] -= done
            for person in crew:
                self.used[person] += 1
                self.begun.add((chain, job, person))

    def _may_work(self, chain: int, job: int, slot: int) -> bool:
        """Whether a warp is worked on now as it was told, or has to catch up."""
        late = chain in self.behind or slot >= self.told_until[chain]
        return late or (chain, job, slot) in self.told

    def _holds_board(self, chain: int, job: int) -> bool:
        if self.work.chains[chain].jobs[job].skill != "winding":
            return False
        if self.work.chains[chain].on_board:
            return True
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
        """Whom the plan names now, who is at it, who was, who is named for it, who can do least else."""
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
                one not in told,
                one not in before,
                (chain, job, one) not in self.begun,
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
    replay: bool = False,
) -> dict[tuple[int, int, int], tuple[int, ...]]:
    """A plan. ``weights``: of each warp, greater comes first, 0 is left out; ``told``: people of an earlier
    plan, who are taken first; ``there``: whether a person is there in a slot; ``replay``: the earlier plan is
    done as it is, and only what falls behind is done at other times.
    """
    run = _Run(work, planned_units(work) if units is None else units, weights, told or {}, there, replay)
    for slot in work.times:
        run.slot(slot)
        if not any(run.tail[chain] for chain, weight in enumerate(weights) if weight > 0):
            break
    return run.plan


MOST_STEPS = 1_500_000  # of warps and slots, in all plans of a search: about two seconds

Rank = Callable[[Plan, Worth], tuple[int, ...]]
"""What makes a plan better than another: greater is better."""


def first_plan(
    work: Work,
    lists: int,
    seed: int,
    told: Plan | None = None,
    rank: Rank | None = None,
    watch: Watch = UNWATCHED,
) -> tuple[dict[tuple[int, int, int], tuple[int, ...]], Worth]:
    """The best of so many plans, from weights that change a little at a time.

    A warp that would not be ready is left out; those worth least are tried without first. With an earlier
    plan it is replayed first, and in every other one nobody comes who was not told to.
    """
    chance = random.Random(seed)
    count = len(work.chains)
    lists = min(lists, MOST_STEPS // (1 + count * len(work.times)))
    rank = rank or (lambda plan, found: found.rank)
    known = sessions_of(work, told or {})

    def as_told(person: int, slot: int) -> bool:
        return (person, work.session_of(person, slot)) in known

    def made(
        weights: Sequence[float], there: Callable[[int, int], bool], replay: bool = False
    ) -> tuple[dict[tuple[int, int, int], tuple[int, ...]], Worth]:
        plan = dispatch(work, weights, told=told, there=there, replay=replay)
        found = worth(work, plan)
        if len(found.ready) < count:
            kept = only(plan, found.ready)
            found, plan = worth(work, kept), kept
        return plan, found

    weights = [1.0] * count
    best = made(weights, _everybody, told is not None)
    for number in range(lists if count else 0):
        if watch.stop():
            break
        watch.on_progress("work", number / lists)
        tried = list(weights)
        for _change in range(chance.randint(1, 2)):
            chain = chance.randrange(count)
            out = len(best[1].ready) < count and chance.random() < 0.4
            tried[chain] = (0.0 if tried[chain] else 1.0) if out else 2 ** chance.uniform(-2, 2)
        known_only = told is not None and number % 2 == 0
        found = made(tried, as_told if known_only else _everybody, told is not None and number % 4 < 2)
        if rank(*found) >= rank(*best):
            best, weights = found, tried
    return best

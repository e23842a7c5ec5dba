"""How good a plan can be at most, and which hours are short: cheap bounds without a search.

Each warp on its own gives the earliest slot at which it can be ready. All together, the hours of work that
need some set of skills cannot exceed the hours of those who have one of them (Hall's condition).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from itertools import combinations

from loomready.event.work.problem import ONE, PAIR, Job, Work
from loomready.model.event import Skill


def alone(work: Work, chain: int, until: int | None = None) -> list[int | None]:
    """The earliest slot at whose start each job of a warp can be done, were it the only one.

    None: not before the last slot. Limits of people are not looked at.
    """
    at = work.first
    found: list[int | None] = []
    for job in work.chains[chain].jobs:
        done: int | None = at
        left = job.units
        for slot in work.times:
            if left <= 0:
                break
            if slot < at:
                continue
            people = _crew(work, job, slot)
            if people:
                left -= job.done_by(people)
                done = slot + 1
        if left > 0:
            return [*found, *(None for _ in work.chains[chain].jobs[len(found) :])]
        assert done is not None
        at = done
        found.append(done)
    return found


def _crew(work: Work, job: Job, slot: int) -> int:
    """The most people who could be at a job in a slot; 0: too few."""
    there = [each for each in work.workers if slot in each.slots]
    can = sum(job.skill in each.can for each in there)
    if job.skill == PAIR:
        return 2 if can and sum(each.may(job.skill) for each in there) >= 2 else 0
    return min(can, job.most_people)


@dataclass(frozen=True, slots=True)
class Short:
    """Slots of work that are missing: all jobs of these skills need more than the people who have one."""

    skills: tuple[Skill, ...]
    slots: int


def short(
    work: Work, chains: Iterable[int], last: int, among: Collection[Skill] | None = None
) -> Short | None:
    """The skills that are shortest of time before a slot, for these warps; None: the sums do not tell.

    :param among: only these skills are looked at; None: all
    """
    demand: dict[tuple[Skill, bool], int] = {}  # by skill and whether a learner will do
    for chain in chains:
        for job in work.chains[chain].jobs:
            if among is not None and job.skill not in among:
                continue
            demand[job.skill, False] = demand.get((job.skill, False), 0) + _person_slots(job)
            if job.skill == PAIR:
                demand[PAIR, True] = demand.get((PAIR, True), 0) + job.slots
    kinds, worst = sorted(demand), None
    offers = []
    for worker in work.workers:
        there = sum(slot < last for slot in worker.slots)
        offers.append((worker, there if worker.most is None else min(there, worker.most)))
    for count in range(1, len(kinds) + 1):
        for some in combinations(kinds, count):
            need = sum(demand[kind] for kind in some)
            have = 0
            for worker, offered in offers:
                if any(worker.may(skill) if learner else skill in worker.can for skill, learner in some):
                    have += offered
            if need > have and (worst is None or need - have > worst.slots):
                worst = Short(tuple(dict.fromkeys(skill for skill, _learner in some)), need - have)
    return worst


def _person_slots(job: Job) -> int:
    """The fewest slots of people at a job: two at a threading do a little less each."""
    return job.slots if job.most_people == 1 or job.skill == PAIR else -(-job.units // ONE)


def earliest(work: Work, chains: Iterable[int]) -> int | None:
    """A slot before which these warps cannot all be ready; None: they cannot be at all."""
    chains = tuple(chains)
    each = [(alone(work, chain) or [work.first])[-1] for chain in chains]
    if any(done is None for done in each) or short(work, chains, work.last) is not None:
        return None
    low = max((done for done in each if done is not None), default=work.first)
    after = [slot + 1 for slot in work.times if slot + 1 >= low] or [low]
    first, last = 0, len(after) - 1
    while first < last:  # the earliest end at which the sums of hours suffice
        middle = (first + last) // 2
        if short(work, chains, after[middle]) is None:
            last = middle
        else:
            first = middle + 1
    return max(low, after[first]) if any(work.chains[chain].jobs for chain in chains) else work.first


def spare_at_most(work: Work, chains: Iterable[int]) -> int | None:
    """The most spare slots that a plan with these warps ready can leave; None: they cannot all be ready."""
    low = earliest(work, chains)
    return None if low is None else work.spare(low)

"""The work before an event as slots, jobs and people, and what a plan of it is worth."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from loomready.event.slots import runs
from loomready.model.event import Skill

ONE, TWO = 10, 18  # work per slot of one person, and of two at a threading: two do the work of 1.8
PAIR: Skill = "beaming"
HELPFUL: tuple[Skill, ...] = ("threading", "test weaving", "mending")  # whoever can do one can still help
_PARTS = 10_000
HANDOVER = 3  # what a person more at a job costs, in broken sessions; our choice
ELSEWHERE = 2  # what a broken session more than told costs, in slots elsewhere than told; our choice

Plan = Mapping[tuple[int, int, int], tuple[int, ...]]
"""Who is at work: people by (warp, job, slot), all by their numbers in :class:`Work`, people in order."""


@dataclass(frozen=True, slots=True)
class Job:
    """A job that takes ``slots`` slots: of one person, of two at the beam, of one or two at a threading."""

    skill: Skill
    slots: int

    @property
    def most_people(self) -> int:
        return 2 if self.skill in (PAIR, "threading") else 1

    @property
    def fewest_people(self) -> int:
        return 2 if self.skill == PAIR else 1

    @property
    def units(self) -> int:
        """What is to be done, in tenths of a slot of one person; of two at the beam."""
        return self.slots * ONE

    def done_by(self, people: int) -> int:
        """Units that so many people do in a slot."""
        return TWO if self.skill == "threading" and people == 2 else ONE


@dataclass(frozen=True, slots=True)
class Chain:
    """The jobs of a warp, each after the one before.

    ``on_board``: some of it is wound already; it keeps its board until it is wound, or is left out.
    """

    warp: str
    value: int
    jobs: tuple[Job, ...]
    on_board: bool = False


@dataclass(frozen=True, slots=True)
class Worker:
    """Somebody with the slots in which they are there; ``most``: slots of work in all."""

    key: str
    can: frozenset[Skill]
    learning: frozenset[Skill]
    slots: frozenset[int]
    most: int | None = None

    def may(self, skill: Skill) -> bool:
        """Whether this person may be at the job; beside somebody who can, if still learning."""
        return skill in self.can or (skill == PAIR and skill in self.learning)


@dataclass(frozen=True)
class Work:
    """What is to be done before slot ``last``, by whom; ``boards``: so many warps are wound at once."""

    chains: tuple[Chain, ...]
    workers: tuple[Worker, ...]
    first: int
    last: int
    boards: int = 1

    @cached_property
    def times(self) -> tuple[int, ...]:
        """The slots in which somebody is there."""
        return tuple(sorted(frozenset().union(*(each.slots for each in self.workers))))

    @cached_property
    def helpful(self) -> tuple[int, ...]:
        """The slots in which somebody is there who can thread, test weave or mend."""
        found = (each.slots for each in self.workers if each.can & set(HELPFUL))
        return tuple(sorted(frozenset().union(*found)))

    def spare(self, ready: int) -> int:
        """Slots in which something could still be mended, once a warp is ready at the start of a slot."""
        return len(self.helpful) - bisect_left(self.helpful, ready)

    @cached_property
    def _weights(self) -> tuple[int, ...]:
        """One part of ``_PARTS`` by the slots that somebody offered; 0: none."""
        offered = (
            len(each.slots) if each.most is None else min(each.most, len(each.slots)) for each in self.workers
        )
        return tuple(round(_PARTS / slots) if slots else 0 for slots in offered)

    def unfair(self, person: int, slots: int) -> int:
        """What so many slots of work of a person count: their square by what the person offered."""
        return slots * slots * self._weights[person]

    def learns(self, person: int) -> bool:
        """Whether this person may be at the beam only beside somebody who can."""
        return PAIR in self.workers[person].learning and PAIR not in self.workers[person].can

    @cached_property
    def all_value(self) -> int:
        return sum(chain.value for chain in self.chains)

    def session_of(self, person: int, slot: int) -> int:
        """The first slot of the time without a break in which a person is there."""
        return self._sessions.get((person, slot), slot)

    @cached_property
    def _sessions(self) -> dict[tuple[int, int], int]:
        return {
            (number, slot): first
            for number, each in enumerate(self.workers)
            for first, last in runs(each.slots)
            for slot in range(first, last)
        }


@dataclass(frozen=True, slots=True)
class Worth:
    """What a plan is worth. ``ready``: by warp, the slot at whose start it is ready.

    ``spare``: the least of any warp, in slots; None: none is ready. ``cost``: people at jobs and broken
    sessions, less is better. ``turns``: learners who get a turn at the beam; ``unfair``: how far shares of
    work are from being even, relative to the hours that each offered, less is better.
    """

    value: int
    spare: int | None
    cost: int
    ready: Mapping[int, int]
    turns: int = 0
    unfair: int = 0

    @property
    def rank(self) -> tuple[int, int, int, int, int]:
        """Greater is better."""
        return self.value, -1 if self.spare is None else self.spare, -self.cost, self.turns, -self.unfair


def units_done(work: Work, plan: Plan) -> dict[tuple[int, int], int]:
    """Units done of each job."""
    done: dict[tuple[int, int], int] = {}
    for (chain, job, _slot), people in plan.items():
        made = work.chains[chain].jobs[job].done_by(len(people))
        done[chain, job] = done.get((chain, job), 0) + made
    return done


def worth(work: Work, plan: Plan) -> Worth:
    done = units_done(work, plan)
    ready: dict[int, int] = {}
    for number, chain in enumerate(work.chains):
        if all(done.get((number, job), 0) >= each.units for job, each in enumerate(chain.jobs)):
            ends = [slot + 1 for (of, _job, slot) in plan if of == number]
            ready[number] = max(ends, default=work.first)
    spare = min((work.spare(at) for at in ready.values()), default=None)
    value = sum(work.chains[number].value for number in ready)
    return Worth(value, spare, cost_of(plan), ready, *_shares(work, plan))


def _shares(work: Work, plan: Plan) -> tuple[int, int]:
    """Learners who get a turn, and how uneven shares are."""
    hours: dict[int, int] = {}
    turns = set()
    for (chain, job, _slot), people in plan.items():
        at_beam = work.chains[chain].jobs[job].skill == PAIR
        for one in people:
            hours[one] = hours.get(one, 0) + 1
            if at_beam and work.learns(one):
                turns.add(one)
    return len(turns), sum(work.unfair(one, slots) for one, slots in hours.items())


def cost_of(plan: Plan) -> int:
    """Three for each person at each job, and one for each of their sessions without a break."""
    at_jobs, sessions = set(), 0
    for (chain, job, slot), people in plan.items():
        before = plan.get((chain, job, slot - 1), ())
        for person in people:
            at_jobs.add((chain, job, person))
            sessions += person not in before
    return HANDOVER * len(at_jobs) + sessions


def sessions_of(work: Work, plan: Plan) -> set[tuple[int, int]]:
    """Who has work in which time of theirs without a break: (person, its first slot)."""
    return {(one, work.session_of(one, slot)) for (_c, _j, slot), people in plan.items() for one in people}


def changed_sessions(work: Work, told: Plan, plan: Plan) -> int:
    """Sessions of people in which something is not as they were told; one in which somebody comes though not
    told to, or is told to and does not, counts twice."""
    otherwise = {(one, work.session_of(one, slot)) for *_, slot, one in _places(told) ^ _places(plan)}
    return len(otherwise) + len(sessions_of(work, told) ^ sessions_of(work, plan))


def _places(plan: Plan) -> set[tuple[int, int, int, int]]:
    """Who is where when: (warp, job, slot, person)."""
    return {(*key, person) for key, people in plan.items() for person in people}


def changed_places(told: Plan, plan: Plan) -> int:
    """Slots in which somebody is elsewhere than told."""
    return len(_places(told) ^ _places(plan))


def trouble(told: Plan, plan: Plan) -> int:
    """Slots in which somebody is elsewhere than told; what the plan costs beyond the one that was told counts
    as some slots: half an hour here and there is no help to anybody."""
    return changed_places(told, plan) + ELSEWHERE * max(0, cost_of(plan) - cost_of(told))


def only(plan: Plan, chains: Iterable[int]) -> dict[tuple[int, int, int], tuple[int, ...]]:
    """The plan of these warps alone."""
    kept = set(chains)
    return {key: people for key, people in plan.items() if key[0] in kept}

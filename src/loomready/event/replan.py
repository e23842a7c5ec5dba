"""Planning again from now on: what was done, what stands, and what changes for whom.

Sessions of the earlier plan that are over count as done, as they were planned; say other hours of a job in
the warp's order where it took longer. Sessions of the next days stand as people know them, as far as they
still can: everybody is there, and the job before is done.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from loomready.event.hours_text import read_moment
from loomready.event.slots import Slots
from loomready.event.work.problem import ONE, PAIR, Chain, Job, Work
from loomready.model.event import WORK, Skill
from loomready.phrases import phrase
from loomready.problems import BadInput


@dataclass(frozen=True, slots=True)
class Session:
    """A crew at a job without a break. ``people``: keys."""

    start: datetime
    end: datetime
    warp: str
    job: Skill
    people: tuple[str, ...]


Entries = dict[tuple[str, Skill, int], tuple[str, ...]]
"""Who is at which job of which warp in which slot, by keys."""


@dataclass(frozen=True, slots=True)
class Carried:
    """What is left to plan. ``told``: the rest of the earlier plan, in the numbers of ``work``; ``stands``:
    sessions of the next days that stay as they are; ``ready``: by warp, the slot after its last job."""

    work: Work
    told: dict[tuple[int, int, int], tuple[int, ...]]
    stands: Entries
    ready: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Changes:
    """What is different for one person: sessions no longer, and new ones."""

    person: str
    no_longer: tuple[Session, ...]
    new: tuple[Session, ...]


def carry(work: Work, slots: Slots, told: Sequence[Session], stand_until: int) -> Carried:
    """The work that is left once what was done and what stands is taken off.

    :param stand_until: sessions before this slot stand where they can; new work begins with it
    """
    numbers = {chain.warp: number for number, chain in enumerate(work.chains)}
    people = {worker.key: number for number, worker in enumerate(work.workers)}
    left = [[job.units for job in chain.jobs] for chain in work.chains]
    busy: Counter[int] = Counter()
    stands: Entries = {}
    ready: dict[str, int] = {}
    later: list[tuple[int, Skill, int, tuple[int, ...]]] = []
    for slot, each in _by_slot(slots, told):
        chain = numbers.get(each.warp)
        crew = tuple(sorted(people[one] for one in each.people if one in people))
        job = None if chain is None else _job(work.chains[chain], each.job)
        if chain is None or job is None or not crew:
            continue
        now = next((place for place, units in enumerate(left[chain]) if units > 0), None)
        over = slot < work.first
        if not over and slot >= stand_until:
            if len(crew) == len(each.people):
                later.append((chain, each.job, slot, crew))
            continue
        if not over and (now != job or len(crew) < len(each.people) or not _can(work, each.job, slot, crew)):
            continue
        left[chain][job] -= work.chains[chain].jobs[job].done_by(len(crew))
        busy.update(crew)
        ready[each.warp] = slot + 1
        if not over:
            stands[each.warp, each.job, slot] = tuple(work.workers[one].key for one in crew)
    first = max(work.first, stand_until)
    chains = tuple(
        Chain(
            chain.warp,
            chain.value,
            tuple(
                Job(job.skill, -(-units // ONE))
                for job, units in zip(chain.jobs, left[number], strict=True)
                if units > 0
            ),
            any(
                job.skill == "winding" and 0 < units < job.units
                for job, units in zip(chain.jobs, left[number], strict=True)
            ),
        )
        for number, chain in enumerate(work.chains)
    )
    workers = tuple(
        replace(
            worker,
            slots=frozenset(slot for slot in worker.slots if slot >= first),
            most=None if worker.most is None else max(0, worker.most - busy[number]),
        )
        for number, worker in enumerate(work.workers)
    )
    rest = {
        (chain, place, slot): crew
        for chain, skill, slot, crew in later
        if (place := _job(chains[chain], skill)) is not None
    }
    made = Work(chains, workers, first, max(first, work.last), work.boards)
    return Carried(made, rest, stands, ready)


def _by_slot(slots: Slots, told: Iterable[Session]) -> Iterator[tuple[int, Session]]:
    every = [
        (slot, each)
        for each in told
        for slot in range(slots.at(each.start, up=False), slots.at(each.end, up=True))
    ]
    return iter(sorted(every, key=lambda pair: (pair[0], pair[1].warp)))


def _job(chain: Chain, skill: Skill) -> int | None:
    return next((place for place, job in enumerate(chain.jobs) if job.skill == skill), None)


def _can(work: Work, skill: Skill, slot: int, crew: Sequence[int]) -> bool:
    """Whether these people are there and can do the job together."""
    workers = [work.workers[one] for one in crew]
    if not all(slot in each.slots and each.may(skill) for each in workers):
        return False
    return skill != PAIR or (len(workers) == 2 and any(skill in each.can for each in workers))


def sessions_from(slots: Slots, entries: Entries) -> tuple[Session, ...]:
    """Sessions without a break of the same people, in order of time."""
    runs: list[tuple[str, Skill, int, int, tuple[str, ...]]] = []
    for (warp, job, slot), people in sorted(entries.items()):
        if runs and runs[-1][:2] == (warp, job) and runs[-1][3] == slot and runs[-1][4] == people:
            runs[-1] = (warp, job, runs[-1][2], slot + 1, people)
        else:
            runs.append((warp, job, slot, slot + 1, people))
    made = [
        Session(slots.start_of(first), slots.start_of(last), warp, job, people)
        for warp, job, first, last, people in runs
    ]
    return tuple(sorted(made, key=lambda each: (each.start, each.end, each.warp)))


def changes(told: Iterable[Session], sessions: Iterable[Session], now: datetime) -> tuple[Changes, ...]:
    """What is different for whom from now on, people in the order of their first change.

    Sessions are compared by person, warp, job and hours; who else is there is not looked at.
    """
    before, after = ({_key(each): each for each in _of_people(some, now)} for some in (told, sessions))
    gone = {key: each for key, each in before.items() if key not in after}
    new = {key: each for key, each in after.items() if key not in before}
    people = dict.fromkeys(person for person, *_ in sorted((*gone, *new), key=lambda key: (key[1], key[0])))
    return tuple(
        Changes(
            person,
            tuple(each for key, each in sorted(gone.items()) if key[0] == person),
            tuple(each for key, each in sorted(new.items()) if key[0] == person),
        )
        for person in people
    )


def _key(each: Session) -> tuple[str, datetime, datetime, str, Skill]:
    return each.people[0], each.start, each.end, each.warp, each.job


def _of_people(sessions: Iterable[Session], now: datetime) -> list[Session]:
    """Sessions that are not over, one for each person; those that follow one another at a job are one."""
    alone = [replace(each, people=(one,)) for each in sessions if each.end > now for one in each.people]
    made: list[Session] = []
    for each in sorted(alone, key=lambda each: (each.people, each.warp, each.job, each.start)):
        last = made[-1] if made else None
        if last is not None and (last.people, last.warp, last.job, last.end) == (
            each.people,
            each.warp,
            each.job,
            each.start,
        ):
            made[-1] = replace(last, end=each.end)
        else:
            made.append(each)
    return made


def read_told(document: object) -> tuple[Session, ...]:
    """The sessions of an earlier plan, from its JSON.

    :raises BadInput: it is no plan of an event
    """
    sessions = document.get("work") if isinstance(document, Mapping) else None
    sessions = sessions.get("sessions") if isinstance(sessions, Mapping) else None
    if not isinstance(sessions, list):
        raise BadInput(phrase("holds no sessions; expected a plan that loomready event --json printed"))
    made = []
    for number, each in enumerate(sessions, 1):
        try:
            start, end = read_moment(each["start"]), read_moment(each["end"])
            warp, job, people = each["warp"], each["job"], tuple(each["people"])
            fit = isinstance(warp, str) and job in WORK and all(isinstance(one, str) for one in people)
        except (TypeError, KeyError, BadInput):
            fit = False
        if not fit or not start < end:
            raise BadInput(
                phrase("is no session; expected one that loomready event --json printed"),
                where=("work", "sessions", number),
            )
        made.append(Session(start, end, warp, job, people))
    return tuple(made)

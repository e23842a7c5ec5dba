"""Planning again from now on: what was done, what stands, and what changes for whom.

Sessions of earlier plans that are over count as done, as they were planned, whoever of their people is still
named; say other hours of a job in the warp's order where it took longer. What is under way and the sessions
of the next days stand as people know them, as far as they still can: who is there can do it, and the job
before is done.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from loomready.event.hours_text import read_moment
from loomready.event.places import Kept
from loomready.event.slots import AHEAD, Slots
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
    sessions of the next days that stay as they are; ``ready``: by warp, the slot after its last job;
    ``past``: what was done, up to the first slot that is planned."""

    work: Work
    told: dict[tuple[int, int, int], tuple[int, ...]]
    stands: Entries
    ready: Mapping[str, int]
    past: tuple[Session, ...] = ()


@dataclass(frozen=True, slots=True)
class Changes:
    """What is different for one person: sessions no longer, and new ones."""

    person: str
    no_longer: tuple[Session, ...]
    new: tuple[Session, ...]


def carry(work: Work, slots: Slots, told: Sequence[Session], stand_until: int) -> Carried:
    """The work that is left once what was done and what stands is taken off.

    :param stand_until: sessions before this slot stand where they can, with those that go on then; new work
        begins after them
    """
    if told:
        stand_until = _whole(slots, told, work.first, stand_until)
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
        if chain is None or job is None:
            continue
        now = next((place for place, units in enumerate(left[chain]) if units > 0), None)
        over = slot < work.first
        if not over and slot >= stand_until:
            if len(crew) == len(each.people):
                later.append((chain, each.job, slot, crew))
            continue
        if not over:
            crew = _who_can(work, each.job, slot, crew)
            if now != job or not crew:
                continue
        hands = len(each.people) if over else len(crew)
        left[chain][job] -= work.chains[chain].jobs[job].done_by(hands)
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
    past = tuple(sorted(_until(told, slots.start_of(work.first)), key=lambda each: (each.start, each.warp)))
    return Carried(made, rest, stands, ready, past)


def _whole(slots: Slots, told: Sequence[Session], first: int, until: int) -> int:
    """The slot after the sessions that are under way in a slot, or begin while these last."""
    spans = sorted((slots.at(each.start, up=False), slots.at(each.end, up=True)) for each in told)
    for begins, ends in spans:
        if begins < until < ends and ends > first:
            until = ends
    return until


def _until(told: Iterable[Session], moment: datetime) -> Iterator[Session]:
    """Sessions, or the part of them, before a moment."""
    for each in told:
        if each.start < moment:
            yield replace(each, end=min(each.end, moment))


def _by_slot(slots: Slots, told: Iterable[Session]) -> Iterator[tuple[int, Session]]:
    every = [
        (slot, each)
        for each in told
        for slot in range(slots.at(each.start, up=False), slots.at(each.end, up=True))
    ]
    return iter(sorted(every, key=lambda pair: (pair[0], pair[1].warp)))


def _job(chain: Chain, skill: Skill) -> int | None:
    return next((place for place, job in enumerate(chain.jobs) if job.skill == skill), None)


def _who_can(work: Work, skill: Skill, slot: int, crew: Iterable[int]) -> tuple[int, ...]:
    """Who of these people is there and can go on with the job; nobody where too few are."""
    workers = work.workers
    there = tuple(one for one in crew if slot in workers[one].slots and workers[one].may(skill))
    if skill == PAIR and not (len(there) == 2 and any(skill in workers[one].can for one in there)):
        return ()
    return there


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
    alone = (replace(each, people=(one,)) for each in sessions for one in each.people)
    return [each for each in in_order(alone) if each.end > now]


def read_told(document: object) -> tuple[Session, ...]:
    """The sessions of an earlier plan, from its JSON.

    :raises BadInput: it is no plan of an event
    """
    work = document.get("work") if isinstance(document, Mapping) else None
    sessions = work.get("sessions") if isinstance(work, Mapping) else None
    done = work.get("done", []) if isinstance(work, Mapping) else None
    if not isinstance(sessions, list) or not isinstance(done, list):
        raise BadInput(phrase("holds no sessions; expected a plan that loomready event --json printed"))
    return tuple(in_order((*_read(done, "done"), *_read(sessions, "sessions"))))


def read_places(document: object) -> dict[str, Kept]:
    """The loom and the reed of each warp in an earlier plan, from its JSON; none where it says none."""
    allotment = document.get("allotment") if isinstance(document, Mapping) else None
    warps = allotment.get("warps") if isinstance(allotment, Mapping) else None
    made: dict[str, Kept] = {}
    for each in warps if isinstance(warps, list) else ():
        if isinstance(each, Mapping):
            key, loom, reed = each.get("key"), each.get("loom"), each.get("reed")
            if isinstance(key, str) and isinstance(loom, str) and (reed is None or isinstance(reed, str)):
                made[key] = loom, reed
    return made


def in_order(sessions: Iterable[Session]) -> list[Session]:
    """Sessions in order of time; those of the same people at a job that follow one another are one."""
    made: list[Session] = []
    for each in sorted(sessions, key=lambda each: (each.warp, each.job, each.people, each.start)):
        last = made[-1] if made else None
        if last is not None and last == replace(each, start=last.start, end=each.start):
            made[-1] = replace(last, end=each.end)
        else:
            made.append(each)
    return sorted(made, key=lambda each: (each.start, each.end, each.warp, each.people))


def _read(sessions: list[object], name: str) -> Iterator[Session]:
    for number, each in enumerate(sessions, 1):
        try:
            start, end = read_moment(each["start"]), read_moment(each["end"])  # type: ignore[index]
            warp, job, people = each["warp"], each["job"], each["people"]  # type: ignore[index]
            fit = isinstance(warp, str) and job in WORK and _are_keys(people)
        except (TypeError, KeyError, BadInput):
            fit = False
        if not fit or not timedelta(0) < end - start <= AHEAD:
            raise BadInput(
                phrase("is no session; expected one that loomready event --json printed"),
                where=("work", name, number),
            )
        yield Session(start, end, warp, job, tuple(people))


def _are_keys(people: object) -> bool:
    """Whether these are keys of people, at least one and each once."""
    return (
        isinstance(people, list)
        and all(isinstance(one, str) for one in people)
        and 0 < len(people) == len(set(people))
    )

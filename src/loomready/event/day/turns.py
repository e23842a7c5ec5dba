"""The turns of the days: who is at which stand from when to when, what is open, and what would help."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache

from loomready.event.day.rota_problem import (
    Rota,
    every_opening,
    rota_of,
    slots_of_days,
    stand_slots,
)
from loomready.event.day.rota_search import EFFORT, Duties, find_duties
from loomready.event.slots import Slots, runs
from loomready.model.event import Event
from loomready.model.guild import Guild


@dataclass(frozen=True, slots=True)
class Turn:
    """Somebody at a stand, teaching a class, or (neither) on duty to mend. Keys."""

    start: datetime
    end: datetime
    person: str
    stand: str | None = None
    lesson: str | None = None


@dataclass(frozen=True, slots=True)
class OpenSlots:
    """A stretch in which a stand or a class lacks people."""

    start: datetime
    end: datetime
    lacks: int
    stand: str | None = None
    lesson: str | None = None


@dataclass(frozen=True, slots=True)
class DayPlan:
    """``open``: slot by slot as ``stretches`` says together; ``unmended``: when nobody is there who can mend
    though somebody could be."""

    slots: Slots
    rota: Rota
    turns: tuple[Turn, ...]
    open: tuple[OpenSlots, ...]
    unmended: tuple[tuple[datetime, datetime], ...]
    proved: bool

    @property
    def stretches(self) -> tuple[OpenSlots, ...]:
        """Open slots, those one after the other with as many lacking as one."""
        made: list[OpenSlots] = []
        for each in sorted(self.open, key=lambda one: (one.stand or "", one.lesson or "", one.start)):
            last = made[-1] if made else None
            if last and last.end == each.start and _same(last, each):
                made[-1] = OpenSlots(last.start, each.end, each.lacks, each.stand, each.lesson)
            else:
                made.append(each)
        return tuple(sorted(made, key=lambda one: one.start))


def _same(one: OpenSlots, other: OpenSlots) -> bool:
    return (one.stand, one.lesson, one.lacks) == (other.stand, other.lesson, other.lacks)


def plan_day(guild: Guild, event: Event, effort: float = EFFORT) -> DayPlan:
    """The rota of an event's days.

    :param effort: deterministic seconds for each goal
    """
    return _planned(replace(guild, yarns=(), cones=(), looms=(), reeds=(), warps=()), event, effort)


@lru_cache(maxsize=16)  # a plan of the work is made again more often than people or stands change
def _planned(guild: Guild, event: Event, effort: float) -> DayPlan:
    slots = slots_of_days(event, every_opening(guild))
    rota = rota_of(guild, event, slots)
    duties = find_duties(rota, effort)
    placed = _placed(guild, stand_slots(guild, event, slots), duties, rota)
    turns = [
        Turn(slots.start_of(first), slots.start_of(last), rota.helpers[person].key, stand)
        for (person, stand), where in placed.items()
        for first, last in runs(where)
    ]
    turns += _to_mend(slots, rota, duties)
    for lesson in guild.classes:
        teacher = duties.teaching[lesson.key]
        if teacher is not None:
            key = rota.helpers[teacher].key
            turns.append(Turn(lesson.time.start, lesson.time.end, key, None, lesson.key))
    return DayPlan(
        slots,
        rota,
        tuple(sorted(turns, key=lambda each: (each.start, each.stand or "~", each.person))),
        tuple(_open(guild, event, slots, placed, duties)),
        tuple(_unmended(slots, rota, duties)),
        duties.proved,
    )


def _placed(
    guild: Guild, opened: dict[str, frozenset[int]], duties: Duties, rota: Rota
) -> dict[tuple[int, str], list[int]]:
    """Which stand everybody is at: whoever was at one stays there, others go to the one that lacks most."""
    placed: dict[tuple[int, str], list[int]] = {}
    before: dict[int, str] = {}
    for slot in sorted(rota.wanted):
        room = {each.key: each.people for each in guild.stands if slot in opened[each.key] and each.people}
        now: dict[int, str] = {}
        people = duties.at_stands.get(slot, ())
        for person in people:
            stand = before.get(person)
            if stand is not None and room.get(stand, 0):
                now[person] = stand
                room[stand] -= 1
        for person in people:
            if person not in now:
                now[person] = max(room, key=lambda key: room[key])
                room[now[person]] -= 1
        for person, stand in now.items():
            placed.setdefault((person, stand), []).append(slot)
        before = now
    return placed


def _to_mend(slots: Slots, rota: Rota, duties: Duties) -> Iterator[Turn]:
    by_person: dict[int, list[int]] = {}
    for slot, people in duties.to_mend.items():
        for person in people:
            by_person.setdefault(person, []).append(slot)
    for person, where in by_person.items():
        for first, last in runs(where):
            yield Turn(slots.start_of(first), slots.start_of(last), rota.helpers[person].key)


def _open(
    guild: Guild, event: Event, slots: Slots, placed: dict[tuple[int, str], list[int]], duties: Duties
) -> Iterator[OpenSlots]:
    opened = stand_slots(guild, event, slots)
    for stand in guild.stands:
        for slot in sorted(opened[stand.key]):
            there = sum(slot in where for (_person, key), where in placed.items() if key == stand.key)
            if there < stand.people:
                start, end = slots.start_of(slot), slots.start_of(slot + 1)
                yield OpenSlots(start, end, stand.people - there, stand.key)
    for lesson in guild.classes:
        if duties.teaching[lesson.key] is None:
            yield OpenSlots(lesson.time.start, lesson.time.end, 1, None, lesson.key)


def _unmended(slots: Slots, rota: Rota, duties: Duties) -> Iterator[tuple[datetime, datetime]]:
    there = set()
    for by_slot in (duties.at_stands, duties.to_mend):
        there |= {slot for slot, people in by_slot.items() if any(rota.helpers[one].mends for one in people)}
    for lesson in rota.classes:
        teacher = duties.teaching[lesson.key]
        if teacher is not None and rota.helpers[teacher].mends:
            there |= set(lesson.slots)
    for first, last in runs(rota.mending - there):
        yield slots.start_of(first), slots.start_of(last)

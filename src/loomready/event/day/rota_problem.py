"""Who has to be where on the days of an event, slot by slot: stands, classes, somebody who can mend."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from loomready.event.slots import Slots
from loomready.model.event import Event, Lesson, Opening, Person
from loomready.model.guild import Guild

AT_STANDS_H = 2.0  # no longer in a row
ON_DUTY_H = 4.0  # with at least one slot off


@dataclass(frozen=True, slots=True)
class Helper:
    """``slots``: in which this person is there."""

    key: str
    slots: frozenset[int]
    demonstrates: bool
    mends: bool


@dataclass(frozen=True, slots=True)
class ClassTime:
    """``slots``: all that it touches; ``teachers``: numbers of those who can and are there throughout."""

    key: str
    slots: tuple[int, ...]
    teachers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Rota:
    """``wanted``: by slot, people at stands in all; ``mending``: slots with somebody there who can mend.

    ``most_in_a_row``: slots at stands; ``off_in``: of so many slots at least one is off.
    """

    helpers: tuple[Helper, ...]
    wanted: dict[int, int]
    classes: tuple[ClassTime, ...]
    mending: frozenset[int]
    most_in_a_row: int
    off_in: int


def slots_of_days(event: Event, more: Iterable[Opening] = ()) -> Slots:
    """Slots from midnight of the first day to the end of the last one."""
    every = (*event.days, *more)
    first, last = min(each.start for each in every), max(each.end for each in every)
    made = Slots(first.date(), _turn_h(event), 0, 0)
    return Slots(made.day, made.slot_h, made.at(first, up=False), made.at(last, up=True))


def _turn_h(event: Event) -> float:
    """The event's slot, or half of it where it is longer than anybody stays at a stand; it is 4 h at most."""
    return event.slot_h if event.slot_h <= AT_STANDS_H else event.slot_h / 2


def touched(slots: Slots, opening: Opening) -> range:
    """Every slot that some part of an opening lies in."""
    return range(slots.at(opening.start, up=False), slots.at(opening.end, up=True))


def stand_slots(guild: Guild, event: Event, slots: Slots) -> dict[str, frozenset[int]]:
    """By stand, the slots in which it is open."""
    return {
        stand.key: frozenset(slot for each in stand.hours or event.days for slot in touched(slots, each))
        for stand in guild.stands
    }


def every_opening(guild: Guild) -> tuple[Opening, ...]:
    """Hours of stands and classes, which may be outside of the event's days."""
    return (*(hours for stand in guild.stands for hours in stand.hours), *(c.time for c in guild.classes))


def rota_of(guild: Guild, event: Event, slots: Slots) -> Rota:
    helpers = tuple(
        Helper(each.key, slots.of(each), "demonstrating" in each.can, "mending" in each.can)
        for each in guild.people
    )
    wanted: dict[int, int] = {}
    opened = stand_slots(guild, event, slots)
    for stand in guild.stands:
        for slot in opened[stand.key]:
            wanted[slot] = wanted.get(slot, 0) + stand.people
    classes = tuple(
        ClassTime(each.key, tuple(touched(slots, each.time)), _teachers(guild.people, helpers, each, slots))
        for each in guild.classes
    )
    days = {slot for day in event.days for slot in touched(slots, day)}
    mending = {slot for slot in days if any(each.mends and slot in each.slots for each in helpers)}
    return Rota(
        helpers,
        {slot: people for slot, people in sorted(wanted.items()) if people},
        classes,
        frozenset(mending) if guild.stands or guild.classes else frozenset(),
        int(AT_STANDS_H / slots.slot_h + 1e-9),
        slots.whole(ON_DUTY_H),
    )


def _teachers(
    people: tuple[Person, ...], helpers: tuple[Helper, ...], lesson: Lesson, slots: Slots
) -> tuple[int, ...]:
    through = frozenset(touched(slots, lesson.time))
    return tuple(
        number
        for number, (person, helper) in enumerate(zip(people, helpers, strict=True))
        if lesson.teacher in (None, person.key) and "teaching" in person.can and through <= helper.slots
    )

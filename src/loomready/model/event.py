"""What a guild plans for a public day: the event, who helps and when, pace, what can be bought."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Literal, get_args

Skill = Literal[
    "winding",
    "beaming",
    "threading",
    "sleying",
    "tying on",
    "test weaving",
    "mending",
    "demonstrating",
    "teaching",
]
SKILLS: tuple[Skill, ...] = get_args(Skill)

WORK: tuple[Skill, ...] = SKILLS[:6]
"""The jobs that dress a loom, which are planned before the event; visitors weave."""


@dataclass(frozen=True, slots=True)
class Rule:
    """Days and times of day. Everything that is given binds; nothing given is every day, all day.

    ``weekdays``: 0 is Monday. ``days_of_month``: from 1. ``other_week``: every other week, counted from the
    week of ``first``, or without one the weeks with an even number, counted from Monday, January 1 of year 1.
    ``start``, ``end``: minutes from midnight. ``off``: these are times when somebody does not come.
    """

    first: date | None = None
    last: date | None = None
    weekdays: tuple[int, ...] = ()
    days_of_month: tuple[int, ...] = ()
    other_week: bool = False
    start: int = 0
    end: int = 24 * 60
    off: bool = False


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours as a person typed them, and the rules that they say."""

    text: str
    rules: tuple[Rule, ...] = field(compare=False)


@dataclass(frozen=True, slots=True)
class Opening:
    """A day of the event, from opening to closing."""

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class Event:
    """A public day or several. ``ready_by_said``: None: so long before the first opening as packing takes.

    ``slot_h``: hours of a slot, of which a day is a whole number. ``warps``: keys; None: all not off.
    """

    days: tuple[Opening, ...]
    name: str = "Event"
    ready_by_said: datetime | None = None
    pack_time_h: float = 3.0
    slot_h: float = 0.5
    warps: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who helps. ``can``, ``learning``: skills; ``most_h``: hours of work in all, None: no limit."""

    key: str
    name: str
    can: tuple[Skill, ...] = SKILLS
    learning: tuple[Skill, ...] = ()
    hours: tuple[Hours, ...] = ()
    most_h: float | None = None


@dataclass(frozen=True, slots=True)
class JobHours:
    """Hours of each job, in place of what pace says; None: not said, 0: it is left out."""

    winding_h: float | None = None
    beaming_h: float | None = None
    threading_h: float | None = None
    sleying_h: float | None = None
    tying_on_h: float | None = None
    test_weaving_h: float | None = None

    def of(self, job: Skill) -> float | None:
        """Hours of one of :data:`WORK`."""
        hours: float | None = getattr(self, f"{job.replace(' ', '_')}_h")
        return hours


@dataclass(frozen=True, slots=True)
class Pace:
    """The guild's own pace in threads per hour and person; None: what records teach, or the default.

    ``spread``: of a job's hours, as a share. ``sure``: work is planned with hours that so many of the jobs
    keep to.
    """

    winding: float | None = None
    beaming: float | None = None
    threading: float | None = None
    sleying: float | None = None
    tying_on: float | None = None
    spread: float = 0.25
    sure: float = 0.75

    def of(self, job: Skill) -> float | None:
        """Threads per hour and person in one of :data:`WORK`; test weaving has none."""
        rate: float | None = getattr(self, job.replace(" ", "_"), None)
        return rate


NOT_SAID, ANY_PACE = JobHours(), Pace()


@dataclass(frozen=True, slots=True)
class ShopCone:
    """A full cone of a yarn that could be bought. ``price``: of one cone, in the guild's currency."""

    key: str
    yarn: str
    weight_g: float
    price: Decimal


@dataclass(frozen=True, slots=True)
class Stand:
    """A place of the event where people show something. ``people``: at once, who can demonstrate.

    ``warp``: what is on its loom; ``hours``: empty: all days. ``sign``: what its sign says in the guild's own
    words; ``touch``: whether visitors may touch what lies there, None: the sign does not say.
    """

    key: str
    name: str
    warp: str | None = None
    people: int = 1
    hours: tuple[Opening, ...] = ()
    sign: str | None = None
    touch: bool | None = None


@dataclass(frozen=True, slots=True)
class Material:
    """What each place of a class gets: ``each`` grams of a yarn, or so many of a thing.

    ``have``: how many of the thing are there.
    """

    yarn: str | None = None
    thing: str | None = None
    each: int | float = 1
    have: int = 0


@dataclass(frozen=True, slots=True)
class Lesson:
    """A class of the event. ``teacher``: None: whoever can teach; ``spare``: more of each material."""

    key: str
    name: str
    time: Opening
    teacher: str | None = None
    places: int = 1
    materials: tuple[Material, ...] = ()
    spare: float = 0.0


@dataclass(frozen=True, slots=True)
class Packed:
    """A thing to pack in place of the usual count. ``packed_for``: a loom, stand or class; 0: not packed."""

    key: str
    packed_for: str
    thing: str
    count: int

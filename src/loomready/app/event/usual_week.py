"""A usual week to tick: parts of each day, and the rule that a tick writes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.dates import WEEKDAYS, WEEKDAYS_ABBR
from django.utils.translation import gettext_lazy as _

# The rule's words are those that hours are read by, in English as in the guild file.
_DAYS = ("Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays")
_PARTS = (
    (_("morning"), "9 am to noon"),
    (_("afternoon"), "1 pm to 5 pm"),
    (_("evening"), "6 pm to 9 pm"),
)


@dataclass(frozen=True, slots=True)
class Part:
    label: Any
    hours: str
    rule: str


@dataclass(frozen=True, slots=True)
class WeekDay:
    label: Any
    short: Any
    parts: tuple[Part, ...]


def usual_week() -> tuple[WeekDay, ...]:
    return tuple(
        WeekDay(
            WEEKDAYS[number],
            WEEKDAYS_ABBR[number],
            tuple(Part(label, hours, f"{day} {hours}") for label, hours in _PARTS),
        )
        for number, day in enumerate(_DAYS)
    )

"""The rota of a day as a grid, for a sheet and a page: a column for each stand and class, rows of hours."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from loomready.event.day.turns import OpenSlots, Turn
from loomready.event.plan_event import EventPlan
from loomready.phrases import Phrase, capitalized, phrase
from loomready.report.event_times import span_told
from loomready.report.event_words import TO_MEND, person_named

Place = tuple[str | None, str | None]
"""The keys of a stand and of a class; neither: on duty to mend."""
MENDING: Place = (None, None)


@dataclass(frozen=True, slots=True)
class Cell:
    """Who is at a place from one row on for ``rows`` rows. ``lacks``: how many are missing; ``closed``: the
    stand is not open, or there is no class then."""

    row: int
    rows: int
    people: tuple[str | Phrase, ...]
    lacks: int
    closed: bool

    @property
    def lacks_told(self) -> str:
        """ "2 more needed"; empty where nobody is missing."""
        return phrase("{count} more needed", count=self.lacks) if self.lacks else ""


@dataclass(frozen=True, slots=True)
class DayGrid:
    """``rows``: from when to when; ``columns``: the name of each place with its cells from top to bottom,
    which cover every row."""

    day: date
    rows: tuple[tuple[datetime, datetime], ...]
    columns: tuple[tuple[str | Phrase, tuple[Cell, ...]], ...]

    def hours(self, plan: EventPlan) -> tuple[Phrase, ...]:
        return tuple(span_told(start, end, plan.guild.units) for start, end in self.rows)


def rota_grids(plan: EventPlan) -> tuple[DayGrid, ...]:
    """A grid for each day of the event on which there is something to do."""
    return tuple(
        grid
        for day in sorted({each.start.date() for each in plan.event.days})
        if (grid := _grid(plan, day)) is not None
    )


def _grid(plan: EventPlan, day: date) -> DayGrid | None:
    turns = [each for each in plan.day.turns if each.start.date() == day]
    lacking = [each for each in plan.day.stretches if each.start.date() == day]
    every: list[Turn | OpenSlots] = [*turns, *lacking]
    moments = sorted({moment for each in every for moment in (each.start, each.end)})
    if not moments:
        return None
    rows = tuple(pairwise(moments))
    columns = tuple(
        (name, tuple(_cells(plan, rows, place, turns, lacking)))
        for place, name in _places(plan)
        if any(_place(each) == place for each in every)
    )
    return DayGrid(day, rows, columns)


def _places(plan: EventPlan) -> list[tuple[Place, str | Phrase]]:
    """Stands, then classes, then who is on duty to mend."""
    return [
        *(((each.key, None), each.name) for each in plan.guild.stands),
        *(((None, each.key), each.name) for each in plan.guild.classes),
        (MENDING, capitalized(TO_MEND)),
    ]


def _place(each: Turn | OpenSlots) -> Place:
    return each.stand, each.lesson


def _cells(
    plan: EventPlan,
    rows: tuple[tuple[datetime, datetime], ...],
    place: Place,
    turns: list[Turn],
    lacking: list[OpenSlots],
) -> Iterator[Cell]:
    """Rows that follow each other with the same people are one cell."""

    turns = [each for each in turns if _place(each) == place]
    lacking = [each for each in lacking if _place(each) == place]

    def state(start: datetime, end: datetime) -> tuple[tuple[str, ...], int]:
        here = tuple(each.person for each in turns if each.start <= start and end <= each.end)
        return here, sum(each.lacks for each in lacking if each.start <= start and end <= each.end)

    states = [state(*row) for row in rows]
    first = 0
    for row in range(1, len(rows) + 1):
        if row == len(rows) or states[row] != states[first]:
            people, lacks = states[first]
            names = tuple(person_named(plan, one) for one in people)
            yield Cell(first, row - first, names, lacks, not people and not lacks)
            first = row

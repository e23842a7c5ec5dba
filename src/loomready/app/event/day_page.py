"""What the event's page shows of the days themselves: who is where, what classes need, what is packed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from loomready.app.event.when import span_said
from loomready.app.i18n.words import sentence, translated
from loomready.event.day.turns import Turn
from loomready.event.plan_event import EventPlan
from loomready.report.event_day_text import kit_rows, place_named
from loomready.report.event_times import long_day_told
from loomready.report.event_words import person_named, turn_named
from loomready.report.rota_grid import Cell, DayGrid, rota_grids


@dataclass(frozen=True, slots=True)
class RotaDay:
    """A day: the names of its places, and row by row its hours with the cells that begin there."""

    name: str
    places: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]


@dataclass(frozen=True, slots=True)
class TurnRow:
    """A turn of somebody. ``key``: of the person."""

    when: str
    person: str
    where: str
    key: str


@dataclass(frozen=True, slots=True)
class Now:
    """On a day of the event: who is where now, and the turns that come later that day."""

    here: tuple[TurnRow, ...]
    later: tuple[TurnRow, ...]


@dataclass(frozen=True, slots=True)
class Kit:
    """The materials of a class, each with what is needed, what is there and what is short."""

    name: str
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Packed:
    """What goes along for a loom, a stand, a class or the event: how many of each thing."""

    name: str
    rows: tuple[tuple[int, str], ...]


def rota_of(plan: EventPlan) -> Iterator[RotaDay]:
    for grid in rota_grids(plan):
        yield RotaDay(
            translated(long_day_told(grid.day, plan.guild.units)),
            tuple(translated(name) for name, _cells in grid.columns),
            tuple(
                (translated(hours), tuple(_beginning(grid, row)))
                for row, hours in enumerate(grid.hours(plan))
            ),
        )


def _beginning(grid: DayGrid, row: int) -> Iterator[Cell]:
    for _name, cells in grid.columns:
        yield from (cell for cell in cells if cell.row == row)


def now_of(plan: EventPlan, now: datetime) -> Now | None:
    """What goes on at the event; None: it is not one of its days, or that day is over."""
    today = [each for each in plan.day.turns if each.start.date() == now.date()]
    goes_on = any(each.start.date() == now.date() and now < each.end for each in plan.event.days)
    if not today or not goes_on:
        return None
    turns = [each for each in today if each.end > now]
    return Now(
        tuple(_told(plan, each) for each in turns if each.start <= now),
        tuple(_told(plan, each) for each in turns if each.start > now),
    )


def _told(plan: EventPlan, each: Turn) -> TurnRow:
    return TurnRow(
        span_said(each.start, each.end, plan.guild.units),
        translated(person_named(plan, each.person)),
        translated(turn_named(plan, each)),
        each.person,
    )


def packing_of(plan: EventPlan) -> Iterator[Packed]:
    for key in dict.fromkeys(each.packed_for for each in plan.packing):
        rows = tuple((each.count, translated(each.thing)) for each in plan.packing if each.packed_for == key)
        yield Packed(sentence(place_named(plan, key)), rows)


def kits_of(plan: EventPlan) -> Iterator[Kit]:
    for key in dict.fromkeys(each.lesson for each in plan.kits):
        rows = tuple(kit_rows(plan, each) for each in plan.kits if each.lesson == key)
        yield Kit(translated(place_named(plan, key)), rows)

"""The sheets of an event as PDFs: a chart of the work before it, the rota, lists, kits, packing, signs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from loomready import files
from loomready.event.day.turns import Turn
from loomready.event.plan_event import EventPlan
from loomready.event.replan import Session
from loomready.packet.event_signs import signs
from loomready.packet.options import USUAL
from loomready.packet.packet import sheets_pdf
from loomready.packet.pictures import Pictures
from loomready.packet.wall_chart import wall_chart
from loomready.packet.words import Data
from loomready.phrases import ENGLISH, Catalog, Phrase, phrase
from loomready.problems import BadInput
from loomready.report.event_day_text import kit_rows, place_named
from loomready.report.event_times import day_and_date_told, long_day_told, span_told
from loomready.report.event_words import person_named, session_named, turn_named
from loomready.report.rota_grid import rota_grids

CAUTIONS = (
    phrase("Keep fingers, hair, scarves and cords clear of beams, ratchets and moving shafts."),
    phrase("Children weave only with an adult beside them."),
    phrase("Tape cords to the floor, and keep aisles, fire exits and extinguishers free."),
    phrase("Lift looms and boxes by twos, close to the body; ask for help with anything heavy."),
    phrase("Take your breaks. Know where the first aid kit is, and who is trained to use it."),
    phrase("The rules of the venue, local codes and licensed people come first."),
)
SHEETS = ("wall-chart", "wall-chart-pages", "rota", "people", "kits", "packing", "signs", "signs-half")
ROTA_COLUMNS = 5  # of a grid on one sheet


def write_event_sheets(
    plan: EventPlan, folder: Path, *, catalog: Catalog = ENGLISH, language: str = "en-US"
) -> tuple[Path, ...]:
    """Writes each of :data:`SHEETS` that has something on it as a PDF.

    All are laid out before the first is written.

    :raises BadInput: the folder or a file cannot be written
    """
    made = {
        folder / f"{name}.pdf": pdf
        for name in SHEETS
        if (pdf := event_sheet(plan, name, catalog=catalog, language=language)) is not None
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(
            phrase("cannot be made: {reason}", reason=error.strerror or f"{error}"), file=str(folder)
        ) from error
    for path, pdf in made.items():
        files.write_whole(path, pdf)
    return tuple(made)


def has_rows(plan: EventPlan, name: str) -> bool:
    """Whether something stands on one of :data:`SHEETS`."""
    if name in _LISTS:
        return bool(_LISTS[name][1](plan))
    if name in ("signs", "signs-half"):
        return bool(plan.guild.stands)
    return bool(plan.sessions)


def event_sheet(
    plan: EventPlan, name: str, *, catalog: Catalog = ENGLISH, language: str = "en-US"
) -> bytes | None:
    """One of :data:`SHEETS`: the work before the event on one large sheet or on several of the guild's paper,
    the rota, a list for each person, kits, what to pack, or signs on whole or half sheets; None: it would
    be empty."""
    if name in ("wall-chart", "wall-chart-pages"):
        chart = wall_chart(plan, large=name == "wall-chart")
        if chart is None:
            return None
        made = {"frame": _frame(plan, phrase("The work before the event")), "chart": chart}
        return sheets_pdf("wall-chart.typ", made, catalog, language)
    if name in ("signs", "signs-half"):
        pictures = Pictures()
        sheet = signs(plan, pictures, half=name == "signs-half")
        if sheet is None:
            return None
        made = {"frame": _frame(plan, phrase("Signs")), "sheet": sheet}
        return sheets_pdf("signs.typ", made, catalog, language, pictures.made)
    title, parts_of = _LISTS[name]
    parts = parts_of(plan)
    if not parts:
        return None
    lists = {"frame": _frame(plan, title), "parts": parts, "cautions": list(CAUTIONS)}
    return sheets_pdf("event.typ", lists, catalog, language)


def _frame(plan: EventPlan, title: Phrase) -> Data:
    return {
        "title": title,
        "event": plan.event.name,
        "guild": plan.guild.name,
        "scale": 1.0,
        "paper": USUAL.paper_of(plan.guild),
    }


def _rota(plan: EventPlan) -> list[Data]:
    """A grid for each day, wide ones in parts that a sheet has room for."""
    made = []
    for grid in rota_grids(plan):
        for first in range(0, len(grid.columns), ROTA_COLUMNS):
            columns = grid.columns[first : first + ROTA_COLUMNS]
            made.append(
                {
                    "name": long_day_told(grid.day, plan.guild.units),
                    "hours": [*grid.hours(plan)],
                    "columns": [
                        {
                            "name": name,
                            "cells": [
                                {
                                    "rows": cell.rows,
                                    "people": [*cell.people],
                                    "lacks": cell.lacks_told,
                                    "closed": cell.closed,
                                }
                                for cell in cells
                            ],
                        }
                        for name, cells in columns
                    ],
                }
            )
    return made


def _people(plan: EventPlan) -> list[Data]:
    units = plan.guild.units
    made = []
    for person in plan.guild.people:
        own: list[tuple[Session | Turn, Phrase]] = [
            (each, session_named(plan, each, person.key))
            for each in plan.sessions
            if person.key in each.people
        ]
        own += [(each, turn_named(plan, each)) for each in plan.day.turns if each.person == person.key]
        rows = [
            [day_and_date_told(each.start.date(), units), span_told(each.start, each.end, units), said]
            for each, said in own
        ]
        if rows:
            name = person_named(plan, person.key)
            made.append({"name": name, "tick": True, "rows": rows})
    return made


def _kits(plan: EventPlan) -> list[Data]:
    made = []
    for lesson in plan.guild.classes:
        rows = [[*kit_rows(plan, each)] for each in plan.kits if each.lesson == lesson.key]
        if rows:
            head = [phrase("material"), phrase("needed"), phrase("there"), phrase("short")]
            made.append({"name": lesson.name, "tick": True, "head": head, "rows": rows})
    return made


def _packing(plan: EventPlan) -> list[Data]:
    made = []
    for key in dict.fromkeys(each.packed_for for each in plan.packing):
        rows = [[f"{each.count}", each.thing] for each in plan.packing if each.packed_for == key]
        made.append({"name": place_named(plan, key), "tick": True, "rows": rows})
    return made


_LISTS: dict[str, tuple[Phrase, Callable[[EventPlan], list[Data]]]] = {
    "rota": (phrase("Who is where"), _rota),
    "people": (phrase("For each person"), _people),
    "kits": (phrase("Kits"), _kits),
    "packing": (phrase("To pack"), _packing),
}

"""The list of warps: searched, filtered and sorted; those off the loom by year."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby

from django.utils.translation import gettext_lazy as _

from loomready.app.forms.list_filter import Filters, choice, words
from loomready.app.progress.overview import State, state
from loomready.app.state.snapshot import Snapshot

STAGES = {"": _("planned and under way"), "planned": _("planned"), "under way": _("under way")}
SORTS = {
    "": _("order of claims on yarn"),
    "name": _("name"),
    "loom": _("loom"),
    "progress": _("progress"),
}


@dataclass(frozen=True, slots=True)
class Line:
    """A warp of the list and the name of its loom."""

    state: State
    loom: str


@dataclass(frozen=True, slots=True)
class WarpList:
    """``lines``: warps not off the loom that were asked for; ``finished``: those off the loom,
    newest year first.

    ``can_move``: all are shown in the order in which they claim yarn, so that they can change places.
    """

    filters: Filters
    lines: tuple[Line, ...]
    finished: tuple[tuple[int, tuple[Line, ...]], ...]
    all: int
    can_move: bool


def warp_list(snapshot: Snapshot, given: Mapping[str, str]) -> WarpList:
    """The list that an address asks for."""
    names = {loom.key: loom.name for loom in snapshot.guild.looms}
    short = ("short", _("only warps that are short or to be checked"), bool(given.get("short")))
    asked = Filters(
        words(given),
        _("Search warps, drafts, looms"),
        (
            choice(given, "loom", _("Loom"), {"": _("any")} | names),
            choice(given, "stage", _("Show"), STAGES),
            choice(given, "sort", _("Sort by"), SORTS),
        ),
        short,
    )
    every = [Line(made := state(snapshot, each), names[made.planned.order.loom]) for each in snapshot.planned]
    there = [line for line in every if not line.state.is_off]
    lines = [line for line in there if _wanted(snapshot, line, asked)]
    if asked.chosen("sort") == "name":
        lines.sort(key=lambda line: line.state.title.casefold())
    elif asked.chosen("sort") == "loom":
        lines.sort(key=lambda line: line.loom.casefold())
    elif asked.chosen("sort") == "progress":
        lines.sort(key=lambda line: line.state.steps_left)
    off = [line for line in every if line.state.is_off and _found(snapshot, line, asked)]
    return WarpList(
        asked, tuple(lines), tuple(_by_year(off)), len(every), not asked.anything and len(there) > 1
    )


def _wanted(snapshot: Snapshot, line: Line, asked: Filters) -> bool:
    order, short = line.state.planned.order, bool(asked.only and asked.only[2])
    return (
        _found(snapshot, line, asked)
        and asked.chosen("loom") in ("", order.loom)
        and asked.chosen("stage") in ("", "under way" if line.state.begun else "planned")
        and (not short or bool(line.state.short or line.state.look))
    )


def _found(snapshot: Snapshot, line: Line, asked: Filters) -> bool:
    order = line.state.planned.order
    draft = snapshot.drafts.get(order.draft)
    return asked.finds((line.state.title, line.loom, order.draft, (draft and draft.title) or ""))


def _by_year(lines: list[Line]) -> Iterable[tuple[int, tuple[Line, ...]]]:
    def year(line: Line) -> int:
        off = line.state.planned.order.off
        return off.year if off is not None else 0

    lines = sorted(lines, key=year, reverse=True)
    return ((each, tuple(group)) for each, group in groupby(lines, year))

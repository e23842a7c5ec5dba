"""The list of warps: searched, filtered and sorted; those off the loom by year."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.utils.translation import gettext_lazy as _

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
class Asked:
    """What the address asks for. ``find``: words of the name, the draft or the loom."""

    find: str = ""
    loom: str = ""
    stage: str = ""
    sort: str = ""
    short: bool = False

    @property
    def anything(self) -> bool:
        return self != Asked()


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

    asked: Asked
    lines: tuple[Line, ...]
    finished: tuple[tuple[int, tuple[Line, ...]], ...]
    all: int
    looms: tuple[tuple[str, str], ...]
    can_move: bool
    stages: tuple[tuple[str, Any], ...] = tuple(STAGES.items())
    sorts: tuple[tuple[str, Any], ...] = tuple(SORTS.items())


def asked_of(given: Mapping[str, str]) -> Asked:
    """What an address asks for; unknown words count as nothing."""
    stage, sort = given.get("stage", ""), given.get("sort", "")
    return Asked(
        find=" ".join(given.get("find", "")[:100].split()),
        loom=given.get("loom", ""),
        stage=stage if stage in STAGES else "",
        sort=sort if sort in SORTS else "",
        short=bool(given.get("short")),
    )


def warp_list(snapshot: Snapshot, asked: Asked) -> WarpList:
    names = {loom.key: loom.name for loom in snapshot.guild.looms}
    every = [Line(made := state(snapshot, each), names[made.planned.order.loom]) for each in snapshot.planned]
    there = [line for line in every if not line.state.is_off]
    lines = [line for line in there if _wanted(snapshot, line, asked)]
    if asked.sort == "name":
        lines.sort(key=lambda line: line.state.title.casefold())
    elif asked.sort == "loom":
        lines.sort(key=lambda line: line.loom.casefold())
    elif asked.sort == "progress":
        lines.sort(key=lambda line: line.state.steps_left)
    off = [line for line in every if line.state.is_off and _found(snapshot, line, asked.find)]
    return WarpList(
        asked,
        tuple(lines),
        tuple(_by_year(off)),
        len(every),
        tuple(names.items()),
        not asked.anything and len(there) > 1,
    )


def _wanted(snapshot: Snapshot, line: Line, asked: Asked) -> bool:
    order = line.state.planned.order
    return (
        _found(snapshot, line, asked.find)
        and asked.loom in ("", order.loom)
        and asked.stage in ("", "under way" if line.state.begun else "planned")
        and (not asked.short or bool(line.state.short or line.state.look))
    )


def _found(snapshot: Snapshot, line: Line, find: str) -> bool:
    order = line.state.planned.order
    draft = snapshot.drafts.get(order.draft)
    text = "\n".join((line.state.title, line.loom, order.draft, (draft and draft.title) or "")).casefold()
    return all(word in text for word in find.casefold().split())


def _by_year(lines: list[Line]) -> Iterable[tuple[int, tuple[Line, ...]]]:
    def year(line: Line) -> int:
        off = line.state.planned.order.off
        return off.year if off is not None else 0

    lines = sorted(lines, key=year, reverse=True)
    return ((each, tuple(group)) for each, group in groupby(lines, year))

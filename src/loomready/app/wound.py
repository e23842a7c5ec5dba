"""A warp that is wound already: what a change would make of it, said before anything is saved."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app import progress
from loomready.app.fields import equal
from loomready.app.room import Entry, Room
from loomready.problems import BadInput
from loomready.warp.wound import differences

LABELS = {
    "ends": gettext_lazy("Ends"),
    "yarns": gettext_lazy("Warp yarns"),
    "order": gettext_lazy("Ends of another yarn"),
    "length": gettext_lazy("Warp length"),
    "bouts": gettext_lazy("Bouts"),
    "sley": gettext_lazy("Reed and ends per dent"),
    "loom": gettext_lazy("Loom"),
    "threading": gettext_lazy("Ends on another shaft"),
    "shafts": gettext_lazy("Shafts of the loom, in the draft's order"),
}
# Of the steps that are ticked off, those that fix something.
_STAGES = {"wound": "wound", "sleyed": "sleyed"}


@dataclass(frozen=True, slots=True)
class Line:
    label: Any
    done: str
    wanted: str


@dataclass(frozen=True, slots=True)
class Against:
    """What a change contradicts. ``step``: how far the warp is; ``asked``: what else was posted with it."""

    step: Any
    day: date | None
    lines: tuple[Line, ...]
    asked: tuple[tuple[str, str], ...] = ()
    remedy: bool = False


@dataclass(frozen=True, slots=True)
class Touched:
    """A wound warp, and what of it a change to something else contradicts."""

    warp: str
    against: Against


def against(room: Room, key: str, made: dict[str, Any]) -> Against | None:
    """What of the wound warp a changed table contradicts; None where nothing stands in its way."""
    return _between(room, _with(room, "warps", key, made), key)


def touched(room: Room, kind: str, key: str, made: dict[str, Any]) -> tuple[Touched, ...]:
    """The wound warps that a changed loom or reed contradicts: its waste is wound, its heddles are full."""
    try:
        after = _with(room, kind, key, made)
    except BadInput:
        return ()  # saving says what is wrong
    found = []
    for order in room.guild.warps:
        if progress.step_of(room, order.key) != "cut off":
            differs = _between(room, after, order.key)
            if differs is not None:
                found.append(Touched(order.key, differs))
    return tuple(found)


def _with(room: Room, kind: str, key: str, made: dict[str, Any]) -> Room:
    return Room({**room.entries, (kind, key): Entry(kind, key, 0, made)})


def _between(room: Room, wanted: Room, key: str) -> Against | None:
    planned = room.plan_of(key)
    if planned is None or planned.plan is None:
        return None
    step = progress.step_of(room, key)
    if step == "planned":
        if planned.order.wound is None:
            return None
        step = "wound"
    after = wanted.plan_of(key)
    if after is None or after.plan is None:
        return None
    found = differences(planned.plan, after.plan, _STAGES.get(step, "threaded"))
    if not found:
        return None
    lines = tuple(Line(LABELS[each.key], each.done, each.wanted) for each in found)
    return Against(progress.label_of(step), planned.order.wound, lines)


DONE = ("wound", "wound_length", "wound_from", "off")  # what a warp that is not begun does not say


def another(room: Room, key: str, made: dict[str, Any]) -> dict[str, Any]:
    """The changed table as a warp of its own, not wound yet, under the next free name."""
    taken = [order.key for order in room.guild.warps]
    number = 2
    while equal(_named(key, number), taken):
        number += 1
    kept = {name: value for name, value in made.items() if name not in DONE}
    return kept | {"key": _named(key, number)}


def _named(key: str, number: int) -> str:
    return _("%(name)s %(number)d") % {"name": key[:58], "number": number}

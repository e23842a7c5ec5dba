"""Previews of a draft that is not saved yet: its pictures, and its figures in words."""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from loomready.app.i18n.words import READERS
from loomready.cloth.diagram import Shaft1, draft_png
from loomready.cloth.picture import cloth_png
from loomready.draft.draft import Draft
from loomready.model.guild import Side
from loomready.problems import BadInput
from loomready.warp.plan import analysis_of

_MOST_KEPT = 600
_kept: OrderedDict[str, bytes] = OrderedDict()
_guard = threading.Lock()

Level = Literal["", "done", "warn", "stop"]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture held on the server for the page it was drawn for; size in CSS pixels."""

    name: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure in words, with a mark beside it where it is good or bad.

    sound  marks whether the cloth is sound: floats, parts, plain weave
    """

    label: str
    value: str
    level: Level = ""
    sound: bool = False


def keep(png: bytes, width: int, height: int) -> Picture:
    """Hold a picture under a name made from its content."""
    name = hashlib.sha256(png).hexdigest()[:20]
    with _guard:
        _kept[name] = png
        _kept.move_to_end(name)
        while len(_kept) > _MOST_KEPT:
            _kept.popitem(last=False)
    return Picture(name, width, height)


def held(name: str) -> bytes | None:
    with _guard:
        return _kept.get(name)


def cloth(draft: Draft, end_1: Side, *, ends: int = 64, picks: int = 44, cell: int = 6) -> Picture:
    """A corner of the cloth, its repeats going on where the draft is smaller."""
    return keep(_cloth(draft, end_1, ends, picks, cell), ends * cell, picks * cell)


@lru_cache(maxsize=256)
def _cloth(draft: Draft, end_1: Side, ends: int, picks: int, cell: int) -> bytes:
    return cloth_png(draft, cell, ends=range(ends), picks=range(picks), end_1=end_1)


_NUMBERED, _LARGEST = 48, 160  # threads of a draft that is drawn with numbers in its cells, or at all


def diagram(draft: Draft, end_1: Side, shaft_1: Shaft1) -> Picture | None:
    """The draft with its drawdown; None where it is too large to read."""
    if max(draft.ends, draft.picks) > _LARGEST:
        return None
    try:
        png = _diagram(draft, end_1, shaft_1, get_language() or "")
    except BadInput:
        return None
    width, height = (int.from_bytes(png[at : at + 4], "big") for at in (16, 20))
    return keep(png, width, height)


@lru_cache(maxsize=128)
def _diagram(draft: Draft, end_1: Side, shaft_1: Shaft1, language: str) -> bytes:
    cell = 12 if max(draft.ends, draft.picks) <= _NUMBERED else 8
    return draft_png(draft, cell, end_1=end_1, shaft_1=shaft_1, catalog=READERS)


def figures(draft: Draft) -> tuple[Figure, ...]:
    """Ends, picks, shafts, treadles, floats, whether it holds together and can weave plain weave."""
    found = analysis_of(draft)
    parts = ngettext("no: %d part", "no: %d parts", found.parts) % found.parts
    return (
        Figure(_("Ends, picks"), f"{found.ends} × {found.picks}"),
        Figure(_("Shafts"), str(found.shafts_used)),
        Figure(_("Treadles"), _("lift plan") if found.treadles is None else str(found.treadles)),
        Figure(
            _("Longest float"),
            floats(found.longest_warp_float, found.longest_weft_float),
            "warn" if None in (found.longest_warp_float, found.longest_weft_float) else "",
            sound=True,
        ),
        Figure(
            _("Holds together"),
            _("yes") if found.holds_together else parts,
            "done" if found.holds_together else "warn",
            sound=True,
        ),
        Figure(
            _("Plain weave"),
            _("can be woven") if found.plain_weave else _("not on this threading"),
            sound=True,
        ),
    )


def floats(warp: int | None, weft: int | None) -> str:
    """Longest floats, warp and weft; None: a thread that lies loose."""
    never = _("loose thread")
    return _("warp over %(warp)s, weft over %(weft)s") % {
        "warp": never if warp is None else warp,
        "weft": never if weft is None else weft,
    }


@dataclass(frozen=True, slots=True)
class FigureChange:
    """A figure before and after; ``differs``: it is not the same."""

    label: str
    before: str
    after: str
    level: Level = ""
    sound: bool = False

    @property
    def differs(self) -> bool:
        return self.before != self.after


def compared(before: Draft, after: Draft) -> tuple[FigureChange, ...]:
    """The figures of two drafts side by side, and how much there is to lift."""
    old, new = analysis_of(before), analysis_of(after)
    lines = [
        FigureChange(
            one.label, one.value, other.value, other.level if other.level != one.level else "", one.sound
        )
        for one, other in zip(figures(before), figures(after), strict=True)
    ]
    lines.append(FigureChange(_("Different lifts"), str(old.distinct_lifts), str(new.distinct_lifts)))
    lines.append(FigureChange(_("Most shafts up"), str(old.most_shafts_up), str(new.most_shafts_up)))
    lines.append(FigureChange(_("Levers moved, all picks"), str(old.lever_moves), str(new.lever_moves)))
    return tuple(lines)

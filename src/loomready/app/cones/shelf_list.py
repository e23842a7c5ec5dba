"""The list of yarns on the shelf: searched, filtered, sorted, and in the guild's own order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from django.utils.translation import gettext_lazy as _

from loomready.app.cones import shelf
from loomready.app.cones.shelf import YarnRow
from loomready.app.forms.list_filter import MANY, Filters, choice, words
from loomready.app.state import places
from loomready.app.state.snapshot import Snapshot
from loomready.choose.colors.hues import color_word
from loomready.cloth.color import oklab
from loomready.colors import RGB

COLORS = {
    "": _("any"),
    "neutral": _("undyed, gray, black"),
    "red": _("red and pink"),
    "orange": _("orange and brown"),
    "yellow": _("yellow"),
    "green": _("green"),
    "blue": _("blue"),
    "purple": _("purple"),
}
HOLDS = {
    "": _("all"),
    "short": _("short for a warp"),
    "claimed": _("claimed by a warp"),
    "free": _("claimed by no warp"),
    "none": _("none left"),
}
SORTS = {
    "": _("order of the shelf"),
    "name": _("name"),
    "fine": _("fineness"),
    "color": _("color"),
    "most": _("most left"),
    "least": _("least left"),
}


@dataclass(frozen=True, slots=True)
class ShelfList:
    """``can_move``: all yarns are shown in the order of the shelf, so that they can change places.

    ``open``: few are shown, and their cones with them.
    """

    filters: Filters
    rows: tuple[YarnRow, ...]
    all: int
    cones: int
    can_move: bool

    @property
    def many(self) -> bool:
        return self.all > MANY

    @property
    def open(self) -> bool:
        return len(self.rows) <= MANY


def shelf_list(snapshot: Snapshot, given: Mapping[str, str]) -> ShelfList:
    """The list that an address asks for."""
    every = shelf.rows(snapshot)
    fibers = {row.yarn.fiber: row.yarn.fiber for row in every if row.yarn.fiber}
    counts = {row.size: row.size for row in every}
    asked = Filters(
        words(given),
        _("Search yarns and cones"),
        (
            choice(given, "fiber", _("Fiber"), {"": _("any")} | dict(sorted(fibers.items()))),
            choice(given, "count", _("Count"), {"": _("any")} | dict(sorted(counts.items()))),
            choice(given, "color", _("Color"), COLORS),
            choice(given, "holds", _("Show"), HOLDS),
            choice(given, "sort", _("Sort by"), SORTS),
        ),
    )
    rows = [row for row in every if _wanted(row, asked)]
    by = asked.chosen("sort")
    if by == "name":
        rows.sort(key=lambda row: row.yarn.name.casefold())
    elif by == "fine":
        rows.sort(key=lambda row: row.yarn.tex)
    elif by == "color":
        rows.sort(key=lambda row: list(COLORS).index(_word(row.yarn.color)))
    elif by in ("most", "least"):
        rows.sort(key=lambda row: row.sure_m, reverse=by == "most")
    cones = sum(len(row.cones) for row in every)
    return ShelfList(asked, tuple(rows), len(every), cones, not asked.anything and len(every) > 1)


def move(snapshot: Snapshot, key: str, to: str, who: str) -> None:
    """Put a yarn before or after others.

    :raises BadInput: as :func:`places.move`
    """
    places.move(snapshot, "yarns", [each.key for each in snapshot.guild.yarns], frozenset(), key, to, who)


def _wanted(row: YarnRow, asked: Filters) -> bool:
    claimed = any(claim.length for claim in row.claims)
    holds = {
        "": True,
        "short": row.short,
        "claimed": claimed,
        "free": not claimed,
        "none": row.sure_m <= 0,
    }
    return (
        asked.finds(shelf.names(row))
        and asked.chosen("fiber") in ("", row.yarn.fiber)
        and asked.chosen("count") in ("", row.size)
        and asked.chosen("color") in ("", _word(row.yarn.color))
        and holds[asked.chosen("holds")]
    )


@lru_cache(maxsize=1024)
def _word(color: RGB) -> str:
    return color_word(oklab(color))

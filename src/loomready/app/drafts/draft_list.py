"""The list of drafts: searched, filtered and sorted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from loomready.app.drafts.gallery import DraftCard, cards
from loomready.app.forms.list_filter import MANY, Filters, choice, words
from loomready.app.state.snapshot import Snapshot
from loomready.draft.structure.analysis import Analysis
from loomready.warp.plan import analysis_of

SHORT_FLOATS = 3  # threads: more are told apart as longer ones; ours
STRUCTURES = {
    "": gettext_lazy("any"),
    "plain": gettext_lazy("plain weave"),
    "short": gettext_lazy("floats of 2 or 3"),
    "long": gettext_lazy("longer floats"),
    "layers": gettext_lazy("layers"),
    "mirrored": gettext_lazy("symmetrical"),
    "tabby": gettext_lazy("tabby can be woven"),
}
USES = {
    "": gettext_lazy("all"),
    "used": gettext_lazy("used for a warp"),
    "free": gettext_lazy("used for no warp"),
}
SORTS = {
    "": gettext_lazy("order of import"),
    "name": gettext_lazy("name"),
    "shafts": gettext_lazy("shafts"),
    "treadles": gettext_lazy("treadles"),
    "repeat": gettext_lazy("size of the repeat"),
}
LIFT_PLAN = "lift plan"


@dataclass(frozen=True, slots=True)
class Row:
    """A draft of the list; ``says``: what it takes, in a line."""

    card: DraftCard
    found: Analysis
    says: str


@dataclass(frozen=True, slots=True)
class DraftList:
    filters: Filters
    rows: tuple[Row, ...]
    all: int

    @property
    def many(self) -> bool:
        return self.all > MANY


def draft_list(snapshot: Snapshot, given: Mapping[str, str]) -> DraftList:
    """The list that an address asks for."""
    every = [_row(card) for card in cards(snapshot)]
    shafts = sorted({row.found.shafts_used for row in every})
    treadles = sorted({row.found.treadles for row in every if row.found.treadles is not None})
    treadled = {str(n): ngettext("%d or fewer", "%d or fewer", n) % n for n in treadles}
    if any(row.found.treadles is None for row in every):
        treadled[LIFT_PLAN] = _("lift plan")
    asked = Filters(
        words(given),
        _("Search drafts, warps"),
        (
            choice(
                given,
                "shafts",
                _("Shafts"),
                {"": _("any")} | {str(n): ngettext("%d or fewer", "%d or fewer", n) % n for n in shafts},
            ),
            choice(given, "treadles", _("Treadles"), {"": _("any")} | treadled),
            choice(given, "structure", _("Structure"), STRUCTURES),
            choice(given, "use", _("Show"), USES),
            choice(given, "sort", _("Sort by"), SORTS),
        ),
    )
    rows = [row for row in every if _wanted(snapshot, row, asked)]
    by = asked.chosen("sort")
    if by == "name":
        rows.sort(key=lambda row: row.card.title.casefold())
    elif by == "shafts":
        rows.sort(key=lambda row: row.found.shafts_used)
    elif by == "treadles":  # lift plans last
        rows.sort(key=lambda row: (row.found.treadles is None, row.found.treadles or 0))
    elif by == "repeat":
        rows.sort(key=lambda row: row.found.repeat[0] * row.found.repeat[1])
    return DraftList(asked, tuple(rows), len(every))


def _row(card: DraftCard) -> Row:
    found = analysis_of(card.draft)
    shafts = ngettext("%d shaft", "%d shafts", found.shafts_used) % found.shafts_used
    with_ = (
        _("lift plan")
        if found.treadles is None
        else ngettext("%d treadle", "%d treadles", found.treadles) % found.treadles
    )
    return Row(card, found, f"{shafts}, {with_}")


def _wanted(snapshot: Snapshot, row: Row, asked: Filters) -> bool:
    found, shafts, treadles = row.found, asked.chosen("shafts"), asked.chosen("treadles")
    warps = (snapshot.name("warps", key) for key in row.card.warps)
    return (
        asked.finds((row.card.title, row.card.stem, *warps))
        and (not shafts or found.shafts_used <= int(shafts))
        and _is_treadled(found, treadles)
        and _is_built(found, asked.chosen("structure"))
        and asked.chosen("use") in ("", "used" if row.card.warps else "free")
    )


def _is_treadled(found: Analysis, asked: str) -> bool:
    if asked == LIFT_PLAN:
        return found.treadles is None
    return not asked or (found.treadles is not None and found.treadles <= int(asked))


def _is_built(found: Analysis, asked: str) -> bool:
    floats = (found.longest_warp_float, found.longest_weft_float)
    longest = max((each for each in floats if each is not None), default=0)
    return {
        "": True,
        "plain": longest == 1 and found.holds_together,
        "short": 1 < longest <= SHORT_FLOATS,
        "long": longest > SHORT_FLOATS,
        "layers": not found.holds_together,
        "mirrored": found.mirror_ends and found.mirror_picks,
        "tabby": found.plain_weave,
    }[asked]

"""Finding drafts under limits: runs the search, and explains limits that no draft meets."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np

from loomready.choose.drafts.columns import DraftOffer, Setting, as_json
from loomready.choose.drafts.search import ROUNDS, Search
from loomready.choose.drafts.tabby_treadles import missing
from loomready.choose.drafts.wish import MOST_PICKS_ASKED, MOST_TREADLES, Wish
from loomready.draft.draft import RGB, Draft
from loomready.draft.structure.periods import number_rows
from loomready.phrases import Phrase, capitalized, phrase
from loomready.units import WIDTH_MM, factor
from loomready.warp.result import WarpPlan

__all__ = [
    "LIMITS",
    "FoundDrafts",
    "Nothing",
    "Search",
    "Setting",
    "WiderLimits",
    "Wish",
    "as_document",
    "as_file",
    "ends_across",
    "evened",
    "find",
    "mm_a_thread",
    "setting_of",
    "usual_setting",
    "why_nothing",
]

LIMITS: Mapping[str, Phrase] = {
    "picks": phrase("the pick repeat"),
    "max_float": phrase("the longest float"),
    "max_float_mm": phrase("the longest float"),
    "treadles": phrase("the treadles"),
    "max_steps": phrase("the steps to remember"),
    "symmetric": phrase("the mirror line"),
    "plain_weave": phrase("plain weave"),
    "heddles": phrase("the heddles"),
    "threading": phrase("the threading"),
}
"""The limits, by their names in a :class:`Wish`, and what to call them."""

_ROUNDS_TO_TELL = 4
USUAL_PER_INCH = 20.0
USUAL_DISTANCE_M = 3.0


@dataclass(frozen=True, slots=True)
class WiderLimits:
    """Limits dropped or changed so that there are drafts: ``nearest`` by limit, None: dropped."""

    nearest: Mapping[str, int | float | None]


@dataclass(frozen=True, slots=True)
class Nothing:
    """Why a search has no offer: each way alone would give some. No ways: not even without two of the
    limits."""

    ways: tuple[WiderLimits, ...]


@dataclass(frozen=True, slots=True)
class FoundDrafts:
    """What a search gives. ``nothing`` where there is no offer."""

    offers: tuple[DraftOffer, ...]
    searched: int
    nothing: Nothing | None


def usual_setting(shafts: int) -> Setting:
    """The default conditions: 20 ends and picks per inch, seen from 3 m."""
    mm = factor(WIDTH_MM.inside, "inch") / USUAL_PER_INCH
    return Setting(shafts, mm, mm, USUAL_DISTANCE_M)


def mm_a_thread(per_cm: float) -> float:
    """The mm per thread at a sett, and the reverse."""
    return factor(WIDTH_MM.inside, "cm") / per_cm


def setting_of(plan: WarpPlan, shafts: int, distance_m: float, colors: tuple[RGB, RGB]) -> Setting:
    """A warp's finished cloth, with one color for all its ends and one for all its picks."""
    return Setting(
        shafts,
        mm_per_end=plan.finished_width_mm / plan.web.ends,
        mm_per_pick=mm_a_thread(plan.wefts[0].picks_per_cm) * (1 - plan.order.shrink_length),
        distance_m=distance_m,
        warp_color=colors[0],
        weft_color=colors[1],
    )


def ends_across(width_mm: float, setting: Setting) -> int:
    """Ends in a cloth of that width."""
    return max(1, round(width_mm / setting.mm_per_end))


def find(
    wish: Wish,
    many: int,
    own: Mapping[str, Draft] | None = None,
    rounds: int = ROUNDS,
    stopped: Callable[[], bool] = lambda: False,
) -> FoundDrafts:
    """Drafts that meet the wish and differ from one another; the same wish gives the same drafts.

    :param own: existing drafts, by key: they are checked and offered too
    :param stopped: called between rounds; a search that is stopped keeps what it found
    """
    search = Search(wish, own).run(rounds, stopped)
    offers = search.more(many)
    nothing = None if offers or stopped() else why_nothing(wish)
    return FoundDrafts(tuple(offers), search.searched, nothing)


def evened(draft: Draft) -> Draft:
    """One repeat of a draft with extra ends that make both edges alike; no extra ends if none can.

    The extra ends are the beginning of the next repeat, so that any number of repeats can end with them.
    """
    ends = draft.ends
    for more in range(ends):
        whole = np.resize(draft.threading, ends + more)
        if np.array_equal(whole, whole[::-1]):
            return replace(draft, threading=whole, warp_colors=np.resize(draft.warp_colors, ends + more))
    return draft


def why_nothing(wish: Wish) -> Nothing:
    """The limits that exclude every draft, and the nearest value of each that does not, as far as this search
    goes.

    A limit excludes everything if dropping it alone gives offers. If none does, pairs are tried.
    """
    asked = [name for name in LIMITS if _asked(wish, name)]
    for together in (1, 2):
        ways = [
            WiderLimits({name: _nearest(wish, names, name) for name in names})
            for names in combinations(asked, together)
            if _any(_let_go(wish, names))
        ]
        if ways:
            return Nothing(tuple(ways))
    return Nothing(())


def _asked(wish: Wish, name: str) -> bool:
    if name == "max_float":
        return wish.float_limit is not None
    return getattr(wish, name) not in (None, False)


def _let_go(wish: Wish, names: tuple[str, ...]) -> Wish:
    for name in names:
        wish = replace(wish, **{name: _loosest(wish, name)})
    return wish


def _loosest(wish: Wish, name: str) -> Any:
    if name in ("max_float", "picks"):
        return max(64, 2 * wish.setting.shafts)
    return {"symmetric": False, "plain_weave": False}.get(name)


def _nearest(wish: Wish, names: tuple[str, ...], name: str) -> int | float | None:
    """The value nearest to the limit asked for that gives something, with the other limits of ``names``
    dropped."""
    others = _let_go(wish, tuple(each for each in names if each != name))
    if name == "max_float_mm":
        asked = wish.max_float_mm or 0.0
        each = (wish.setting.mm_per_end, wish.setting.mm_per_pick)
        reached = {threads * mm for mm in each for threads in range(1, 33)}
        tries: Iterator[Any] = iter(sorted(mm for mm in reached if mm > asked))
    elif name in ("picks", "max_float", "treadles", "max_steps"):
        asked_count = (wish.float_limit if name == "max_float" else getattr(wish, name)) or 0
        most = MOST_TREADLES if name == "treadles" else min(MOST_PICKS_ASKED, asked_count + 64)
        tries = iter(range(asked_count + 1, most + 1))
    else:
        return None
    return next((value for value in tries if _any(replace(others, **{name: value}))), None)


def _any(wish: Wish) -> bool:
    search = Search(wish)
    for _ in range(_ROUNDS_TO_TELL):
        search.step()
        if search.found:
            return bool(search.more(1))
    return False


def as_file(offer: DraftOffer, *, on_treadles: bool, tabby: bool = False) -> Draft:
    """The offer's draft with a title, and with treadles where they are wanted.

    :param tabby: its two sheds are tied up too, after the others; a draft that is there stays as it is
    """
    ends, picks = offer.found.repeat
    title = capitalized(phrase("{made_of}, {ends} × {picks}", made_of=offer.made_of, ends=ends, picks=picks))
    draft = offer.draft if offer.own else replace(offer.draft, title=title)
    if not on_treadles or draft.treadles is not None:
        return draft
    lifts = number_rows(draft.lifts)
    treadling = lifts.ids[:, None] == np.arange(lifts.count)
    tied = draft.lifts[lifts.first]
    if tabby:
        more = missing(draft)
        tied = np.concatenate([tied, more])
        treadling = np.pad(treadling, ((0, 0), (0, len(more))))
    return replace(draft, tieup=tied.T.copy(), treadling=treadling, rising=True)


def as_document(found: FoundDrafts) -> dict[str, Any]:
    """The document that ``find --json`` prints."""
    document: dict[str, Any] = {"offers": [as_json(offer) for offer in found.offers]}
    document["searched"] = found.searched
    if found.nothing is not None:
        document["nothing"] = [
            {"limits": list(way.nearest), "nearest": dict(way.nearest)} for way in found.nothing.ways
        ]
    return document

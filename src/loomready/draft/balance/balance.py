"""Balancing a threading: giving its repeat a mirror line, under its own lifts.

A threading is not symmetrical when its drawdown, as a continuous repeat, has no mirror line. The usual
changes are offered, each with the fewest ends or runs: ends added or dropped in one place, and in several
places where that takes fewer; ends moved to the shaft of the end they should mirror; whole runs of ends
slid up or down the shafts. Ends count as equal where they weave alike, on one shaft or on shafts that lift
alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, Literal

import numpy as np

from loomready.draft.balance.mirror import joins, mismatched_pairs, pairs
from loomready.draft.balance.scatter import MOST_ENDS, scattered
from loomready.draft.balance.slide import fewest_slides
from loomready.draft.draft import Draft, Ints
from loomready.draft.structure import floats, integrity
from loomready.draft.structure.analysis import Structure, weaves_plain
from loomready.draft.structure.periods import AnyInts, Numbers

Kind = Literal["add", "drop", "change", "slide"]

_LOOKED_AT = 6  # of ways of one kind with equal counts: their cloths are compared
_SIDES = 5  # up to this many pairs or runs may each be done on either side of the axis
_SIDES_CELLS = 2_000_000  # cells of all the cloths compared in this way


@dataclass(frozen=True, slots=True)
class Moved:
    """Ends ``first`` to ``last`` (from 1, as a continuous repeat) go ``step`` shafts up, or down below 0."""

    first: int
    last: int
    step: int


@dataclass(frozen=True, slots=True, eq=False)
class Cloth:
    """The cloth that a threading weaves under the draft's lifts; floats as in ``Analysis``."""

    threading: Ints
    longest_warp_float: int | None
    longest_weft_float: int | None
    holds_together: bool
    plain_weave: bool
    heddles: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class BalanceOffer:
    """One way to balance a draft.

    ends     how many are added, dropped, changed, or slid
    runs     how many whole runs are slid; None for the other kinds
    axis     end e meets end ``axis`` - e of the new threading, counted from 1, as a continuous repeat
    cloth    what the new threading weaves
    sources  int64[E'], the end of the old threading (from 0) that each end of the new one comes from
    touched  ends (from 1): of the old threading where they are dropped, else of the new one
    moved    the runs that slide
    """

    kind: Kind
    ends: int
    runs: int | None
    axis: int
    cloth: Cloth
    sources: Numbers
    touched: tuple[int, ...]
    moved: tuple[Moved, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Balance:
    """Whether a draft is symmetrical, about which axes, and what would balance it, the best first."""

    draft: Draft
    before: Cloth
    axes: tuple[int, ...]
    offers: tuple[BalanceOffer, ...]

    @property
    def already(self) -> bool:
        return bool(self.axes)


def balance(draft: Draft) -> Balance:
    """Find the mirror lines of the threading, or ways to give it one.

    :raises BadInput: the draft has no ends or no picks
    """
    ids = Structure(draft).end_ids
    before = _cloth(draft, draft.threading)
    lacking = mismatched_pairs(ids)
    axes = tuple((np.flatnonzero(lacking == 0) + 2).tolist())
    if axes:
        return Balance(draft, before, axes, ())
    best = [
        min(ways, key=lambda offer: _rank(offer))
        for ways in (
            [*_changes(draft, lacking)],
            [*_slides(draft)],
            [*_added(draft, ids)],
            [*_dropped(draft, ids)],
            *_anywhere(draft, ids),
        )
        if ways
    ]
    return Balance(draft, before, (), tuple(sorted(best, key=lambda offer: _rank(offer))))


def leaning(draft: Draft) -> tuple[int, tuple[int, ...]]:
    """The axis nearest to a mirror line, and the ends (from 1) that don't mirror about it."""
    ids = Structure(draft).end_ids
    axis = int(np.argmin(mismatched_pairs(ids)))
    one, other = pairs(len(ids), axis)
    differ = ids[one] != ids[other]
    return axis + 2, tuple(sorted((np.concatenate([one[differ], other[differ]]) + 1).tolist()))


def balanced(draft: Draft, offer: BalanceOffer) -> Draft:
    """The draft with an offer applied: a new end has color and thickness of the end it mirrors."""
    sources = offer.sources
    return replace(
        draft,
        threading=offer.cloth.threading.copy(),
        warp_colors=draft.warp_colors[sources],
        warp_spacing_mm=None if draft.warp_spacing_mm is None else draft.warp_spacing_mm[sources],
        warp_thickness_mm=None if draft.warp_thickness_mm is None else draft.warp_thickness_mm[sources],
    )


def mirror_ends(axis: int, ends: int) -> tuple[int, ...]:
    """The end (from 1) that the mirror line of an ``axis`` runs through, or the two that it runs between.

    >>> mirror_ends(6, 10), mirror_ends(7, 10), mirror_ends(11, 10)
    ((3,), (3, 4), (5, 6))
    """
    end = (axis // 2 - 1) % ends + 1
    return (end,) if axis % 2 == 0 else (end, end % ends + 1)


def matching_edges(axis: int, ends: int) -> tuple[int, int]:
    """On which end (from 1) to start a web of whole repeats, and how many extra ends make its edges match.

    For a repeat symmetrical about ``axis``: 0 or 1 extra ends, the earliest start.

    >>> matching_edges(2, 6)  # 1-2-3-4-3-2 begins on its point and needs one more end
    (1, 1)
    """
    for more in (0, 1):
        for start in range(1, ends + 1):
            if (2 * start + more - 1 - axis) % ends == 0:
                return start, more
    raise AssertionError("one of two ends of different parity suits any axis")


def as_json(found: Balance) -> dict[str, Any]:
    """The document that ``balance --json`` prints; ends and shafts from 1, shaft 0: not threaded."""
    return {
        "already": found.already,
        "offers": [
            {
                "kind": offer.kind,
                "ends": offer.ends,
                "runs": offer.runs,
                "axis": offer.axis,
                "threading": (offer.cloth.threading + 1).tolist(),
                "longest_float": {
                    "warp": offer.cloth.longest_warp_float,
                    "weft": offer.cloth.longest_weft_float,
                },
                "holds_together": offer.cloth.holds_together,
                "plain_weave": offer.cloth.plain_weave,
            }
            for offer in found.offers
        ],
    }


def _cloth(draft: Draft, threading: Ints) -> Cloth:
    warp, weft = floats.from_lifts(draft.lifts, threading)
    return Cloth(
        threading=threading,
        longest_warp_float=warp,
        longest_weft_float=weft,
        holds_together=integrity.holds(draft.lifts, threading),
        plain_weave=weaves_plain(threading),
        heddles=tuple(np.bincount(threading[threading >= 0], minlength=draft.shafts).tolist()),
    )


def _rank(offer: BalanceOffer) -> tuple[bool, bool, int, float, int, int]:
    """Sort key: cloth that holds together first, then plain weave, few ends touched, short floats, few
    places."""
    cloth = offer.cloth
    longest = [np.inf if it is None else it for it in (cloth.longest_warp_float, cloth.longest_weft_float)]
    return (
        not cloth.holds_together,
        not cloth.plain_weave,
        offer.ends,
        max(longest),
        offer.runs or 0,
        len({*offer.touched} - {end + 1 for end in offer.touched}),
    )


def _sides(draft: Draft, count: int) -> list[tuple[bool, ...]]:
    """On which side of the axis each change is made: all on one first, then mixed if there are few."""
    one = [(False,) * count, (True,) * count]
    if 0 < count <= _SIDES and draft.ends * draft.picks * 2**count <= _SIDES_CELLS:
        return [*one, *(sides for sides in product((False, True), repeat=count) if len(set(sides)) > 1)]
    return one


def _changes(draft: Draft, lacking: Numbers) -> Iterator[BalanceOffer]:
    """The fewest ends changed: one end of each pair that differs, on the one side or on the other."""
    ids = Structure(draft).end_ids
    for axis in np.flatnonzero(lacking == lacking.min())[:_LOOKED_AT].tolist():
        one, other = pairs(draft.ends, axis)
        differ = ids[one] != ids[other]
        for sides in _sides(draft, int(differ.sum())):
            goes = np.where(sides, one[differ], other[differ])
            stays = np.where(sides, other[differ], one[differ])
            threading = draft.threading.copy()
            threading[goes] = draft.threading[stays]
            yield _offer(draft, "change", threading, axis, ends=len(goes), touched=np.sort(goes))


def _slides(draft: Draft) -> Iterator[BalanceOffer]:
    """The fewest runs slid, each on the one side of the axis or on the other."""
    of_shaft, to_shaft = _round_of_shafts(draft)
    threading = np.where(draft.threading < 0, -1, of_shaft[draft.threading])
    for slid in fewest_slides(threading, len(to_shaft), _LOOKED_AT):
        one, other = pairs(draft.ends, slid.axis)
        for sides in _sides(draft, len(slid.slides)):
            moved = np.zeros(draft.ends, dtype=np.int64)
            runs = []
            for slide, across in zip(slid.slides, sides, strict=True):
                side, up = (other, -1) if across else (one, 1)
                run = side[slide.first : slide.last + 1]
                moved[run] += up * slide.step
                ends = (int(run[0]) + 1, int(run[-1]) + 1)
                runs.append(Moved(*(ends if up > 0 else ends[::-1]), _signed(up * slide.step, len(to_shaft))))
            moved = np.where(threading < 0, 0, moved % len(to_shaft))
            new = np.where(moved == 0, draft.threading, to_shaft[(threading + moved) % len(to_shaft)])
            yield _offer(
                draft,
                "slide",
                new.astype(np.int16),
                slid.axis,
                ends=int(np.count_nonzero(moved)),
                runs=len(runs),
                touched=np.flatnonzero(moved),
                moved=tuple(runs),
            )


def _signed(step: int, shafts: int) -> int:
    step %= shafts
    return step - shafts if 2 * step > shafts else step


def _round_of_shafts(draft: Draft) -> tuple[Numbers, Numbers]:
    """The shafts that a slide goes through: position of each shaft, shaft of each position.

    All shafts where all of them weave; else only those that hold ends, because an end slid to a shaft that
    never moves would be loose.
    """
    weave = draft.lifts.any(axis=0) & ~draft.lifts.all(axis=0)
    used = np.zeros(draft.shafts, dtype=np.bool_)
    used[draft.threading[draft.threading >= 0]] = True
    to_shaft = np.arange(draft.shafts) if weave.all() else np.flatnonzero(used)
    of_shaft = np.full(draft.shafts, -1)
    of_shaft[to_shaft] = np.arange(len(to_shaft))
    return of_shaft, to_shaft


def _added(draft: Draft, ids: AnyInts) -> Iterator[BalanceOffer]:
    """The fewest ends added in one place: the remaining run repeated in reverse between the two mirrored
    runs."""
    count = draft.ends
    for join in joins(ids)[:_LOOKED_AT]:
        # The run is between the mirrored runs on the other side: reversed, it goes between them here.
        far = (join.place + join.after + np.arange(join.between)) % count
        place = join.place or count
        sources = np.concatenate([np.arange(place), far[::-1], np.arange(place, count)])
        yield _offer(
            draft,
            "add",
            draft.threading[sources],
            int(np.argmin(mismatched_pairs(ids[sources]))),
            ends=join.between,
            touched=place + np.arange(join.between),
            sources=sources,
        )


def _dropped(draft: Draft, ids: AnyInts) -> Iterator[BalanceOffer]:
    """The fewest ends dropped in one place, so that two mirrored runs are left; never more than half."""
    count = draft.ends
    for join in joins(ids)[:_LOOKED_AT]:
        if 2 * join.between > count:
            return
        far = (join.place + join.after + np.arange(join.between)) % count
        sources = np.setdiff1d(np.arange(count), far)
        yield _offer(
            draft,
            "drop",
            draft.threading[sources],
            int(np.argmin(mismatched_pairs(ids[sources]))),
            ends=join.between,
            touched=np.sort(far),
            sources=sources,
        )


def _anywhere(draft: Draft, ids: AnyInts) -> list[list[BalanceOffer]]:
    """The fewest ends added or dropped in several places, where that takes fewer than in one."""
    if draft.ends > MOST_ENDS:
        return []
    fewest, ways = scattered(ids, _LOOKED_AT)
    if fewest >= joins(ids)[0].between:
        return []

    def offer(kind: Kind, sources: Numbers, touched: Numbers) -> BalanceOffer:
        axis = int(np.argmin(mismatched_pairs(ids[sources])))
        new = draft.threading[sources]
        return _offer(draft, kind, new, axis, ends=fewest, touched=touched, sources=sources)

    found = list(ways)
    adds = [offer("add", way.added, np.flatnonzero(way.extra)) for way in found]
    if 2 * fewest > draft.ends:
        return [adds]
    every = np.arange(draft.ends)
    return [adds, [offer("drop", way.dropped, np.setdiff1d(every, way.dropped)) for way in found]]


def _offer(
    draft: Draft,
    kind: Kind,
    threading: Ints,
    axis: int,
    *,
    ends: int,
    touched: Numbers,
    runs: int | None = None,
    sources: Numbers | None = None,
    moved: tuple[Moved, ...] = (),
) -> BalanceOffer:
    return BalanceOffer(
        kind=kind,
        ends=ends,
        runs=runs,
        axis=axis + 2,
        cloth=_cloth(draft, threading),
        sources=np.arange(len(threading)) if sources is None else sources,
        touched=tuple((touched + 1).tolist()),
        moved=moved,
    )

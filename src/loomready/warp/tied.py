"""A warp tied on to an old one, or to a dummy: which ends meet, and which ends of threading and sley stay."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from loomready.draft.structure import periods

if TYPE_CHECKING:
    from loomready.model.guild import WarpOrder
    from loomready.warp.result import HeddlePlan, Sley, WarpPlan, Web

Ints = npt.NDArray[np.int64]
Runs = tuple[tuple[int, int], ...]
"""Ends side by side, as (first, last), from 1."""


@dataclass(frozen=True, slots=True, eq=False)
class Tied:
    """How a new warp meets the old one.

    old          the old warp's plan
    shift        new end n is knotted to old end n + shift
    first, last  the new ends that have an old end; last < first: none
    other_shaft  new ends whose old end is on another shaft of the loom
    alone        new ends without an old end
    left_over    old ends without a new end
    """

    old: WarpPlan
    shift: int
    first: int
    last: int
    other_shaft: Runs
    alone: Runs
    left_over: Runs

    @property
    def knots(self) -> int:
        return max(0, self.last - self.first + 1)

    @property
    def threading_stays(self) -> bool:
        return not self.other_shaft and not self.alone


def other_sley(sley: Sley | None, tied: Tied) -> bool:
    """Whether a warp tied on is in another reed or another sley than the old one."""
    old = tied.old.sley
    return sley is not None and old is not None and (sley.reed, sley.told) != (old.reed, old.told)


def best_shift(new: Ints, old: Ints) -> int:
    """How a new warp's ends lie over an old one's so that most shafts agree; of equals, nearest the middle.

    The narrower of the two lies wholly inside the other.

    >>> best_shift(np.array([0, 1, 0]), np.array([1, 0, 1, 0, 1]))
    1
    """
    room = old.size - new.size
    narrow, wide = (new, old) if room >= 0 else (old, new)
    agree = [int((narrow == wide[at : at + narrow.size]).sum()) for at in range(abs(room) + 1)]
    at = max(range(abs(room) + 1), key=lambda at: (agree[at], -abs(2 * at - abs(room))))
    return at if room >= 0 else -at


def tie(web: Web, heddles: HeddlePlan, old: WarpPlan) -> Tied:
    """The new web over the old one, compared shaft by shaft on the loom."""
    new_shaft, old_shaft = _on_loom(web.shaft, heddles), _on_loom(old.web.shaft, old.heddles)
    shift = best_shift(new_shaft, old_shaft)
    first, last = max(1, 1 - shift), min(web.ends, old.web.ends - shift)
    ends = np.arange(1, web.ends + 1)
    paired = (ends >= first) & (ends <= last)
    there = np.where(paired, old_shaft[np.clip(ends - 1 + shift, 0, old.web.ends - 1)], new_shaft)
    old_ends = np.arange(1, old.web.ends + 1)
    return Tied(
        old=old,
        shift=shift,
        first=first,
        last=last,
        other_shaft=_runs(there != new_shaft),
        alone=_runs(~paired),
        left_over=_runs((old_ends < first + shift) | (old_ends > last + shift)),
    )


def kept_heddles(web: Web, heddles: HeddlePlan, tied: Tied) -> HeddlePlan:
    """The heddles of a warp whose every end is drawn through the heddle of its old end: none moves.

    The draft's shafts lie on the loom's shafts as they did for the old warp. Otherwise the plan as it was.
    """
    old = tied.old
    partner = np.arange(web.ends) + tied.shift
    if tied.alone or not np.array_equal(web.shaft, old.web.shaft[partner]):
        return heddles
    short_of = len(heddles.needed) - len(old.heddles.assignment)
    assignment = (*old.heddles.assignment, *(None,) * short_of)[: len(heddles.needed)]
    return replace(
        heddles, assignment=assignment, moved=0, moves=(), short=0, least_assignment=assignment, least_moved=0
    )


def _on_loom(shaft: Ints, heddles: HeddlePlan) -> Ints:
    """The loom's shaft of each end from 1, 0: not threaded; the draft's where the loom has too few shafts."""
    placed = any(each is not None for each in heddles.assignment)
    own = [(each or 0) if placed else at + 1 for at, each in enumerate(heddles.assignment)]
    return np.asarray(np.asarray([*own, 0], dtype=np.int64)[shaft])


def _runs(chosen: npt.NDArray[np.bool_]) -> Runs:
    return tuple(
        (start + 1, start + length) for start, length in periods.runs(chosen) if length and chosen[start]
    )


def in_the_old_reed(order: WarpOrder, tied: Tied | None) -> WarpOrder:
    """The order in reed and sley of the old warp that it is tied on to, if it is."""
    return sleyed_as(order, None if tied is None else tied.old.sley)


def sleyed_as(order: WarpOrder, sley: Sley | None) -> WarpOrder:
    """The order in reed and sley of an old warp, unless it sets its own; None: there is none."""
    if sley is None or order.set_reed is not None or order.set_sley is not None:
        return order
    return replace(order, reed=sley.reed.key, sley=sley.cycle)


def over_old_dents(sley: Sley | None, old: Sley | None, shift: int) -> int | None:
    """The dent in which the new web begins so that its ends keep the old ones' dents; None: they cannot."""
    if sley is None or old is None or (sley.reed, sley.cycle) != (old.reed, old.cycle):
        return None
    whole, left = divmod(shift, sum(sley.cycle))
    first = old.first_dent + whole * len(sley.cycle)
    fits = first >= 1 and first + sley.dents - 1 <= sley.reed_dents
    return first if not left and fits else None

"""Crammed and spaced warps: stripes with ends per dent of their own, and empty dents between stripes.

Ends of neighboring stripes without a sley of their own are sleyed as one, in the sley of the warp. A cycle
starts again with every stripe that has its own, and after empty dents; empty dents of a cycle that follow a
stripe's last end belong to the stripe. Mirrored stripes have mirrored dents. No empty dent lies outside the
first or last end.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Draft
from loomready.model.guild import MAX_ENDS, Loom, Stripe, WarpOrder
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.warp.free_reeds import Reeds
from loomready.warp.result import Sley
from loomready.warp.rounding import SLACK, at_most
from loomready.warp.sley import sley_of
from loomready.warp.width import Span, lay_web, wanted_width_mm

Bools = npt.NDArray[np.bool_]
Cycle = tuple[int, ...]


def is_uneven(order: WarpOrder) -> bool:
    """Whether some stripe has a sley of its own or leaves dents empty."""
    return order.fold_sley is not None or any(stripe.sley or stripe.dents for stripe in order.stripes)


@dataclass(frozen=True, slots=True)
class Part:
    """Ends sleyed in one ``cycle``, or empty dents. ``counts``: ends in each dent."""

    ends: int
    cycle: Cycle
    counts: tuple[int, ...]


def parts_of(order: WarpOrder, heddled: Bools, base: Cycle) -> tuple[Part, ...]:
    """The web between its floating selvedges, part by part, end 1 first.

    :param heddled: whether each of these ends is in a heddle
    :param base: the sley of stripes without one
    """
    if not order.stripes:
        return _at_fold(order, (Part(heddled.size, base, _counts(heddled.size, base)),))
    runs = _merged(order, _in_web(_runs(order, max(1, int(heddled.sum()))), heddled))
    middle = (len(runs) - 1) / 2
    made = []
    for number, (place, ends) in enumerate(runs):
        stripe = order.stripes[place]
        counts = _counts(ends, stripe.sley or base) if ends else (0,) * stripe.dents
        back = order.stripes_mirrored and number > middle
        made.append(Part(ends, stripe.sley or base, counts[::-1] if back else counts))
    return _at_fold(order, _trimmed(made))


def _at_fold(order: WarpOrder, parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """The parts with the fold in its own sley: at the last end, of a tube at both edges."""
    if order.fold_sley is None:
        return parts
    fold, *others = _with_fold(order.fold_sley, parts[::-1])
    back = (*reversed(others), replace(fold, counts=fold.counts[::-1]))
    return _with_fold(order.fold_sley, back) if order.double_cloth == "tube" else back


def _with_fold(sley: Cycle, parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """The parts, edge first, whose outermost ends are sleyed so from the edge inward."""
    left, kept = sum(sley), list(parts)
    counts = list(sley)
    while left and kept:
        part = kept.pop(0)
        if part.ends > left:
            rest = part.ends - left
            kept.insert(0, replace(part, ends=rest, counts=_counts(rest, part.cycle)))
            left = 0
        else:
            left -= part.ends
    return (Part(sum(sley) - left, sley, tuple(counts)), *kept)


def ends_per_dent(order: WarpOrder, heddled: Bools, base: Cycle) -> tuple[int, ...]:
    """Ends in each dent, from the first end to the last; see :func:`parts_of`."""
    return tuple(count for part in parts_of(order, heddled, base) for count in part.counts)


def _runs(order: WarpOrder, count: int) -> list[tuple[int, int]]:
    """(place of the stripe, its ends in heddles; 0: empty dents) over a web of so many ends in heddles."""
    left = -(-count // 2) if order.stripes_mirrored else count
    made: list[tuple[int, int]] = []
    for place in itertools.cycle(range(len(order.stripes))):
        if left <= 0:
            break
        taken = min(left, order.stripes[place].ends)
        made.append((place, taken))
        left -= taken
    if order.stripes_mirrored and made:
        *before, (place, ends) = made
        made = [*before, (place, 2 * ends - count % 2), *reversed(before)]
    return made


def written_out(order: WarpOrder, yarns: Sequence[str]) -> tuple[Stripe, ...]:
    """The order's stripes as they lie over so many ends in heddles, once, in these yarns end by end."""
    made: list[Stripe] = []
    at = 0
    for place, ends in _runs(order, len(yarns)):
        stripe = order.stripes[place]
        if not ends:
            made.append(stripe)
        for yarn, same in itertools.groupby(yarns[at : at + ends]):
            made.append(replace(stripe, yarn=yarn, ends=len(list(same))))
        at += ends
    return tuple(made)


def _in_web(runs: list[tuple[int, int]], heddled: Bools) -> list[tuple[int, int]]:
    """The runs with ends that are not threaded: such an end goes with the end before it."""
    stops = np.cumsum([ends for _, ends in runs])
    if not runs or heddled.all():
        return runs
    at = np.maximum(np.cumsum(heddled) - 1, 0)
    ends = np.bincount(np.searchsorted(stops, at, side="right"), minlength=len(runs)).tolist()
    return [(place, more) for (place, _), more in zip(runs, ends, strict=True)]


def _merged(order: WarpOrder, runs: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Neighboring runs without a sley of their own as one."""
    made: list[tuple[int, int]] = []
    for place, ends in runs:
        plain = ends and not order.stripes[place].sley
        if plain and made and made[-1][1] and not order.stripes[made[-1][0]].sley:
            made[-1] = (made[-1][0], made[-1][1] + ends)
        else:
            made.append((place, ends))
    return made


def _counts(ends: int, cycle: Cycle) -> tuple[int, ...]:
    """Ends in each dent of a run; empty dents of the cycle that follow the last end stay.

    >>> _counts(7, (1, 2)), _counts(5, (3, 0)), _counts(6, (3, 0, 0))
    ((1, 2, 1, 2, 1), (3, 0, 2, 0), (3, 0, 0, 3, 0, 0))
    """
    whole, left = divmod(ends, sum(cycle))
    made = list(cycle * whole)
    for count in cycle if left else ():
        if left == 0 and count:
            break
        made.append(min(left, count))
        left -= made[-1]
    return tuple(made)


def _trimmed(parts: list[Part]) -> tuple[Part, ...]:
    """The parts without empty dents before the first end and after the last."""
    forward = _without_edge(parts)
    return tuple(reversed(_without_edge(forward[::-1], backward=True)))


def _without_edge(parts: list[Part], *, backward: bool = False) -> list[Part]:
    for number, part in enumerate(parts):
        if part.ends:
            counts = part.counts[::-1] if backward else part.counts
            first = next(at for at, count in enumerate(counts) if count)
            kept = counts[first:][::-1] if backward else counts[first:]
            return [replace(part, counts=kept), *parts[number + 1 :]]
    return []


def in_runs(counts: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """(ends in the dent, how many dents running).

    >>> in_runs((2, 2, 3, 0, 0))
    ((2, 2), (3, 1), (0, 2))
    """
    return tuple((count, len(list(dents))) for count, dents in itertools.groupby(counts))


def sleyed(
    order: WarpOrder,
    draft: Draft,
    span: Span,
    asked_per_cm: float,
    reeds: Reeds,
    loom: Loom,
    repeats: int | None = None,
) -> tuple[int, Sley | None]:
    """The repeats of a web and its sley, as :func:`~loomready.warp.sley.sley_of` chooses it.

    With uneven denting the web is as wide as its dents: the repeats are those whose dents come nearest to the
    width asked for, a tie the narrower, and the sett is the mean over that width.

    :param repeats: hold the web to this number instead
    :raises BadInput: stripes sleyed on their own, on a rigid heddle loom
    """
    sley = sley_of(order, span, asked_per_cm, reeds, loom, repeats)
    if sley is None or not is_uneven(order):
        sett = sley.sett_per_cm if sley else asked_per_cm
        return span.repeats_at(order, sett) if repeats is None else repeats, sley
    if loom.is_rigid_heddle:
        raise BadInput(
            phrase(
                "{loom} has a rigid heddle, with an end in each hole and slot; expected stripes without sley "
                "and dents of their own",
                loom=loom.name,
            ),
            where="stripes",
        )
    if repeats is None:
        repeats = _nearest(order, draft, span, sley)
    return repeats, _dented(order, draft, span, sley, loom, repeats)


def _nearest(order: WarpOrder, draft: Draft, span: Span, sley: Sley) -> int:
    """The repeats whose dents come nearest to the wanted width in the reed."""
    wanted = wanted_width_mm(order) * sley.reed.dents_per_cm / 10
    most = max(1, (MAX_ENDS - span.rest) // span.repeat)

    def dents(repeats: int) -> int:
        return len(_of_web(order, draft, span, sley.cycle, repeats)) + 2 * span.floating

    high = 1
    while high < most and dents(high) < wanted:
        high = min(most, 2 * high)
    low = max(1, high // 2)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if dents(middle) < wanted else (low, middle)
    return min((low, high), key=lambda each: (round(abs(dents(each) - wanted), 6), each))


def _of_web(order: WarpOrder, draft: Draft, span: Span, base: Cycle, repeats: int) -> tuple[int, ...]:
    shaft = lay_web(order, draft, span, repeats).shaft
    return ends_per_dent(order, shaft[span.floating : shaft.size - span.floating] >= 0, base)


def _dented(order: WarpOrder, draft: Draft, span: Span, sley: Sley, loom: Loom, repeats: int) -> Sley:
    """The sley with the web's own ends in each dent; ``within`` is left to the stripes in the warp's sley."""
    counts = _of_web(order, draft, span, sley.cycle, repeats)
    used = len(counts) + 2 * span.floating
    width_mm = used / sley.reed.dents_per_cm * 10
    room_mm = min(sley.reed.width_mm, loom.weaving_width_mm)
    return replace(
        sley,
        denting=in_runs(counts),
        sett_per_cm=span.ends(repeats) / width_mm * 10,
        first_dent=max(1, (sley.reed_dents - used) // 2 + 1),
        dents=used,
        within=sley.within
        or (bool(order.stripes) and all(each.sley or each.dents for each in order.stripes)),
        fits=used <= sley.reed_dents and at_most(width_mm, room_mm + SLACK),
    )


def dents_filled(sley: Sley, ends: int) -> Iterator[int]:
    """Ends in each dent of a web of so many ends between its floating selvedges."""
    if sley.denting:
        yield from (count for count, dents in sley.denting for _ in range(dents))
        return
    left = ends
    for count in itertools.cycle(sley.cycle):
        if left <= 0:
            return
        yield min(count, left)
        left -= count

"""Painted and dip-dyed warps: where along the warp each band of color lies, so that it falls where it should.

Bands are told as lengths of the finished piece. What will shrink divides, take-up is added, and what lies in
front of the piece on the warp (knots, sample, earlier pieces, fringes, headers) comes first. The bands at the
ends of a piece go on over its fringes, and where these lie in the loom waste, into the waste.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from loomready.colors import RGB
from loomready.model.guild import Item, Loom, WarpOrder
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.units import Shown
from loomready.warp.length import front_fringe_m, unwoven_m
from loomready.warp.pieces import woven_m
from loomready.warp.rounding import at_most

FRONT_M = 0.2  # from the knots to the first pick, where the loom does not say. Common practice, no source


@dataclass(frozen=True, slots=True)
class Stretch:
    """A band on the warp.

    from_m, to_m    from the knots at the front, along the warp under tension
    dye, color      as the piece says; at least one of them is said
    piece, copy     its number in the order, and which of the pieces alike, both from 1
    start_m, stop_m  from the first pick of the finished piece
    before_m, after_m  of it, what lies over the fringe before the first pick and over that after the last
    in_waste    some of that fringe lies in the loom waste
    """

    from_m: float
    to_m: float
    dye: str
    color: RGB | None
    piece: int
    copy: int
    start_m: float
    stop_m: float
    before_m: float = 0.0
    after_m: float = 0.0
    in_waste: bool = False


def front_m(order: WarpOrder, loom: Loom) -> float:
    """The loom waste at the front, from the knots; of a fringe that lies in it, this fringe included.

    It leaves room in the waste for a last fringe that lies in it.
    """
    usual = FRONT_M if loom.front_waste_m is None else loom.front_waste_m
    last = order.items[-1].fringe_m if order.fringe_in_waste and order.items else 0.0
    return max(front_fringe_m(order), min(usual, unwoven_m(order, loom) - last))


def first_pick_m(order: WarpOrder, loom: Loom) -> float:
    """From the knots to the first pick of the first piece."""
    longer, first = 1 + order.take_up, order.items[0]
    in_front = front_m(order, loom) + (order.sample_m + first.header_m) * longer
    return in_front + first.fringe_m - front_fringe_m(order)


def painted(order: WarpOrder, loom: Loom) -> tuple[Stretch, ...]:
    """Every band, from the knots on; none for a warp that is not painted."""
    if not any(item.painted for item in order.items):
        return ()
    return tuple(_painted(order, loom))


def _painted(order: WarpOrder, loom: Loom) -> Iterator[Stretch]:
    longer = 1 + order.take_up
    on_warp = longer / (1 - order.shrink_length)  # warp for a finished length
    at = front_m(order, loom) + order.sample_m * longer - front_fringe_m(order)
    copies = [
        (number, copy, item)
        for number, item in enumerate(order.items, 1)
        for copy in range(1, item.count + 1)
    ]
    for place, (number, copy, item) in enumerate(copies):
        at += item.header_m * longer
        first_pick = at + item.fringe_m
        last_pick = first_pick + woven_m(item, order) * longer
        start = 0.0
        for band in item.painted:
            stop = start + band.length_m
            if band.dye or band.color is not None:
                before = item.fringe_m if start == 0.0 else 0.0
                after = item.fringe_m if at_most(whole_m(item), stop) else 0.0
                first_in_waste = before > 0 and place == 0 and front_fringe_m(order) > 0
                last_in_waste = after > 0 and place == len(copies) - 1 and order.fringe_in_waste
                yield Stretch(
                    first_pick + start * on_warp - before,
                    (last_pick if after else first_pick + stop * on_warp) + after,
                    band.dye,
                    band.color,
                    number,
                    copy,
                    start,
                    stop,
                    before,
                    after,
                    first_in_waste or last_in_waste,
                )
            start = stop
        at = last_pick + item.fringe_m


def whole_m(item: Item) -> float:
    """The finished piece with its hems opened."""
    return item.finished_length_m + 2 * item.hem_m


def check_painted(order: WarpOrder, show: Shown) -> None:
    """Checks that the bands of each piece are no longer than the piece.

    :raises BadInput: they are; ``where`` names the piece
    """
    for number, item in enumerate(order.items, 1):
        bands = sum(band.length_m for band in item.painted)
        if not at_most(bands, whole_m(item)):
            raise BadInput(
                phrase(
                    "the bands come to {bands}; expected at most the piece with its hems, {piece}",
                    bands=show.piece(bands),
                    piece=show.piece(whole_m(item)),
                ),
                where=("items", number, "painted"),
            )

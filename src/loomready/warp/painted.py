"""Painted and dip-dyed warps: where along the warp each band of color lies, so that it falls where it should.

Bands are told as lengths of the finished piece. What will shrink divides, take-up is added, and what lies in
front of the piece on the warp (knots, sample, earlier pieces, fringes, headers) comes first. The bands at the
ends of a piece go on over its fringes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from loomready.colors import RGB
from loomready.model.guild import Item, Loom, WarpOrder
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.units import Shown
from loomready.warp.length import unwoven_m
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
    """

    from_m: float
    to_m: float
    dye: str
    color: RGB | None
    piece: int
    copy: int
    start_m: float
    stop_m: float


def front_m(order: WarpOrder, loom: Loom) -> float:
    """Warp between the knots and the first pick, a part of the waste."""
    usual = FRONT_M if loom.front_waste_m is None else loom.front_waste_m
    return min(usual, unwoven_m(order, loom))


def painted(order: WarpOrder, loom: Loom) -> tuple[Stretch, ...]:
    """Every band, from the knots on; none for a warp that is not painted."""
    if not any(item.painted for item in order.items):
        return ()
    return tuple(_painted(order, loom))


def _painted(order: WarpOrder, loom: Loom) -> Iterator[Stretch]:
    longer = 1 + order.take_up
    on_warp = longer / (1 - order.shrink_length)  # warp for a finished length
    at = front_m(order, loom) + order.sample_m * longer
    for number, item in enumerate(order.items, 1):
        for copy in range(1, item.count + 1):
            at += item.header_m * longer
            first_pick = at + item.fringe_m
            last_pick = first_pick + woven_m(item, order) * longer
            start = 0.0
            for band in item.painted:
                stop = start + band.length_m
                if band.dye or band.color is not None:
                    to_the_end = at_most(whole_m(item), stop)
                    yield Stretch(
                        at if start == 0.0 else first_pick + start * on_warp,
                        last_pick + item.fringe_m if to_the_end else first_pick + stop * on_warp,
                        band.dye,
                        band.color,
                        number,
                        copy,
                        start,
                        stop,
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

"""Where the cloth is cut when it comes off the loom, and what comes off."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.warp.pieces import Piece
from loomready.warp.result import WarpPlan


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece as it comes off, ``copy`` of its kind from 1, with header and fringes.

    ``from_m``, ``to_m``: its cutting lines along the cloth, from the first line on, tension off.
    """

    piece: Piece
    copy: int
    from_m: float
    to_m: float


def cuts_of(plan: WarpPlan) -> tuple[Cut, ...]:
    """Every piece in the order in which it is woven, the sample first; each begins where the last ends."""
    made, at = [], 0.0
    for piece in plan.pieces:
        length_m = piece.header_m + 2 * piece.fringe_m + piece.woven_m
        for copy in range(1, piece.count + 1):
            made.append(Cut(piece, copy, at, at + length_m))
            at += length_m
    return tuple(made)

"""A board as arrays: the distances between pegs, which segments are free, and which cross.

Worked in whole micrometers, so that no rounding decides whether two segments cross or a peg is too near.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loomready.model.guild import Board

Ints = NDArray[np.int64]
Words = NDArray[np.uint64]
Bools = NDArray[np.bool_]

CLEARANCE_MM = 10.0  # a segment keeps at least this far from the center of every peg but its own two
UM_PER_MM = 1000
UNITS_PER_MM = 10**9  # lengths are added in these, exactly


@dataclass(frozen=True, slots=True)
class Field:
    """A board's n pegs (at most 64) by number, in the order of the board.

    ``length``: int64[n, n], from peg to peg in 1e-9 mm; ``free``: bool[n, n], no other peg too near, and on a
    mill no segment onward from the last peg;
    ``beside``: uint64[n, n, n], bit q of [a, b, p] is set where segments (a, b) and (p, q) do not cross;
    ``start`` and ``cross``: peg numbers.
    """

    names: tuple[str, ...]
    length: Ints
    free: Bools
    beside: Words
    start: int
    cross: tuple[int, int]

    @property
    def pegs(self) -> int:
        return len(self.names)


def field_of(board: Board) -> Field:
    """The field of a board."""
    names = tuple(peg.name for peg in board.pegs)
    x, y = _places(board)
    mm_x = np.array([peg.x_mm for peg in board.pegs])
    mm_y = np.array([peg.y_mm for peg in board.pegs])
    free = _free(x, y)
    if board.mill:
        ends = [name not in (board.start, *board.cross) for name in names]
        free[ends] = False
    apart = np.hypot(mm_x[:, None] - mm_x, mm_y[:, None] - mm_y)
    return Field(
        names=names,
        length=np.rint(apart * UNITS_PER_MM).astype(np.int64),
        free=free,
        beside=_beside(x, y),
        start=names.index(board.start),
        cross=(names.index(board.cross[0]), names.index(board.cross[1])),
    )


def too_near(board: Board, one: str, other: str) -> tuple[str, ...]:
    """The pegs that the segment between two pegs comes too near to."""
    x, y = _places(board)
    names = [peg.name for peg in board.pegs]
    a, b = names.index(one), names.index(other)
    return tuple(names[p] for p in np.flatnonzero(_near(x, y)[a, b]).tolist())


def _places(board: Board) -> tuple[Ints, Ints]:
    """The pegs' centers in micrometers."""
    x = np.array([round(peg.x_mm * UM_PER_MM) for peg in board.pegs], dtype=np.int64)
    y = np.array([round(peg.y_mm * UM_PER_MM) for peg in board.pegs], dtype=np.int64)
    return x, y


def _free(x: Ints, y: Ints) -> Bools:
    free: Bools = np.logical_not(_near(x, y).any(axis=2))
    np.fill_diagonal(free, False)
    return free


def _near(x: Ints, y: Ints) -> Bools:
    """bool[n, n, n]: whether peg p lies too near to segment (a, b)."""
    ab_x, ab_y = _apart(x), _apart(y)
    ap_x, ap_y = ab_x[:, None, :], ab_y[:, None, :]
    along = ap_x * ab_x[:, :, None] + ap_y * ab_y[:, :, None]
    across = np.abs(ap_y * ab_x[:, :, None] - ap_x * ab_y[:, :, None])
    square = ab_x * ab_x + ab_y * ab_y
    limit = round(CLEARANCE_MM * UM_PER_MM) ** 2
    # across^2 < limit x square would exceed 64 bits, so its integer square root is compared instead.
    roots = [math.isqrt(max(0, limit * each - 1)) for each in square.ravel().tolist()]
    most = np.array(roots, dtype=np.int64).reshape(square.shape)
    at_end = (square < limit)[:, None, :] | (square < limit)[None, :, :]
    in_between = (along > 0) & (along < square[:, :, None])
    near: Bools = (in_between & (across <= most[:, :, None])) | (~in_between & at_end)
    own = np.eye(len(x), dtype=bool)
    near[own[:, None, :] | own[None, :, :]] = False
    return near


def _beside(x: Ints, y: Ints) -> Words:
    """uint64[n, n, n]: bit q of [a, b, p] is set where segments (a, b) and (p, q) do not cross.

    Two segments that only touch need no extra test: a peg would be on a segment, which is then not free.
    """
    n = len(x)
    dx, dy = _apart(x), _apart(y)
    side = np.sign(dx[:, :, None] * dy[:, None, :] - dy[:, :, None] * dx[:, None, :]).astype(np.int8)
    made = np.zeros((n, n, n), dtype=np.uint64)
    for q in range(n):
        ends_parted = side * side[:, :, q, None] < 0  # [a, b, p]: p and q lie on two sides of a-b
        seen = side[:, q, :].T  # [a, p]: on which side of p-q a lies
        pegs_parted = seen[:, None, :] * seen[None, :, :] < 0
        made |= (~(ends_parted & pegs_parted)).astype(np.uint64) << np.uint64(q)
    return made


def _apart(along: Ints) -> Ints:
    """int64[n, n]: from the row's peg to the column's."""
    return along[None, :] - along[:, None]

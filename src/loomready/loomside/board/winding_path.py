"""The path of a warp over the pegs of a board: the path with the least excess over a wanted length.

A path goes from the board's start over its two cross pegs, then over any pegs, each at most once, and ends
anywhere. No segment crosses another or passes within 10 mm of a peg that is not its own. Lengths are
from peg center to peg center. The path is at least as long as wanted: a short warp cannot be fixed.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

from loomready.loomside.board.board_geometry import UNITS_PER_MM, Field, field_of, too_near
from loomready.loomside.board.search import SLACK, Effort, least_excess, longest, nearer
from loomready.model.guild import Board
from loomready.phrases import phrase
from loomready.problems import BadInput, Impossible, shorten
from loomready.units import Shown

EFFORT = Effort()
MAX_LENGTH_MM = 1_000_000.0
CLOSE_ENOUGH = UNITS_PER_MM // 2  # nobody winds more precisely


@dataclass(frozen=True, slots=True)
class BoardPath:
    """``pegs``: names in the order of winding. ``enough``: as long as wanted; else the longest found.

    ``proved_least``: no path has less excess; where the path is too short: no path is longer.
    """

    pegs: tuple[str, ...]
    length_mm: float
    wanted_mm: float
    enough: bool
    proved_least: bool

    @property
    def excess_mm(self) -> float:
        """Over the wanted length; below 0 where no path is long enough."""
        excess = self.length_mm - self.wanted_mm
        return max(0.0, excess) if self.enough else excess

    def shortfall(self, show: Shown) -> str:
        """The message where no path is long enough."""
        longest = show.length(self.length_mm / 1000)
        wanted = show.length(self.wanted_mm / 1000)
        if self.proved_least:
            return phrase(
                "no path over this board is {wanted} long; the longest is {longest}",
                wanted=wanted,
                longest=longest,
            )
        return phrase(
            "no path of {wanted} was found over this board; the longest that was found is {longest}",
            wanted=wanted,
            longest=longest,
        )


def wanted_length_mm(mm: float) -> float:
    """A length that can be asked for.

    :raises BadInput: it is none
    """
    if not 0 < mm <= MAX_LENGTH_MM:
        raise BadInput(phrase("this is not a length of a warp; expected more than 0, at most 1000 m"))
    return mm


def find_path(board: Board, wanted_mm: float, effort: Effort = EFFORT) -> BoardPath:
    """The path for ``wanted_mm``, or the longest one where none is long enough.

    :raises Impossible: the way from start over the cross is blocked by a peg
    """
    refuse_blocked(board)
    field = field_of(board)
    wanted = round(wanted_mm * UNITS_PER_MM)
    found = least_excess(field, wanted, effort)
    if found is None:
        found = longest(field, effort)
    if not found.proved and found.length > wanted + CLOSE_ENOUGH:
        found = nearer(field, wanted, found, effort)
    length_mm = _length_mm(field, found.path)
    enough = found.length >= wanted - SLACK
    return BoardPath(
        tuple(field.names[peg] for peg in found.path), length_mm, wanted_mm, enough, found.proved
    )


def _length_mm(field: Field, path: tuple[int, ...]) -> float:
    return float(sum(int(field.length[a, b]) for a, b in itertools.pairwise(path)) / UNITS_PER_MM)


def refuse_blocked(board: Board) -> None:
    for one, other in ((board.start, board.cross[0]), board.cross):
        near = too_near(board, one, other)
        if near:
            raise Impossible(
                phrase(
                    "the way from peg {one} to peg {other} passes within 10 mm of peg {near}; expected "
                    "start and cross pegs with a free way between them",
                    one=shorten(one),
                    other=shorten(other),
                    near=shorten(near[0]),
                )
            )


def as_json(path: BoardPath) -> dict[str, Any]:
    return {
        "path": list(path.pegs),
        "length_mm": path.length_mm,
        "excess_mm": path.excess_mm,
        "proved_least": path.proved_least,
    }

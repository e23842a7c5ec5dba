"""Which of a guild's boards a planned warp is wound on, and its path there."""

from __future__ import annotations

from functools import lru_cache

from loomready.loomside.board import BoardPath, find_path
from loomready.model.guild import Board
from loomready.problems import Impossible
from loomready.warp.result import WarpPlan

_SAME_MM = 0.2  # lengths that are written with four decimals of a yard agree so far


@lru_cache(maxsize=64)
def path_over(board: Board, wanted_mm: float) -> BoardPath | None:
    """The path, found once for each board and length; None: a peg blocks the cross."""
    try:
        return find_path(board, wanted_mm)
    except Impossible:
        return None


def choose(plan: WarpPlan) -> tuple[Board, BoardPath] | None:
    """The first board that is long enough; of a warp whose wound length is told, the one that gives it.

    None: no board, none long enough, or the warp was wound some other way.
    """
    needed_mm = plan.lengths.needed_m * 1000
    wound_m = plan.order.wound_length_m
    for board in plan.guild.boards:
        if wound_m is None:
            path = path_over(board, needed_mm)
            if path is not None and path.enough:
                return board, path
            continue
        for wanted_mm in (needed_mm, wound_m * 1000 - _SAME_MM):
            path = path_over(board, wanted_mm)
            if path is not None and path.enough and abs(path.length_mm - wound_m * 1000) <= _SAME_MM:
                return board, path
    return None

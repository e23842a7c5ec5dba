"""Which of a guild's boards a planned warp is wound on, and its path there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from loomready.loomside.board.drawing import board_svg
from loomready.loomside.board.ties import marks
from loomready.loomside.board.winding_path import BoardPath, find_path
from loomready.model.guild import Board
from loomready.phrases import Phrase, joined, listed, phrase
from loomready.problems import Impossible
from loomready.units import Shown
from loomready.warp.result import WarpPlan
from loomready.warp.second import Second

_SAME_MM = 0.2  # lengths written with four decimals of a yard agree within this


@lru_cache(maxsize=64)
def path_over(board: Board, wanted_mm: float) -> BoardPath | None:
    """The path, found once for each board and length; None: a peg blocks the cross."""
    try:
        return find_path(board, wanted_mm)
    except Impossible:
        return None


def choose(plan: WarpPlan) -> tuple[Board, BoardPath] | None:
    """The first board that is long enough; for a warp with a measured length, the board that gives it.

    With two warps the first on which both fit, where there is one; else one for the first warp.
    None: no board, none long enough, or the warp was wound some other way.
    """
    first = None
    for board, path in _fitting(plan):
        if plan.second is None:
            return board, path
        second = second_path(plan, board, plan.second)
        if second is not None and second.enough:
            return board, path
        first = first or (board, path)
    return first


def _fitting(plan: WarpPlan) -> Iterator[tuple[Board, BoardPath]]:
    """The boards that are long enough for the first warp, with its path."""
    needed_mm = plan.lengths.needed_m * 1000
    wound_m = plan.order.wound_length_m
    for board in plan.guild.boards:
        if wound_m is None:
            path = path_over(board, needed_mm)
            if path is not None and path.enough:
                yield board, path
            continue
        for wanted_mm in (needed_mm, wound_m * 1000 - _SAME_MM):
            path = path_over(board, wanted_mm)
            if path is not None and path.enough and abs(path.length_mm - wound_m * 1000) <= _SAME_MM:
                yield board, path
                break


@dataclass(frozen=True, slots=True)
class ShownPath:
    """A path for page and sheet: its pegs in words, its length, and the board drawn with it as SVG."""

    board: str
    pegs: Phrase
    length: Phrase
    svg: str


def way(plan: WarpPlan) -> ShownPath | None:
    """The path over the guild's board; None where there is none."""
    chosen = choose(plan)
    if chosen is None:
        return None
    board, path = chosen
    show = Shown(plan.guild.units)
    length_m, excess_m = path.length_mm / 1000, path.excess_mm / 1000
    if plan.order.wound_length_m is None:
        over = (
            phrase("{excess} more than the guide string", excess=show.piece(excess_m))
            if excess_m > 5e-4
            else phrase("exactly that")
        )
        says = phrase("This path gives {length}: {over}.", length=show.length(length_m), over=over)
    else:
        says = phrase("This path gives {length}, which is the planned length.", length=show.length(length_m))
    pegs = _pegs_told(path)
    if plan.second is not None:
        says = joined(" ", (says, second_told(plan, board, plan.second)))
    svg = board_svg(board, path.pegs, marks(board, path.pegs, show.us), f"{board.name}: {pegs}")
    return ShownPath(board.name, pegs, says, svg)


def second_path(plan: WarpPlan, board: Board, second: Second) -> BoardPath | None:
    """The path of the second warp, which has a length of its own; None: a peg blocks the cross."""
    wound_m = plan.order.second_wound_length_m
    return path_over(board, second.lengths.needed_m * 1000 if wound_m is None else wound_m * 1000 - _SAME_MM)


def second_told(plan: WarpPlan, board: Board, second: Second) -> Phrase:
    """The path of the second warp in words."""
    show, path = Shown(plan.guild.units), second_path(plan, board, second)
    if path is None or not path.enough:
        return phrase(
            "Second warp: {length} is longer than any path here; wind it on another board.",
            length=show.length(second.length_m),
        )
    return phrase(
        "Second warp, {length}: {pegs} This path gives {gives}.",
        length=show.length(second.length_m),
        pegs=_pegs_told(path),
        gives=show.length(path.length_mm / 1000),
    )


def _pegs_told(path: BoardPath) -> Phrase:
    start, one, two, *others = path.pegs
    if others:
        return phrase(
            "Start at {start}, cross between {one} and {two}, then {others}, and back.",
            start=start,
            one=one,
            two=two,
            others=listed(others),
        )
    return phrase("Start at {start}, cross between {one} and {two}, and back.", start=start, one=one, two=two)

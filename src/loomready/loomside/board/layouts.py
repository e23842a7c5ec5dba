"""Boards to start with, made from their outer measures; every peg can be moved afterward. Our own layouts."""

from __future__ import annotations

from loomready.model.guild import MAX_PEGS, Board, Peg
from loomready.phrases import phrase
from loomready.problems import BadInput

_LEAST_MM = 60.0  # a hand has to pass between two pegs


def frame(key: str, name: str, width_mm: float, height_mm: float, rows: int) -> Board:
    """Two uprights of pegs with a rail above: start and cross on the rail, ``rows`` pegs on each upright."""
    _sane(width_mm, height_mm, rows)
    step = height_mm / rows
    if step < _LEAST_MM or width_mm < 4 * _LEAST_MM:
        raise BadInput(
            phrase(
                "the pegs would be too close together for a hand; expected fewer of them or a larger board"
            )
        )
    pegs = [
        Peg("start", _mm(width_mm * 0.2), _mm(height_mm)),
        Peg("cross-1", _mm(width_mm * 0.45), _mm(height_mm)),
        Peg("cross-2", _mm(width_mm * 0.7), _mm(height_mm)),
    ]
    for row in range(1, rows + 1):
        y = _mm(height_mm - row * step)
        pegs += [Peg(f"left-{row}", 0.0, y), Peg(f"right-{row}", _mm(width_mm), y)]
    return Board(key, name, tuple(pegs), "start", ("cross-1", "cross-2"))


def long_board(key: str, name: str, length_mm: float, rows: int) -> Board:
    """Pegs in two groups far apart, as clamped to a long table: few turns, so that little rubs."""
    _sane(length_mm, length_mm, rows)
    if length_mm < 12 * _LEAST_MM:
        raise BadInput(phrase("is too short for two groups of pegs; expected a longer board"))
    step = 150.0
    pegs = [Peg("start", 0.0, 0.0), Peg("cross-1", step, 0.0), Peg("cross-2", 2 * step, 0.0)]
    for row in range(1, rows + 1):
        pegs.append(Peg(f"far-{row}", _mm(length_mm), _mm((row - 1) * step)))
        pegs.append(Peg(f"near-{row}", 0.0, _mm(row * step)))
    return Board(key, name, tuple(pegs), "start", ("cross-1", "cross-2"))


def mill(key: str, name: str, around_mm: float, height_mm: float, turns: int, posts: int) -> Board:
    """A warping mill with its side unrolled: x runs around it, again and again, y up.

    Start and cross stand at the top. The last peg can go on any post at the bottom: peg "3-2" is post 2
    after three whole turns. It is one peg that moves, drawn wherever it can be. ``around_mm`` is what a tape
    shows around the posts: the warp lies straight from post to post, and so is as long as the straight line
    of the drawing says.
    """
    _sane(around_mm, height_mm, turns)
    if not 3 <= posts <= 12:
        raise BadInput(phrase("{posts} posts; expected 3 to 12", posts=posts))
    if 3 + turns * posts > MAX_PEGS:
        raise BadInput(
            phrase(
                "{turns} turns of {posts} posts; expected at most {most} turns",
                turns=turns,
                posts=posts,
                most=(MAX_PEGS - 3) // posts,
            )
        )
    if around_mm / posts < _LEAST_MM:
        raise BadInput(
            phrase("the posts would be too close together for a hand; expected a larger mill or fewer posts")
        )
    step = min(120.0, around_mm / posts / 3)
    pegs = [
        Peg(each, _mm(number * step), _mm(height_mm))
        for number, each in enumerate(("start", "cross-1", "cross-2"))
    ]
    for turn in range(1, turns + 1):
        for post in range(1, posts + 1):
            x = turn * around_mm + (post - 1) * around_mm / posts
            pegs.append(Peg(f"{turn}-{post}", _mm(x), 0.0))
    return Board(key, name, tuple(pegs), "start", ("cross-1", "cross-2"), mill=True)


def _mm(value: float) -> float:
    return round(value, 1)


def _sane(width_mm: float, height_mm: float, rows: int) -> None:
    for mm in (width_mm, height_mm):
        if not 200 <= mm <= 20_000:
            raise BadInput(phrase("{mm:g} mm is not a size of a board; expected 200 to 20 000 mm", mm=mm))
    if not 1 <= rows <= (MAX_PEGS - 3) // 2:
        raise BadInput(phrase("{rows}; expected 1 to {most}", rows=rows, most=(MAX_PEGS - 3) // 2))

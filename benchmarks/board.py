"""Paths over boards of forty pegs."""

from __future__ import annotations

from functools import partial

from benchmarks.timing import Row, median_of, promise
from loomready.loomside.board.winding_path import find_path
from loomready.model.guild import Board, Peg


def _anywhere() -> Board:
    """Pegs all over the board: more paths than anybody could look through."""
    places = [(0.0, 0.0), (80.0, 0.0), (160.0, 0.0)]
    places += [(613 * n % 1499, 100 + 389 * n * n % 1009) for n in range(37)]
    return _board(places)


def _frame() -> Board:
    """Two uprights of eighteen pegs and a rail."""
    places = [(150.0 * n, 1300.0) for n in range(1, 5)]
    places += [(x, 70.3 * row) for row in range(18) for x in (0.0, 914.4)]
    return _board(places)


def _rows() -> Board:
    """Four rows of ten pegs, where few ways are long."""
    return _board([(n % 10 * 101.6, n // 10 * 127.0) for n in range(40)])


def _board(places: list[tuple[float, float]]) -> Board:
    pegs = tuple(Peg(f"p{number}", x, y) for number, (x, y) in enumerate(places))
    return Board("bench", "bench", pegs, "p0", ("p1", "p2"))


def run() -> list[Row]:
    rows = []
    for name, board in (("anywhere", _anywhere()), ("on a frame", _frame())):
        for yards, wanted_mm in ((10, 9_144.0), (15, 13_716.0)):
            taken = median_of(partial(find_path, board, wanted_mm), 3)
            rows.append(promise(f"path of {yards} yd, {len(board.pegs)} pegs {name}", taken, 2.0))
    taken = median_of(partial(find_path, _rows(), 10_000.0), 3)
    rows.append(promise("path of 10 m, 40 pegs in four rows", taken, 2.0))
    return rows

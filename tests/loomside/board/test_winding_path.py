"""Paths over a board against exhaustive search with exact fractions, and on boards worked out by hand."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from loomready.loomside.board.search import Effort
from loomready.loomside.board.winding_path import BoardPath, as_json, find_path
from loomready.model.guild import Board, Peg
from loomready.problems import Impossible

Point = tuple[Fraction, Fraction]


def board_of(*places: tuple[float, float]) -> Board:
    """Pegs a, b, c, ...; warps begin at a and cross between b and c."""
    pegs = tuple(Peg(chr(ord("a") + n), x, y) for n, (x, y) in enumerate(places))
    return Board("board", "board", pegs, "a", ("b", "c"))


def point(peg: Peg) -> Point:
    return Fraction(round(peg.x_mm * 1000), 1000), Fraction(round(peg.y_mm * 1000), 1000)


def turn(a: Point, b: Point, c: Point) -> Fraction:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def crosses(a: Point, b: Point, c: Point, d: Point) -> bool:
    return turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0


def nearer_than_10(a: Point, b: Point, p: Point) -> bool:
    """Whether p is less than 10 mm from the segment, by the squared distance to its nearest point."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    share = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)
    share = min(Fraction(1), max(Fraction(0), share))
    x, y = a[0] + share * dx - p[0], a[1] + share * dy - p[1]
    return x * x + y * y < 100


def is_free(board: Board, one: str, other: str) -> bool:
    a, b = point(board.peg(one)), point(board.peg(other))
    return not any(nearer_than_10(a, b, point(peg)) for peg in board.pegs if peg.name not in (one, other))


def may_lie(board: Board, path: tuple[str, ...]) -> bool:
    """Whether the rules of a path hold, each looked at again."""
    at = [point(board.peg(name)) for name in path]
    segments = list(pairwise(at))
    apart = all(
        not crosses(*segments[i], *segments[j]) for i, j in combinations(range(len(segments)), 2) if j > i + 1
    )
    return (
        apart and len(set(path)) == len(path) and all(is_free(board, one, two) for one, two in pairwise(path))
    )


def length_of(board: Board, path: tuple[str, ...]) -> float:
    at = [board.peg(name) for name in path]
    return math.fsum(math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm) for a, b in pairwise(at))


def every_path(board: Board) -> list[tuple[str, ...]]:
    """All paths there are, one peg more at a time."""
    made: list[tuple[str, ...]] = []
    front: list[tuple[str, ...]] = [(board.start, *board.cross)]
    names = [peg.name for peg in board.pegs]
    while front:
        made += front
        front = [
            (*path, name)
            for path in front
            for name in names
            if name not in path and may_lie(board, (*path, name))
        ]
    return made


def check(board: Board, wanted: float, found: BoardPath) -> None:
    assert found.pegs[:3] == (board.start, *board.cross)
    assert may_lie(board, found.pegs)
    assert found.length_mm == pytest.approx(length_of(board, found.pegs), abs=1e-6)
    assert found.enough == (found.length_mm >= wanted - 1e-6)
    assert found.excess_mm == pytest.approx(found.length_mm - wanted, abs=1e-6)


# Some on a coarse grid, where many ways are equally long and pegs stand in line; some anywhere.
PLACES = st.one_of(
    st.lists(
        st.tuples(st.integers(0, 4), st.integers(0, 3)).map(lambda at: (at[0] * 60.0, at[1] * 60.0)),
        min_size=3,
        max_size=8,
        unique=True,
    ),
    st.lists(
        st.tuples(st.integers(0, 4000), st.integers(0, 3000)).map(lambda at: (at[0] / 10, at[1] / 10)),
        min_size=3,
        max_size=7,
        unique=True,
    ),
)


@settings(max_examples=60, deadline=None)
@given(PLACES, st.floats(1, 2500))
@example([(0, 0), (100, 0), (200, 50), (0, 200), (200, 200), (100, 300), (150, 120)], 100.0)
def test_the_path_is_the_one_that_trying_all_finds(places: list[tuple[float, float]], wanted: float) -> None:
    board = board_of(*places)
    assume(may_lie(board, (board.start, *board.cross)))
    lengths = [length_of(board, path) for path in every_path(board)]
    found = find_path(board, wanted)
    check(board, wanted, found)
    assert found.proved_least
    enough = [length for length in lengths if length >= wanted - 1e-6]
    assert found.length_mm == pytest.approx(min(enough) if enough else max(lengths), abs=1e-6)


@settings(max_examples=30, deadline=None)
@given(PLACES, st.floats(300, 1500))
def test_a_search_cut_short_still_gives_a_path_and_does_not_call_it_the_least(
    places: list[tuple[float, float]], wanted: float
) -> None:
    board = board_of(*places)
    assume(may_lie(board, (board.start, *board.cross)))
    best = find_path(board, wanted)
    found = find_path(board, wanted, Effort(states=1, lengths=1, width=2, few=2))
    check(board, wanted, found)
    if found.proved_least:
        assert found.enough == best.enough
        assert found.length_mm == pytest.approx(best.length_mm, abs=1e-6)


def test_a_zigzag_on_a_frame_has_no_excess_where_the_board_gives_just_that() -> None:
    board = board_of((0, 0), (300, 0), (600, 0), (600, 400), (0, 400), (0, 800), (600, 800))
    found = find_path(board, 600 + 400 + 600 + 400 + 600)
    check(board, 2600, found)
    assert found.excess_mm == 0
    assert found.proved_least


def test_a_path_goes_round_a_peg_in_its_way() -> None:
    through = board_of((0, 0), (100, 0), (200, 0), (200, 400), (200, 200))
    assert find_path(through, 500).pegs == ("a", "b", "c", "e", "d")
    beside = board_of((0, 0), (100, 0), (200, 0), (200, 400), (210, 200))
    assert find_path(beside, 550).pegs == ("a", "b", "c", "d")  # just 10 mm away is far enough
    touched = board_of((0, 0), (100, 0), (200, 0), (200, 400), (209.999, 200))
    assert find_path(touched, 600).pegs == ("a", "b", "c", "e", "d")


def test_a_short_warp_ends_at_the_cross() -> None:
    board = board_of((0, 0), (100, 0), (200, 0), (200, 400))
    found = find_path(board, 150)
    assert (found.pegs, found.excess_mm) == (("a", "b", "c"), 50)


def test_a_length_beyond_the_board_gets_the_longest_path() -> None:
    board = board_of((0, 0), (100, 0), (200, 0), (200, 400), (0, 400))
    found = find_path(board, 5000)
    assert not found.enough
    assert found.proved_least
    assert found.pegs == ("a", "b", "c", "e", "d")  # down the long diagonal first
    assert found.excess_mm == pytest.approx(200 + math.hypot(200, 400) + 200 - 5000)


def test_a_blocked_cross_is_told_with_the_peg_in_the_way() -> None:
    board = board_of((0, 0), (100, 0), (300, 0), (200, 5))
    with pytest.raises(Impossible, match=r"from peg b to peg c passes within 10 mm of peg d"):
        find_path(board, 1000)


def test_the_same_question_has_the_same_answer() -> None:
    anywhere = ((137 * n % 1000, 100 + 211 * n * n % 900) for n in range(23))
    board = board_of((0, 0), (80, 0), (160, 0), *anywhere)
    assert find_path(board, 5000) == find_path(board, 5000)


@pytest.mark.parametrize("wanted", [1500.0, 4572.0, 9000.0, 11000.0])
def test_a_board_too_large_to_look_through_gives_a_path_with_hardly_any_excess(wanted: float) -> None:
    anywhere = ((613 * n % 1499, 100 + 389 * n * n % 1009) for n in range(37))
    board = board_of((0, 0), (80, 0), (160, 0), *anywhere)
    found = find_path(board, wanted)
    check(board, wanted, found)
    assert found.enough
    assert found.excess_mm < 10


def test_a_mirrored_or_turned_board_has_the_same_excess() -> None:
    places = [(137.5 * n % 800, 211 * n * n % 700) for n in range(10)]
    wanted = 2200.0
    excess = find_path(board_of(*places), wanted).excess_mm
    for moved in ([(-x, y) for x, y in places], [(y, x) for x, y in places]):
        assert find_path(board_of(*moved), wanted).excess_mm == pytest.approx(excess, abs=1e-6)


def test_the_answer_as_json_has_the_four_keys() -> None:
    board = board_of((0, 0), (100, 0), (200, 0), (200, 400))
    assert as_json(find_path(board, 550)) == {
        "path": ["a", "b", "c", "d"],
        "length_mm": 600.0,
        "excess_mm": 50.0,
        "proved_least": True,
    }


def test_where_only_long_paths_were_found_the_end_is_laid_anew() -> None:
    """Four rows of ten pegs: few ways are long, and a thinned search meets them late."""
    pegs = tuple(Peg(f"p{n}", n % 10 * 101.6, n // 10 * 127.0) for n in range(40))
    board = Board("rows", "rows", pegs, "p0", ("p1", "p2"))
    found = find_path(board, 10_000.0)
    check(board, 10_000.0, found)
    assert found.enough
    assert found.excess_mm < 1
    assert not found.proved_least


def test_a_path_of_just_the_length_is_the_least_even_if_the_search_was_cut_short() -> None:
    anywhere = ((137 * n % 1000, 100 + 211 * n * n % 900) for n in range(12))
    board = board_of((0, 0), (80, 0), (160, 0), *anywhere)
    little = Effort(states=1, lengths=1, width=2, few=2)
    short = find_path(board, 2000.0, little)
    assert short.enough
    just = find_path(board, short.length_mm, little)
    check(board, short.length_mm, just)
    assert just.excess_mm == pytest.approx(0, abs=1e-6)
    assert just.proved_least

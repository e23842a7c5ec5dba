"""Boards made from their outer measures: where the pegs stand, and which measures no hand could wind on."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from loomready.loomside.board.layouts import frame, long_board, mill
from loomready.model.guild import MAX_PEGS, Board
from loomready.problems import BadInput


def places(board: Board) -> dict[str, tuple[float, float]]:
    return {peg.name: (peg.x_mm, peg.y_mm) for peg in board.pegs}


def test_a_frame_has_its_cross_on_the_rail_and_its_pegs_evenly_down_both_uprights() -> None:
    board = frame("f", "Frame", 1000, 1200, 4)
    assert (board.start, board.cross, board.mill) == ("start", ("cross-1", "cross-2"), False)
    assert places(board) == {
        "start": (200, 1200),
        "cross-1": (450, 1200),
        "cross-2": (700, 1200),
        **{f"left-{row}": (0, 1200 - 300 * row) for row in (1, 2, 3, 4)},
        **{f"right-{row}": (1000, 1200 - 300 * row) for row in (1, 2, 3, 4)},
    }


def test_a_long_board_has_two_groups_of_pegs_as_far_apart_as_it_is_long() -> None:
    board = long_board("l", "Long", 3000, 3)
    assert (board.start, board.cross, board.mill) == ("start", ("cross-1", "cross-2"), False)
    # A row of "far" lies level with the peg of "near" that the path comes from.
    assert places(board) == {
        "start": (0, 0),
        "cross-1": (150, 0),
        "cross-2": (300, 0),
        **{f"far-{row}": (3000, 150 * (row - 1)) for row in (1, 2, 3)},
        **{f"near-{row}": (0, 150 * row) for row in (1, 2, 3)},
    }


def test_a_mill_has_every_post_at_the_bottom_of_every_turn() -> None:
    board = mill("m", "Mill", 2000, 900, 3, 4)
    assert (board.start, board.cross, board.mill) == ("start", ("cross-1", "cross-2"), True)
    # Start and cross within a third of the way to the next post, and a hand's width apart at most.
    assert places(board) == {
        "start": (0, 900),
        "cross-1": (120, 900),
        "cross-2": (240, 900),
        **{
            f"{turn}-{post}": (2000 * turn + 500 * (post - 1), 0)
            for turn in (1, 2, 3)
            for post in (1, 2, 3, 4)
        },
    }
    assert places(mill("m", "Mill", 900, 900, 3, 5))["cross-2"] == (120, 900)


@pytest.mark.parametrize(
    "made",
    [
        lambda: frame("f", "f", 240, 200, 3),  # 60 mm from peg to peg, and from peg to peg on the rail
        lambda: long_board("l", "l", 720, 1),
        lambda: mill("m", "m", 200, 200, 1, 3),
        lambda: mill("m", "m", 720, 900, 5, 12),
        lambda: mill("m", "m", 2000, 900, (MAX_PEGS - 3) // 4, 4),
        lambda: frame("f", "f", 20_000, 20_000, (MAX_PEGS - 3) // 2),
    ],
)
def test_the_smallest_and_the_largest_boards_are_made(made: Callable[[], Board]) -> None:
    board = made()
    assert len(board.pegs) <= MAX_PEGS
    assert len(set(places(board).values())) == len(board.pegs)


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (lambda: frame("f", "f", 199, 900, 4), "199 mm is not a size of a board; expected 200 to 20 000 mm"),
        (lambda: frame("f", "f", 900, 20_001, 4), "20001 mm is not a size"),
        (lambda: frame("f", "f", 900, 900, 0), "0; expected 1 to"),
        (
            lambda: frame("f", "f", 20_000, 20_000, (MAX_PEGS - 3) // 2 + 1),
            f"expected 1 to {(MAX_PEGS - 3) // 2}",
        ),
        (lambda: frame("f", "f", 900, 239, 4), "too close together for a hand"),
        (lambda: frame("f", "f", 239, 900, 4), "too close together for a hand"),
        (lambda: long_board("l", "l", 719, 2), "too short for two groups"),
        (lambda: mill("m", "m", 2000, 900, 4, 2), "2 posts; expected 3 to 12"),
        (lambda: mill("m", "m", 2000, 900, 4, 13), "13 posts; expected 3 to 12"),
        (
            lambda: mill("m", "m", 2000, 900, (MAX_PEGS - 3) // 4 + 1, 4),
            f"at most {(MAX_PEGS - 3) // 4} turns",
        ),
        (lambda: mill("m", "m", 719, 900, 4, 12), "posts would be too close together"),
    ],
)
def test_a_board_that_no_hand_could_wind_on_is_refused_with_what_is_expected(
    made: Callable[[], Board], says: str
) -> None:
    with pytest.raises(BadInput, match=says):
        made()

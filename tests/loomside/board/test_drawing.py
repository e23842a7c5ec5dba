"""The drawing of a board is to scale, names what it shows, and marks the ties where they can be made."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest

from loomready.loomside.board.choice import choose
from loomready.loomside.board.drawing import board_svg
from loomready.loomside.board.layouts import frame, long_board, mill
from loomready.loomside.board.ties import OFF_THE_PEG_MM, choke_ties, marks
from loomready.loomside.board.winding_path import find_path
from loomready.model.guild import Board, Item, Peg
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests.packet import plans

BOARDS = [
    frame("f", "Frame", 900, 1000, 5),
    long_board("l", "Long", 2200, 4),
    mill("m", "Mill", 1800, 1000, 5, 4),
]
SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("board", BOARDS, ids=lambda board: board.name)
def test_pegs_are_drawn_to_one_scale_and_up_is_up(board: Board) -> None:
    drawing = ElementTree.fromstring(board_svg(board))
    circles = [(float(each.attrib["cx"]), float(each.attrib["cy"])) for each in drawing.iter(f"{SVG}circle")]
    assert len(circles) == len(board.pegs)
    for (one, at), (two, there) in pairwise(zip(board.pegs, circles, strict=True)):
        assert there[0] - at[0] == pytest.approx(two.x_mm - one.x_mm, abs=0.02)
        assert there[1] - at[1] == pytest.approx(one.y_mm - two.y_mm, abs=0.02)


@pytest.mark.parametrize("board", BOARDS, ids=lambda board: board.name)
def test_everything_drawn_lies_inside_the_drawing(board: Board) -> None:
    path = find_path(board, 4500).pegs
    drawing = ElementTree.fromstring(board_svg(board, path, marks(board, path, us=False)))
    _, _, width, height = map(float, drawing.attrib["viewBox"].split())
    size = float(drawing.attrib["font-size"])
    for each in drawing.iter(f"{SVG}text"):
        x, letters = float(each.attrib["x"]), len(each.text or "") * 0.55 * size
        left = {"start": x, "middle": x - letters / 2, "end": x - letters}[each.attrib["text-anchor"]]
        assert left >= 0
        assert left + letters <= width
        assert 0 < float(each.attrib["y"]) < height


def test_a_name_with_signs_of_markup_is_drawn_as_it_is() -> None:
    pegs = (Peg("<a>", 0, 0), Peg("b&c", 100, 0), Peg('"d"', 200, 0))
    board = Board("x", 'A "board" <of> mine', pegs, "<a>", ("b&c", '"d"'))
    drawing = ElementTree.fromstring(board_svg(board))
    assert [each.text for each in drawing.iter(f"{SVG}text")] == ["<a>", "b&c", '"d"']
    assert drawing.attrib["aria-label"] == 'A "board" <of> mine'


@pytest.mark.parametrize("board", BOARDS, ids=lambda board: board.name)
@pytest.mark.parametrize("us", [True, False])
def test_choke_ties_lie_on_the_path_after_the_cross_about_a_step_apart(board: Board, us: bool) -> None:
    found = find_path(board, 5000)
    pegs = [board.peg(name) for name in found.pegs]
    ends = [0.0]
    for one, two in pairwise(pegs):
        ends.append(ends[-1] + math.hypot(one.x_mm - two.x_mm, one.y_mm - two.y_mm))
    made = marks(board, found.pegs, us)
    chokes = [mark for mark in made if mark.kind == "choke"]
    assert len(chokes) == choke_ties(found.length_mm / 1000, us)
    step = 914.4 if us else 1000
    along = [mark.along_mm for mark in chokes]
    assert along[0] - ends[2] < 250
    assert all(later - earlier < 1.25 * step for earlier, later in pairwise(along))
    assert all(min(abs(end - each) for end in ends) > OFF_THE_PEG_MM - 1e-6 for each in along)
    for mark in made:
        assert min(distance(mark.at, one, two) for one, two in pairwise(pegs)) < 1e-6


def distance(at: tuple[float, float], one: Peg, two: Peg) -> float:
    """How far a point is from a segment, by the triangle's excess."""
    there = math.hypot(one.x_mm - at[0], one.y_mm - at[1]) + math.hypot(two.x_mm - at[0], two.y_mm - at[1])
    return there - math.hypot(one.x_mm - two.x_mm, one.y_mm - two.y_mm)


def test_a_mill_gives_lengths_a_post_apart() -> None:
    board = mill("m", "Mill", 2000, 900, 6, 4)
    for wanted in (4000, 6500, 9300):
        found = find_path(board, wanted)
        assert found.enough
        assert found.proved_least
        assert len(found.pegs) == 4, "what stands after the cross is one peg, and the warp ends there"
        assert found.excess_mm < 2000 / 4 + 1


def test_a_mill_turns_as_a_screw_line_does() -> None:
    """From the cross to post 1 after three turns: the diagonal of the unrolled side."""
    board = mill("m", "Mill", 2000, 900, 6, 4)
    cross, last = board.peg("cross-2"), board.peg("3-1")
    assert last.x_mm == 3 * 2000
    assert math.hypot(last.x_mm - cross.x_mm, last.y_mm - cross.y_mm) == pytest.approx(
        math.hypot(3 * 2000 - cross.x_mm, 900)
    )


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: frame("f", "f", 900, 300, 20),
        lambda: frame("f", "f", 50, 900, 4),
        lambda: long_board("l", "l", 400, 3),
        lambda: mill("m", "m", 1800, 900, 40, 4),
        lambda: mill("m", "m", 1800, 900, 4, 2),
        lambda: mill("m", "m", 250, 900, 4, 12),
    ],
)
def test_a_board_that_no_hand_could_wind_on_is_refused(wrong: Callable[[], Board]) -> None:
    with pytest.raises(BadInput):
        wrong()


def planned(*boards: Board, wound_m: float | None = None) -> WarpPlan:
    order = replace(plans.BAND.warps[0], items=(Item(3.0),), wound_length_m=wound_m)
    return plan_guild(replace(plans.BAND, boards=boards, warps=(order,)), {"d": plans.TWILL}).warps[0]


def test_the_first_board_that_is_long_enough_is_chosen() -> None:
    small = frame("s", "Small", 400, 300, 3)
    needed = planned().lengths.needed_m * 1000
    assert not find_path(small, needed).enough
    chosen = choose(planned(small, *BOARDS))
    assert chosen is not None
    assert chosen[0].name == "Frame"
    assert choose(planned()) is None


def test_a_warp_with_its_wound_length_goes_where_that_length_comes_from() -> None:
    needed = planned().lengths.needed_m * 1000
    length_m = find_path(BOARDS[1], needed).length_mm / 1000
    few = Board("few", "Few", BOARDS[1].pegs[:4], "start", ("cross-1", "cross-2"))
    chosen = choose(planned(few, BOARDS[1], wound_m=math.ceil(length_m * 1e4) / 1e4))
    assert chosen is not None
    assert chosen[0].name == "Long"
    assert choose(planned(few, wound_m=length_m)) is None  # it was wound some other way

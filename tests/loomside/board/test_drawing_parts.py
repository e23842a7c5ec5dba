"""The drawing of a board, part by part: arrows along the path, names beside their pegs, clear of others."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ElementTree
from itertools import combinations, pairwise

import pytest

from loomready.loomside.board.drawing import board_drawing
from loomready.loomside.board.layouts import frame, long_board, mill
from loomready.loomside.board.ties import marks
from loomready.loomside.board.winding_path import find_path
from loomready.model.guild import Board, Peg

SVG = "{http://www.w3.org/2000/svg}"
BOARDS = [
    frame("f", "Frame", 900, 1000, 5),
    frame("w", "Wide frame", 2400, 500, 3),
    long_board("l", "Long", 2200, 4),
    mill("m", "Mill", 1800, 1000, 5, 4),
    Board("x", "Line", (Peg("a", 0, 0), Peg("b", 100, 0), Peg("c", 200, 0)), "a", ("b", "c")),
    Board("z", "High", (Peg("a", 900, 2000), Peg("b", 1200, 2000), Peg("c", 1200, 2400)), "a", ("b", "c")),
    Board("y", "Upright", (Peg("a", 50, 0), Peg("b", 50, 150), Peg("c", 50, 300)), "a", ("b", "c")),
]
WAYS = pytest.mark.parametrize("board", BOARDS, ids=lambda board: board.name)
Point = tuple[float, float]


class Drawn:
    """What the SVG shows, read by its elements."""

    def __init__(self, board: Board, *, wound: bool) -> None:
        self.path = find_path(board, 4500).pegs if wound else ()
        self.ties = marks(board, self.path, us=False) if wound else []
        made = board_drawing(board, self.path, self.ties)
        self.tree = ElementTree.fromstring(made.svg)
        self.size = made.width, made.height
        self.letter = float(self.tree.attrib["font-size"])
        circles = list(self.tree.iter(f"{SVG}circle"))
        self.radius = float(circles[0].attrib["r"])
        self.pegs = {
            peg.name: (float(each.attrib["cx"]), float(each.attrib["cy"]))
            for peg, each in zip(board.pegs, circles, strict=True)
        }
        self.names = dict(
            zip(self.pegs, map(box, self.tree.iter(f"{SVG}text"), [self.letter] * 99), strict=False)
        )

    @property
    def heads(self) -> list[list[Point]]:
        return [
            [(float(x), float(y)) for x, y in (pair.split(",") for pair in each.attrib["points"].split())]
            for each in self.tree.iter(f"{SVG}polygon")
        ]

    @property
    def tied(self) -> list[Point]:
        return [
            (
                float(each.attrib["x"]) + float(each.attrib["width"]) / 2,
                float(each.attrib["y"]) + float(each.attrib["height"]) / 2,
            )
            for each in self.tree.iter(f"{SVG}rect")
        ]


def away(at: Point, box: tuple[float, float, float, float]) -> float:
    """How far a point is from a box."""
    (x, y), (left, top, right, bottom) = at, box
    return math.hypot(x - min(max(x, left), right), y - min(max(y, top), bottom))


def box(text: ElementTree.Element, size: float) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a name; a letter is about half as wide as it is high."""
    x, y, letters = float(text.attrib["x"]), float(text.attrib["y"]), 0.5 * size * len(text.text or "")
    left = {"start": x, "middle": x - letters / 2, "end": x - letters}[text.attrib["text-anchor"]]
    return left, y - 0.7 * size, left + letters, y + 0.1 * size


@WAYS
@pytest.mark.parametrize("wound", [False, True])
def test_names_lie_clear_of_one_another_and_of_the_pegs(board: Board, wound: bool) -> None:
    drawn = Drawn(board, wound=wound)
    for (_, one), (_, other) in combinations(drawn.names.items(), 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
    for named in drawn.names.values():
        assert min(away(at, named) for at in drawn.pegs.values()) >= drawn.radius * 0.9


@WAYS
@pytest.mark.parametrize("wound", [False, True])
def test_a_name_is_nearest_to_its_own_peg(board: Board, wound: bool) -> None:
    drawn = Drawn(board, wound=wound)
    for name, named in drawn.names.items():
        own = away(drawn.pegs[name], named)
        assert own <= min(away(at, named) for at in drawn.pegs.values()) + 2.5 * drawn.letter
        assert own <= drawn.radius + 4 * drawn.letter


@WAYS
def test_little_of_the_drawing_is_empty_paper(board: Board) -> None:
    drawn = Drawn(board, wound=True)
    wide, high = drawn.size
    boxes = [*drawn.names.values()]
    for x, y in drawn.pegs.values():
        boxes.append((x - drawn.radius, y - drawn.radius, x + drawn.radius, y + drawn.radius))
    margin = 0.2 * max(wide, high)
    assert 0 <= min(each[0] for each in boxes) < margin
    assert 0 <= min(each[1] for each in boxes) < margin
    assert 0 <= wide - max(each[2] for each in boxes) < margin
    assert 0 <= high - max(each[3] for each in boxes) < margin


@WAYS
def test_each_way_from_peg_to_peg_has_an_arrow_on_it_that_points_onward(board: Board) -> None:
    drawn = Drawn(board, wound=True)
    ways = list(pairwise(drawn.pegs[name] for name in drawn.path))
    assert len(drawn.heads) == len(ways)
    for (start, end), (tip, one, other) in zip(ways, drawn.heads, strict=True):
        length = math.dist(start, end)
        back = ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)
        assert math.dist(start, tip) + math.dist(tip, end) == pytest.approx(length, abs=0.1)
        assert 0.3 * length < math.dist(start, tip) < 0.7 * length
        assert math.dist(back, tip) + math.dist(tip, end) == pytest.approx(math.dist(back, end), abs=0.1)
        assert math.dist(tip, one) == pytest.approx(math.dist(tip, other), abs=0.05)
        high, wide = math.dist(tip, back), math.dist(one, other)
        assert 0.5 * drawn.letter < wide < high * 1.2 < 2 * drawn.letter
        # No tie is drawn over the arrow where the way is long enough for both; ties are a meter apart.
        if length > 8 * drawn.letter and drawn.letter < 200:
            assert all(math.dist(tip, tie) > 0.8 * drawn.letter for tie in drawn.tied)


def test_names_of_pegs_nearly_at_a_side_stand_beside_them_too() -> None:
    places = {"a": (0, 0), "b": (10, 300), "c": (900, 0), "d": (893, 300), "e": (450, 300)}
    board = Board("s", "Sides", tuple(Peg(name, *at) for name, at in places.items()), "a", ("b", "c"))
    texts = ElementTree.fromstring(board_drawing(board).svg).iter(f"{SVG}text")
    anchors = {each.text: each.attrib["text-anchor"] for each in texts}
    assert anchors == {"a": "end", "b": "end", "c": "start", "d": "start", "e": "middle"}

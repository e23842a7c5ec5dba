"""What the board's page works out itself, held against the engine on the same cases, in Chromium."""

from __future__ import annotations

import itertools
import random

import pytest
from playwright.sync_api import Page

from loomready.app.forms import quantity_input
from loomready.app.loomside import boards_form
from loomready.loomside.board import drawing, layouts
from loomready.model.guild import Peg
from loomready.problems import BadInput
from loomready.units import WIDTH_MM, read
from tests.app.loomside.test_jobs_script import run
from tests.app.loomside.test_jobs_script import script as script

pytestmark = pytest.mark.django_db(transaction=True)

NUMBERS = [
    "0",
    "7",
    "-3",
    "+2",
    "12.5",
    ".5",
    "5.",
    "1,5",
    ",5",
    "1,250",
    "12,34",
    "1.5.2",
    "2-3/8",
    "3/4",
    "1/0",
    "¾",
    "8½",
    "1⁄2",
    "--1",
    "1e3",
    "one",
]
NUMBERS += ["1 1/2", "8 ⅝", "- 2", ""]
UNITS = ["", " in", '"', " ft", "'", "yds", " cm", "cm.", " CM", " meters", " m", " mm", " g", " furlong"]
# What the server reads and the page leaves to it: a peg stays where it is until the board is saved.
LEFT_TO_THE_SERVER = ["2 ft 6 in", "1' 6\"", "1,250,000 mm", "1.250,5 cm", "1,250.5 cm"]


def by_the_server(text: str, unit: str) -> float | None:
    try:
        return read(quantity_input.plain(text, WIDTH_MM, unit), WIDTH_MM)
    except BadInput:
        return None


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_typed_place_is_read_in_the_browser_as_by_the_server(script: Page, unit: str) -> None:
    texts = [number + name for number, name in itertools.product(NUMBERS, UNITS)]
    found = run(
        script,
        """
          const { millimeters } = await import(at("board_sums"));
          return [...texts, ...left].map((text) => millimeters(text, law.units[law.unit], law.units));
        """,
        {"texts": texts, "left": LEFT_TO_THE_SERVER, "law": boards_form.law(unit)},
    )
    for text, mm in zip(texts, found, strict=False):
        expected = by_the_server(text, unit)
        assert mm == (expected if expected is None else pytest.approx(expected, abs=1e-4)), text
    assert found[len(texts) :] == [None] * len(LEFT_TO_THE_SERVER)
    assert None not in [by_the_server(text, unit) for text in LEFT_TO_THE_SERVER]
    assert len([mm for mm in found if mm is not None]) > 150


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_moved_peg_is_written_so_that_the_server_reads_its_place(script: Page, unit: str) -> None:
    step = boards_form.step_mm(unit)
    places = [step * number for number in range(-40, 400, 7)]
    found = run(
        script,
        """
          const { written } = await import(at("board_sums"));
          return places.map((mm) => written(mm, law.unit, law.units));
        """,
        {"places": places, "law": boards_form.law(unit)},
    )
    assert [read(text, WIDTH_MM) for text in found] == pytest.approx(places, abs=1e-9)


def test_a_board_is_framed_and_its_names_laid_as_by_the_engine(script: Page) -> None:
    chance = random.Random(5)
    boards = [
        layouts.frame("a", "a", 914.4, 1200.0, 5).pegs,
        layouts.long_board("b", "b", 2000.0, 4).pegs,
        layouts.mill("c", "c", 1800.0, 1500.0, 5, 3).pegs,
        *(
            tuple(
                Peg(
                    "abcdefg"[: chance.randint(1, 7)] + str(number),
                    chance.uniform(0, 900),
                    chance.uniform(0, 700),
                )
                for number in range(chance.randint(2, 40))
            )
            for _ in range(30)
        ),
        tuple(Peg(f"row-{number}", 20.0 * number, 0.0) for number in range(30)),
    ]
    frames = [drawing.frame_of(pegs, max(len(peg.name) for peg in pegs)) for pegs in boards]
    given = [
        {
            "pegs": [{"name": peg.name, "x": peg.x_mm, "y": peg.y_mm} for peg in pegs],
            "frame": {"left": of.left, "top": of.bottom + of.height, "width": of.width, "height": of.height},
        }
        for pegs, of in zip(boards, frames, strict=True)
    ]
    found = run(
        script,
        """
          const { frameOf, spotsOf, unitOf } = await import(at("board_sums"));
          const around = { least: 60, share: 0.09 };
          return boards.map(({ pegs, frame }) => [
            frameOf(pegs, around), unitOf(frame), spotsOf(pegs, frame),
          ]);
        """,
        {"boards": given},
    )
    for pegs, frame, of, (own, unit, spots) in zip(boards, frames, given, found, strict=True):
        assert own == pytest.approx(of["frame"])
        assert unit == pytest.approx(frame.unit)
        lie = drawing._spots(pegs, {peg.name: peg.name for peg in pegs}, frame)
        for peg, spot in zip(pegs, spots, strict=True):
            x, y, anchor = lie[peg.name]
            assert (spot["x"], spot["y"]) == pytest.approx((x, y), abs=0.02), peg
            assert spot["anchor"] == anchor

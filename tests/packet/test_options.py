"""Paper, large print and the pocket card, as they are asked for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pypdf import PageObject
from typer.testing import CliRunner

from loomready.cli import app
from loomready.draft.draft import lift_plan
from loomready.model.guild import Side
from loomready.packet.options import LARGE, Options
from loomready.packet.packet import packet_pdf
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast
from tests.demo.examples import planned
from tests.packet import plans, reading
from tests.packet.test_pages import demo, silk

A4, LETTER, A6 = (595, 842), (612, 792), (298, 420)


def size(page: PageObject) -> tuple[int, int]:
    return round(page.mediabox.width), round(page.mediabox.height)


def largest_letters(pdf: bytes) -> float:
    found: list[float] = []
    page = reading.reader(pdf).pages[0]
    page.extract_text(visitor_text=lambda _text, _cm, _tm, _font, letters: found.append(letters))
    return max(found)


@pytest.mark.parametrize(("paper", "wanted"), [("a4", A4), ("us-letter", LETTER), (None, LETTER)])
def test_every_page_is_of_the_paper_asked_for(paper, wanted) -> None:
    pages = reading.reader(packet_pdf(plans.band(), Options(paper=paper))).pages
    assert {size(page) for page in pages} == {wanted}


def test_large_print_has_letters_one_size_up_on_the_same_paper() -> None:
    usual, large = (packet_pdf(plans.curtain(), Options(large=large)) for large in (False, True))
    assert largest_letters(large) == pytest.approx(LARGE * largest_letters(usual), rel=0.01)
    assert size(reading.reader(large).pages[0]) == A4
    assert len(reading.reader(large).pages) < 2 * len(reading.reader(usual).pages)


def test_large_print_of_eight_shafts_leaves_the_sley_the_width_of_the_page() -> None:
    plan = planned("large-print-tea-towels").warps[0]
    text = reading.sheets(packet_pdf(plan, Options(large=True)))["Sley and heddles"]
    assert any(line.strip().endswith("2 ends per dent, starting with end 1") for line in text.splitlines())


def test_large_print_still_says_every_end() -> None:
    plan = plans.curtain()
    text = reading.sheets(packet_pdf(plan, Options(large=True)))["Threading"]
    groups = reading.threading_groups(text, 24, "left")
    assert sum(len(group.threading) for group in groups) == plan.web.heddle_ends


IRREGULAR = lift_plan(
    [1, 3, 2, 4, 1, 2, 4, 3, 1, 4, 2, 3, 3, 1, 4, 2, 2, 4, 1, 3], [[1, 2], [2, 3], [3, 4], [1, 4]]
)


def lines_of_shafts(pdf: bytes) -> list[int]:
    """How many shafts stand in each line of large numbers on the threading sheet, from the top."""
    (page,) = [page for page in reading.reader(pdf).pages if "Totals to check against" in page.extract_text()]
    found: Counter[int] = Counter()

    def count(text: str, cm: list[float], tm: list[float], _font: Any, letters: float) -> None:
        if 15.9 < letters < 25 and text.strip().isdecimal():  # a group's own number has at most 15.6
            found[round(cm[5] + tm[5] * cm[3])] += len(text.strip())

    page.extract_text(visitor_text=count)
    return [found[line] for line in sorted(found, reverse=True)]


@pytest.mark.parametrize("end_1", ["left", "right"])
@pytest.mark.parametrize("large", [False, True])
def test_the_shafts_of_a_group_stand_in_one_line(large: bool, end_1: Side) -> None:
    plan = plan_guild(cast.guild(end_1=end_1), cast.drafts(IRREGULAR)).warps[0]
    assert lines_of_shafts(packet_pdf(plan, Options(large=large))) == [18, 2]  # the others are ticked only


@pytest.mark.parametrize(
    "make", [plans.band, plans.curtain, silk, *(lambda k=k: demo(k) for k in ("scarves", "towels"))]
)
def test_the_pocket_card_is_one_page_of_a6_with_the_numbers(make: Callable[[], WarpPlan]) -> None:
    plan = make()
    (page,) = reading.reader(packet_pdf(plan, Options(card=True))).pages
    assert size(page) == A6
    text = " ".join(page.extract_text().split())
    assert f"{plan.web.ends:,}" in text
    assert f"{plan.picks:,}" in text
    for bout in plan.bouts:
        assert f"{bout.number}: {bout.first_end:,}–{bout.last_end:,}" in text
    assert plan.order.key in text


def test_a_card_of_very_many_bouts_and_pieces_is_still_one_page() -> None:
    plan = plans.curtain()
    bouts = tuple(replace(plan.bouts[0], number=number) for number in range(1, 120))
    made = packet_pdf(replace(plan, bouts=bouts), Options(card=True))
    assert len(reading.reader(made).pages) == 1


def test_the_command_writes_what_is_asked_for(tmp_path: Path) -> None:
    command = ["plan", "demo/guild.toml", "--warp", "scarves", "--packet", str(tmp_path)]
    said = CliRunner().invoke(app, [*command, "--large", "--card", "--paper", "a4"])
    assert said.exit_code == 0
    assert sorted(path.name for path in tmp_path.rglob("*.pdf")) == ["scarves-card.pdf", "scarves.pdf"]
    assert size(reading.reader((tmp_path / "scarves.pdf").read_bytes()).pages[0]) == A4
    assert size(reading.reader((tmp_path / "cards" / "scarves-card.pdf").read_bytes()).pages[0]) == A6


def test_options_of_packets_without_a_packet_are_refused() -> None:
    for option in (["--card"], ["--large"], ["--long"], ["--hours"], ["--paper", "a4"]):
        said = CliRunner().invoke(app, ["plan", "demo/guild.toml", *option])
        assert isinstance(said.exception, BadInput)
        assert "expected --packet DIR too" in said.exception.line()

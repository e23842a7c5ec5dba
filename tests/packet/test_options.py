"""Paper, large print and the pocket card, as they are asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PageObject
from typer.testing import CliRunner

from loomready.cli import app
from loomready.packet.options import LARGE, Options
from loomready.packet.packet import packet_pdf
from loomready.warp.result import WarpPlan
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


def test_large_print_still_says_every_end() -> None:
    plan = plans.curtain()
    text = reading.sheets(packet_pdf(plan, Options(large=True)))["Threading"]
    groups = reading.threading_groups(text, 24, "left")
    assert sum(len(group.threading) for group in groups) == plan.web.heddle_ends


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
    assert sorted(path.name for path in tmp_path.iterdir()) == ["scarves-card.pdf", "scarves.pdf"]
    assert size(reading.reader((tmp_path / "scarves.pdf").read_bytes()).pages[0]) == A4
    assert size(reading.reader((tmp_path / "scarves-card.pdf").read_bytes()).pages[0]) == A6

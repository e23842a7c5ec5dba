"""The treadling is printed short; a row for each pick only where somebody asks for it."""

from __future__ import annotations

import re

from loomready.packet.options import Options
from loomready.packet.packet import packet_pdf
from tests.packet import plans, reading


def weaving(options: Options) -> str:
    return reading.sheets(packet_pdf(plans.curtain(), options))["Weaving"]


def test_the_usual_sheet_has_no_row_for_each_pick() -> None:
    text = weaving(Options())
    assert "Pick by pick" not in text
    assert "Picks In order" in text
    assert "1–24" in text  # the repeat of 24 lifts, each with its number


def test_the_long_form_has_one_row_for_each_pick_of_the_repeat() -> None:
    text = weaving(Options(every_pick=True)).split("Pick by pick")[1]
    rows = [int(number) for number in re.findall(r"^(\d+) [\d· ]+\s(?:up |as before)", text, re.MULTILINE)]
    assert rows == list(range(1, 25))

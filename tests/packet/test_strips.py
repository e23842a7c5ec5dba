"""The web strip over each sheet: its labels have room, and its caption says how the ends lie."""

from __future__ import annotations

import re

import pytest

from loomready.packet.packet import packet_pdf
from loomready.packet.pictures import strips
from tests.demo.examples import WARPS, planned
from tests.packet import reading

NAMES = sorted(path.name for path in WARPS.iterdir())


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("sheet", ["threading", "test_weave", "weaving"])
def test_brackets_of_groups_and_repeats_have_their_numbers_but_for_narrow_ones_at_the_edges(
    name: str, sheet: str
) -> None:
    for plan in planned(name).warps:
        svg = strips(plan)[sheet]
        brackets = len(re.findall(r"v4H", svg))
        labels = len(re.findall(r"<text ", svg))
        assert labels >= max(1, brackets - 2)


def test_the_winding_sheet_of_two_warps_says_that_its_strip_is_as_wound() -> None:
    pages = reading.pages(packet_pdf(planned("seersucker-towels").warps[0]))
    said = [page for page in pages if "as wound: the first warp, then the second" in page]
    assert said
    assert all("Winding" in page.splitlines()[0] for page in said)


def test_no_sheet_of_a_loom_without_shafts_says_where_shaft_1_is() -> None:
    for name in ("pick-up-cushion", "three-heddle-scarf", "inkle-band"):
        heads = [page.split("end 1", 1)[0] for page in reading.pages(packet_pdf(planned(name).warps[0]))]
        assert not any("Shaft 1" in head for head in heads)

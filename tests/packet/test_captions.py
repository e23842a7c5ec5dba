"""What somebody saw on the sheets of the examples: labels, captions, sums, and what stays on one page."""

from __future__ import annotations

import re

import pytest

from loomready.loomside.steps.tying_in import left_out
from loomready.packet.options import LARGE, Options
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


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("scale", [1, LARGE])
def test_the_first_bracket_names_what_the_numbers_are(name: str, scale: float) -> None:
    for plan in planned(name).warps:
        made = strips(plan, scale=scale)
        words = {"weaving": "repeat", "dressing": "place" if plan.loom.is_rigid_heddle else "dent"}
        for sheet, said in words.items():
            told = re.findall(r"<text [^>]*>([^<]*)</text>", made[sheet])
            assert told[0].startswith(said) or (sheet == "dressing" and plan.sley is None)
        if "threading" in left_out(plan) and plan.loom.kind != "inkle":
            assert re.search(r">ends \d", made["test_weave"])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("scale", [1, LARGE])
def test_every_bout_has_its_number_on_the_strip(name: str, scale: float) -> None:
    for plan in planned(name).warps:
        svg = strips(plan, scale=scale)["winding"]
        assert len(re.findall(r"<text ", svg)) == (1 if plan.loom.kind == "inkle" else len(plan.bouts))


def test_the_winding_sheet_of_two_warps_says_that_its_strip_is_as_wound() -> None:
    pages = reading.pages(packet_pdf(planned("seersucker-towels").warps[0]))
    said = [page for page in pages if "as wound: the first warp, then the second" in page]
    assert said
    assert all("Winding" in page.splitlines()[0] for page in said)


def test_no_sheet_of_a_loom_without_shafts_says_where_shaft_1_is() -> None:
    for name in ("pick-up-cushion", "three-heddle-scarf", "inkle-band"):
        heads = [page.split("end 1", 1)[0] for page in reading.pages(packet_pdf(planned(name).warps[0]))]
        assert not any("Shaft 1" in head for head in heads)


def test_the_draft_of_a_loom_without_shafts_names_them_as_the_drafts_and_puts_none_in_front() -> None:
    for name in ("pick-up-cushion", "three-heddle-scarf", "inkle-band"):
        text = " ".join(" ".join(reading.pages(packet_pdf(planned(name).warps[0]))).split())
        assert "shafts of the draft" in text
        assert "shaft 1 in front" not in text


def test_a_draft_with_more_treadles_than_the_loom_says_that_the_loom_is_tied_otherwise() -> None:
    said = "the draft's own tie-up; tie the loom as the weaving sheet says"
    cover, twill = (
        " ".join(" ".join(reading.pages(packet_pdf(planned(name).warps[0]))).split())
        for name in ("six-treadle-cover", "painted-shawls")
    )
    assert said in cover
    assert said not in twill


def test_the_cost_of_all_yarn_is_the_sum_of_what_is_printed_above_it() -> None:
    text = reading.pages(packet_pdf(planned("double-width").warps[0]))[-1]
    *each, total = [float(amount) for amount in re.findall(r"([\d,.]+) USD", text)]
    assert len(each) == 2
    assert round(sum(each), 2) == total


def test_the_test_weave_in_large_print_stays_on_one_page() -> None:
    plan = planned("large-print-tea-towels").warps[0]
    pages = reading.pages_with(packet_pdf(plan, Options(large=True)), "Test weave")
    assert len(pages) == 1

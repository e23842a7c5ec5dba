"""Sheets of warps that are dressed in another way: what stands on them, and what has no place there."""

from __future__ import annotations

import re
from functools import cache
from itertools import accumulate, cycle, islice

import pytest

from loomready.loomside.steps.winding import counting_spread
from loomready.packet.options import Options
from loomready.packet.packet import packet_pdf
from loomready.report.plan_text import tell_plan
from loomready.warp.result import WarpPlan
from tests.demo.examples import planned
from tests.packet.reading import pages


def last_warp(name: str) -> WarpPlan:
    return planned(name).warps[-1]


@cache
def printed(name: str, paper: str = "us-letter") -> list[str]:
    return [" ".join(page.split()) for page in pages(packet_pdf(last_warp(name), Options(paper=paper)))]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_the_knots_stand_on_the_page_that_says_what_stays(paper):
    (page,) = (page for page in printed("tied-on-napkins", paper) if "Knots in order" in page)
    assert "The threading stays" in page
    assert "1–12 1–12" in page
    assert "409–415 409–415" in page


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
@pytest.mark.parametrize(
    ("name", "most"),
    [
        ("sectional-curtains", 7),
        ("direct-tie-up-scarf", 6),
        ("painted-shawls", 7),
        ("tied-on-napkins", 6),
        ("pick-up-cushion", 4),
        ("inkle-band", 3),
    ],
)
def test_packets_of_other_ways_to_dress_take_few_pages(name, paper, most):
    found = printed(name, paper)
    assert len(found) <= most
    assert "The draft" in found[0]  # not left over for a page of its own


def test_a_warp_dressed_front_to_back_names_no_raddle():
    text = " ".join(printed("tied-on-napkins"))
    assert "A counting tie after each group" in text
    assert not re.search("raddle", text, re.IGNORECASE)


def test_a_band_has_no_reed_no_bouts_and_no_shafts_in_front():
    text = " ".join(printed("inkle-band"))
    for word in ("reed", "bout", "bouts", "Bouts", "Shaft 1 in front"):
        assert not re.search(rf"\b{word}\b", text)
    assert text.count("Width on the loom") == 2  # on the project sheet and in its record


def test_the_plan_in_text_of_a_band_counts_no_bouts():
    text = tell_plan(planned("inkle-band"))
    assert "Bout" not in text
    cones = "20 from Pearl cotton, ink #1, 16 from Pearl cotton, brick #1, 6 from Pearl cotton, chalk #1"
    assert f"Ends 1-42: {cones}" in text


def test_groups_that_are_alike_are_told_by_the_first_and_the_last():
    (page,) = (page for page in printed("painted-shawls") if "Each shaft lifted alone" in page)
    assert "Groups 1–29" in page


def test_holes_and_slots_are_told_once_and_ends_in_slots_are_in_no_heddle():
    text = " ".join(printed("pick-up-cushion"))
    assert text.count("with the heddle down, pick up the ends in slots 1 down, 1 up") == 1
    assert "187 ends in holes and slots" in text
    assert "ends in heddles" not in text


def test_the_cloth_of_a_painted_warp_says_that_it_is_drawn_undyed():
    assert "The washed cloth at true size, from end 1, the warp undyed." in printed("painted-shawls")[0]
    assert "undyed." not in printed("tied-on-napkins")[0]


def card_of(name: str) -> str:
    return " ".join(" ".join(pages(packet_pdf(last_warp(name), Options(card=True)))).split())


def test_the_card_of_a_band_tells_heddled_and_open_ends_and_no_bouts():
    card = card_of("inkle-band")
    assert "Heddled and open ends heddle: 21 · open: 21" in card
    assert "Bouts" not in card


def test_the_card_numbers_sections_as_the_beam_does():
    assert "Sections 2: 1–32 · 3: 33–64" in card_of("sectional-curtains")


def test_the_card_of_a_rigid_heddle_tells_holes_and_slots():
    assert "Holes and slots hole: 94 · slot (1): 46 · slot: 47" in card_of("pick-up-cushion")


def test_hours_are_asked_for_the_jobs_that_a_warp_has():
    text = " ".join(" ".join(pages(packet_pdf(last_warp("inkle-band"), Options(hours=True)))).split())
    assert "Winding" in text
    for job in ("Beaming", "Sleying", "Threading", "Tying on", "Test weave"):
        assert job not in text


def test_choke_ties_of_a_painted_warp_are_loose_and_of_others_tight():
    painted_text, other = (
        " ".join(" ".join(printed(name)).split()) for name in ("painted-shawls", "sampler")
    )
    assert "Tie them loosely, so that dye runs under them" in painted_text
    assert "Tie them tight." not in painted_text
    assert "Tie them tight." in other
    assert "loosely" not in other


def test_a_loom_of_several_heddles_is_told_to_thread_all_of_them():
    assert "Thread the heddles" in " ".join(printed("three-heddle-scarf"))
    one = " ".join(printed("pick-up-cushion"))
    assert "Thread the heddle" in one
    assert "Thread the heddles" not in one


@pytest.mark.parametrize("name", ["painted-shawls", "sampler", "doubled-ends", "crammed-and-spaced"])
def test_a_bout_that_ends_inside_a_group_of_the_raddle_says_that_the_next_one_fills_its_space(name):
    plan = last_warp(name)
    spread = counting_spread(plan.raddle)
    full = set(accumulate(islice(cycle(spread.cycle), plan.web.ends)))
    cut = any(bout.last_end not in full for bout in plan.bouts[:-1])
    text = " ".join(" ".join(printed(name)).split())
    assert ("the first ends of the next bout fill its space" in text) == cut

"""The sheet for sleying lists every stretch of dents of a crammed and spaced web, winding its groups."""

from __future__ import annotations

from dataclasses import replace

import pytest

from loomready.model.guild import Stripe
from loomready.packet.card import card
from loomready.packet.dressing import dressing
from loomready.packet.packet import packet_pdf
from loomready.packet.threading import threading
from loomready.packet.words import Letters
from loomready.warp.across import places
from tests.packet.reading import sheets
from tests.warp.test_denting import crammed, planned


def test_the_sheet_lists_stretches_of_dents_empty_ones_too() -> None:
    plan = planned(crammed(finished_width_mm=100, floating_selvedges=True))
    read = sheets(packet_pdf(plan))
    text = " ".join(read["Sley and heddles"].split())
    assert "4 dents of 3, 2 dents empty, 4 dents of 2" in text
    assert "leave empty" in text
    assert "12 ends, 3 per dent" in text
    assert "Fern green, 3 per dent" in text
    assert "no dents empty but those listed" in text
    assert "crammed" not in " ".join(read["Threading"].split())
    assert "Ends in each space, in order" in " ".join(read["Winding"].split())


def test_stretches_on_the_sheet_follow_one_another_and_hold_every_end() -> None:
    plan = planned(crammed(finished_width_mm=100, floating_selvedges=True))
    steps = dressing(plan)["sley"]["steps"]
    at = plan.sley.first_dent
    for step in steps:
        first, _, last = step["dents"].replace(",", "").partition("–")
        assert int(first) == at
        at = int(last or first) + 1
    assert at == plan.sley.first_dent + plan.sley.dents


def test_very_many_stretches_are_told_in_short() -> None:
    plan = planned(crammed(finished_width_mm=600))
    (step,) = dressing(plan)["sley"]["steps"]
    assert "×" in step["says"]


def test_the_card_says_that_stripes_have_their_own_sley() -> None:
    spaced = (Stripe("fern", 18, (1,)), Stripe(dents=2), Stripe("chalk", 12, (3,)))
    plan = planned(crammed(stripes=spaced, finished_width_mm=100))
    told = {each["label"]: each["value"] for each in card(plan)["figures"]}
    assert told["Ends per dent"] == "by stripes, at most 3"


@pytest.mark.parametrize("end_1", ["left", "right"])
def test_groups_are_marked_where_the_strip_has_their_ends(end_1) -> None:
    plan = planned(crammed(finished_width_mm=100))
    plan = replace(plan, guild=replace(plan.guild, end_1=end_1))
    lie = places(plan)
    assert lie is not None
    blocks = threading(plan, Letters.of(plan))["blocks"]
    for each in [line for block in blocks for line in (block["lines"] if block["again"] else [block])]:
        first, _, last = each["ends"].replace(",", "").partition("–")
        near, far = lie[int(first) - 1, 0], lie[int(last or first) - 1, 1]
        left = near if end_1 == "left" else 1 - far
        assert (each["left"], each["width"]) == pytest.approx((left * 100, (far - near) * 100), abs=1e-3)

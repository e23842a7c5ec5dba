"""The examples of other ways to dress a loom: planned without a stop, printed, shown on pages."""

from __future__ import annotations

import pytest
from django.test import Client

from loomready.packet.packet import packet_pdf
from loomready.report.plan_text import tell_plan
from tests.demo.examples import WARPS, planned
from tests.demo.in_the_app import fill_home
from tests.packet.reading import pages

# The example, and what its plan in text, its packet and its planning page must say.
EXAMPLES = {
    "sectional-curtains": (
        "21 sections of 2 in, with 32 ends in each, 28 in the last",
        "Winding in sections",
        "Sectional beam",
    ),
    "direct-tie-up-scarf": (
        "Direct tie-up: treadle 1 lifts shaft 1, treadle 2 shaft 2, and so on. Nothing is tied.",
        "Press all treadles of a pick together",
        "Direct tie-up",
    ),
    "painted-shawls": (
        "Band 3: weld from 64.22 in to 78.57 in (piece 1, 1 of 2: 42 in to 54 in)",
        "Painting the warp",
        "Painted warp",
    ),
    "pick-up-cushion": (
        "Pick-up stick 1, behind the heddle: with the heddle down, pick up the ends in slots",
        "each through a slot, on pick-up stick 1",
        "Pick-up stick 1, behind the heddle",
    ),
    "inkle-band": (
        "Heddled and open ends in turn, the first heddled: 21 in string heddles, 21 open.",
        "Winding the band",
        "no reed: heddled and open ends in turn",
    ),
    "seersucker-towels": (
        "For 10 in woven, let off about 11 in of the first warp and 12.69 in of the second.",
        "Guide string of the second warp",
        "Second warp length",
    ),
    "tied-on-napkins": (
        "415 knots to warp towels; the first ties end 1 to old end 1",
        "Tying in",
        "Tied on",
    ),
}
every = pytest.mark.parametrize("name", EXAMPLES)


@every
def test_the_example_is_planned_without_a_stop(name):
    plan = planned(name)
    assert not plan.stopped, [problem.message for warp in plan.warps for problem in warp.problems]
    assert EXAMPLES[name][0] in tell_plan(plan)


@every
def test_the_example_is_printed(name):
    for warp in planned(name).warps:
        if warp.order.off is None:
            text = " ".join(" ".join(pages(packet_pdf(warp))).split())
            assert EXAMPLES[name][1] in text


@every
@pytest.mark.django_db
def test_the_example_is_shown(name, client: Client):
    fill_home(name)
    (*_, last) = planned(name).warps
    page = client.get(f"/warps/{last.order.key}")
    assert page.status_code == 200
    assert EXAMPLES[name][2] in page.content.decode()
    assert client.get(f"/beside/{last.order.key}/winding").status_code == 200
    assert client.get("/warps").status_code == 200
    assert client.get("/").status_code == 200


def test_every_example_has_a_comment_that_says_it_is_invented():
    for name in EXAMPLES:
        assert "invented" in (WARPS / name / "guild.toml").read_text(encoding="utf-8").splitlines()[0]

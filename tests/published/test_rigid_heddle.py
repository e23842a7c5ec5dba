"""Sums of a rigid heddle: common practice, no source (the figures are worked out by hand here)."""

from dataclasses import replace

import pytest

from loomready.warp.plan import plan_guild
from loomready.warp.rigid import through
from tests.cast import PLAIN, drafts, guild, order
from tests.warp.test_rigid import RIGID

TEN = replace(RIGID, weaving_width_mm=20 * 25.4, gauge_per_cm=10 / 2.54)


def scarf(loom, epi):
    """8 in wide in the reed, nothing lost on the way to the finished cloth."""
    wants = order(
        loom="poplar", finished_width_mm=8 * 25.4, draw_in=0.0, shrink_width=0.0, sett_per_cm=epi / 2.54
    )
    return plan_guild(guild(wants, looms=(loom,), reeds=()), drafts(PLAIN)).warps[0]


def test_eight_inches_on_a_ten_dent_heddle_are_eighty_ends_forty_in_holes():
    # Common practice, no source: a 10-dent heddle has 10 holes and slots to the inch, so 10 ends to the inch;
    # 8 in are 80 ends, half of them in holes. Of its 200 places over 20 in, 60 stay free at each side.
    made = scarf(TEN, 10)
    assert (made.web.ends, made.heddles.needed) == (80, (40, 40))
    assert made.width_in_reed_mm / 25.4 == pytest.approx(8.0)
    assert (made.sley.reed_dents, made.sley.first_dent) == (200, 61)
    assert through(made).holes == 40


def test_two_ten_dent_heddles_give_twenty_ends_to_the_inch():
    # Common practice, no source: with two heddles of one gauge the sett is up to twice the gauge.
    # 8 in are 160 ends: 80 through slots, 40 through the holes of each heddle.
    made = scarf(replace(TEN, shafts=2, heddles=(100, 100)), 20)
    assert made.web.ends == 160
    assert made.width_in_reed_mm / 25.4 == pytest.approx(8.0)
    way = through(made)
    assert (way.shafts, way.holes, way.lacking) == (((1, 2),), 40, 0)


def test_twelve_ends_to_the_inch_on_a_ten_dent_heddle_are_ten():
    # Common practice, no source: one heddle weaves at its gauge.
    made = scarf(TEN, 12)
    assert made.sett_per_cm * 2.54 == pytest.approx(10.0)
    assert made.web.ends == 80

"""Worked warp sums and reed tables against the plan's arithmetic, source and status beside each value."""

import pytest

from loomready.model.guild import Item, Loom, Reed
from loomready.warp.length import lengths
from loomready.warp.sley import choose_sley
from loomready.warp.width import wanted_width_mm
from loomready.yarn.counts import parse_count
from tests.cast import order

INCH_M, YARD_M = 0.0254, 0.9144


def test_shrinkage_divides():
    # A weavers' guild's handout on shrinkage, worked example (computed here too):
    # 20 % shrinkage, 10 in wanted: weave 12.5 in; 12 in would finish at 9.6 in.
    wanted = order(finished_width_mm=254.0, shrink_width=0.20, draw_in=0.0)
    assert wanted_width_mm(wanted) / 25.4 == pytest.approx(12.5)
    assert wanted_width_mm(wanted) != pytest.approx(12 * 25.4)


def test_four_napkins_take_five_yards():
    # A weaving magazine's worked example (computed here too): 4 x 34 in + 13 in take-up + 31 in waste
    # = 180 in = 5 yd. The example rounds 13.6 in of take-up down to 13, so the sum comes to 180.6 in.
    made = lengths(
        order(items=(Item(34 * INCH_M, count=4),), take_up=0.10, shrink_length=0.0), waste_m=31 * INCH_M
    )
    assert made.needed_m / INCH_M == pytest.approx(180.6)
    assert made.needed_m / YARD_M == pytest.approx(5, abs=0.02)
    assert (made.cloth_m - made.woven_m) / INCH_M == pytest.approx(13.6)


def test_take_up_is_added_and_not_divided():
    # Common practice, no source: 136 in woven, 31 in waste: 180.6 in added, 182.1 in divided.
    made = lengths(
        order(items=(Item(136 * INCH_M),), take_up=0.10, shrink_length=0.0), waste_m=31 * INCH_M
    ).needed_m
    assert made / INCH_M == pytest.approx(180.6, abs=0.05)
    assert made / INCH_M != pytest.approx(182.1, abs=0.5)


def test_yards_and_pounds_of_a_warp():
    # A weaving magazine's worked example (computed here too): 22 in x 24 epi = 528 ends x 4 yd = 2112 yd
    # = 0.629 lb of 8/2 cotton (3360 yd/lb).
    ends = 22 * 24
    yards = ends * 4
    pounds = yards * YARD_M * parse_count("8/2 Ne").tex / 1000 / 453.59237
    assert (ends, yards) == (528, 2112)
    assert pounds == pytest.approx(0.629, abs=0.0005)


# Reed tables as printed by reed makers and in handbooks (seen; computed here too). The tables round.
LOOM = Loom("floor", "Floor", "jack", 4, 2000.0, (400,) * 4, 0.5)
SLEYED = [
    ("12 dents, 1-2", 12, (1, 2), 18.0),
    ("12 dents, 1-1-2", 12, (1, 1, 2), 16.0),
    ("12 dents, 1-2-2", 12, (1, 2, 2), 20.0),
    ("12 dents, 2-3-3", 12, (2, 3, 3), 32.0),
    ("10 dents, 1-1-1-2", 10, (1, 1, 1, 2), 12.5),
    ("8 dents, 1-1-1-2", 8, (1, 1, 1, 2), 10.0),
]


@pytest.mark.parametrize(("name", "dents", "cycle", "epi"), SLEYED, ids=[row[0] for row in SLEYED])
def test_the_sley_of_the_reed_tables_is_chosen(name, dents, cycle, epi):
    made = choose_sley(lambda _: 200, 0, epi / 2.54, (Reed("r", dents / 2.54, 2000.0),), LOOM)
    assert made is not None
    assert made.cycle == cycle
    assert made.sett_per_cm * 2.54 == pytest.approx(epi)


def test_an_empty_dent_in_three_gives_eight_in_a_twelve_dent_reed():
    # Reed tables (seen; computed here too): 12 dents, 0-1-1 = 8 ends per inch.
    made = choose_sley(lambda _: 200, 0, 8 / 2.54, (Reed("r", 12 / 2.54, 2000.0),), LOOM)
    assert made is not None
    assert made.cycle == (0, 1, 1)
    assert made.sett_per_cm * 2.54 == pytest.approx(8.0)

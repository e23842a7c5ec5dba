"""A slip made again as its mirror image: the web is symmetrical, the test weave knows what is left."""

from __future__ import annotations

import numpy as np
import pytest

from loomready.slips.actions import Rates
from loomready.slips.mirrored import mirrored, still_to_make, to_make
from loomready.slips.result import Slip
from loomready.slips.stretch import with_slips

POINT = np.array([0, 1, 2, 3, 2, 1] * 5 + [0])
SLIPS = [
    Slip("wrong shaft", 8, None, 2, 4, 9.0),
    Slip("crossed", 9, None, 3, 4, 9.0),
    Slip("skipped", 8, None, 2, None, 9.0),
    Slip("extra", 8, None, None, 4, 9.0),
]


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.kind)
def test_with_its_mirror_image_the_web_is_symmetrical_again(slip: Slip) -> None:
    made = mirrored([slip], POINT)
    assert made is not None
    there = with_slips(POINT, [slip, *made])
    assert there.tolist() == there[::-1].tolist()
    assert there.tolist() != POINT.tolist()


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.kind)
def test_until_it_is_made_the_changed_plan_knows_what_is_on_the_loom(slip: Slip) -> None:
    made = mirrored([slip], POINT)
    assert made is not None
    changed = with_slips(POINT, [slip, *made])
    left = still_to_make(made, [slip], POINT)
    assert with_slips(changed, left).tolist() == with_slips(POINT, [slip]).tolist()


def test_a_threading_that_is_not_symmetrical_there_has_no_mirror_image() -> None:
    assert mirrored([Slip("wrong shaft", 8, None, 4, 2, 9.0)], np.arange(32) % 4) is None


def test_a_slip_whose_mirror_image_is_there_already_needs_none() -> None:
    slip = SLIPS[0]
    made = mirrored([slip], POINT)
    assert made is not None
    assert mirrored([slip, *made], POINT) is None


def test_what_to_do_is_told_with_its_minutes() -> None:
    rates = Rates()
    steps, minutes = to_make([SLIPS[0], SLIPS[2]], rates)
    assert steps == ("tie in a repair heddle on shaft 4 and thread end 8 through it", "take end 8 out")
    assert minutes == rates.repair_heddle + rates.rethread + rates.take_out


def test_ends_to_cross_are_named_with_their_neighbor_and_an_extra_one_with_its_shaft() -> None:
    rates = Rates()
    (cross, hang), minutes = to_make([SLIPS[1], SLIPS[3]], rates)
    assert "9" in cross
    assert "10" in cross
    assert "shaft 4" in hang
    assert minutes == (rates.take_out + 2 * rates.rethread) + (
        rates.new_end + rates.repair_heddle + rates.rethread
    )

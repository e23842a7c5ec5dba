"""Turns that the edges of a web miss, and the floating selvedges that catch them."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from loomready.draft.draft import lift_plan
from loomready.draft.edit.edges import edges_between
from loomready.warp import edge_turns
from tests.cast import PLAIN, order
from tests.warp.test_findings import planned

BASKET = lift_plan([1, 2, 3, 4], [[1, 2], [1, 2], [3, 4], [3, 4]])


def test_plain_weave_catches_the_weft_at_every_turn():
    assert edge_turns.hint(planned(draft=PLAIN)) is None


def test_twill_is_told_how_many_turns_its_edges_miss_until_there_are_floating_selvedges():
    made = planned(draft=BASKET)
    found = edges_between(BASKET.lifts, made.web.shaft[[0, -1]], made.web.ends)
    assert found.missed
    assert f"at {found.missed} of 4 turns" in str(edge_turns.hint(made))
    assert edge_turns.hint(planned(order(floating_selvedges=True), draft=BASKET)) is None


@pytest.mark.parametrize("picks", [3, 4])
def test_turns_that_are_missed_are_those_of_a_shuttle_followed_pick_by_pick(picks):
    for ups in product([False, True], repeat=2 * picks):
        lifts = np.array(ups).reshape(picks, 2)
        found = edges_between(lifts, np.array([0, 1], dtype=np.int16), 20)
        assert found.missed == min(followed(lifts, side) for side in (0, 1))


def followed(lifts, first_turn_at):
    """Places of the shuttle's turns, pick by pick, at which the edge end there keeps its face."""
    picks, side, missed = len(lifts), first_turn_at, set()
    for pick in range(picks if picks % 2 == 0 else 2 * picks):
        if lifts[pick % picks, side] == lifts[(pick + 1) % picks, side]:
            missed.add((side, pick % picks))
        side = 1 - side
    return len(missed)

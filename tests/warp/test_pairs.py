"""Bouts are not cut inside a pair of ends."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import lift_plan
from loomready.warp.bouts import cuts
from loomready.warp.pairs import inside_pairs
from loomready.warp.plan import plan_guild
from tests.cast import drafts, guild, order


def inside(shaft: list[int], yarn: list[int] | None = None, layers: int = 1, floating: int = 0) -> set[int]:
    return set(inside_pairs(np.array(shaft), np.array(yarn or [0] * len(shaft)), layers, floating))


def test_doubled_ends_are_a_pair() -> None:
    assert inside([0, 0, 1, 1, 0, 0]) == {1, 3, 5}
    assert inside([0, 1, 0, 1]) == set()
    assert inside([0, 0, 0, 1]) == set()  # three ends are no pairs


def test_two_yarns_end_by_end_are_wound_as_pairs() -> None:
    assert inside([0, 1, 2, 3, 0, 1], [0, 1, 0, 1, 0, 1]) == {1, 3, 5}
    assert inside([0, 1, 2, 3], [0, 0, 1, 1]) == set()
    assert inside([0, 1, 2, 3, 0, 1, 2, 3], [0, 0, 0, 1, 0, 1, 2, 2]) == {3, 5}


def test_ends_of_layers_stay_together() -> None:
    assert inside([-1, 0, 1, 2, 3, 0, 1, -1], layers=2, floating=1) == {2, 4, 6}
    assert inside([0, 1, 2, 3, 4, 5], layers=3) == {1, 2, 4, 5}


@settings(max_examples=100, deadline=None)
@given(st.integers(2, 200), st.integers(6, 60), st.sets(st.integers(1, 399), max_size=30))
def test_no_bout_of_doubled_ends_is_cut_inside_a_pair(pairs: int, most: int, good: set[int]) -> None:
    ends = 2 * pairs
    never = frozenset(range(1, ends, 2))
    made = cuts(ends, most, {each for each in good if each < ends} - never, never)
    sizes = np.diff(made)
    assert sizes.sum() == ends
    assert (sizes <= most).all()
    assert len(sizes) == -(-ends // most)
    if most % 2 == 0:
        assert not never & set(made)


@pytest.mark.parametrize("most", [30, 50, 70])
def test_a_plan_of_a_basket_weave_keeps_its_pairs(most: int) -> None:
    basket = lift_plan([1, 1, 2, 2], [[1], [1], [2], [2]])
    made = plan_guild(guild(order(max_bout_ends=most)), drafts(basket)).warps[0]
    shaft = made.web.shaft
    for bout in made.bouts[1:]:
        before, first = bout.first_end - 2, bout.first_end - 1
        run = np.flatnonzero(shaft[: first + 1][::-1] != shaft[first])
        assert shaft[before] != shaft[first] or int(run[0] if run.size else first + 1) % 2 == 1

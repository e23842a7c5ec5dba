"""The chains to wind."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from loomready.warp.bouts import SHIFT, cuts, plan_bouts, runs


@given(st.integers(1, 900), st.integers(1, 150), st.sets(st.integers(1, 900), max_size=60))
def test_bouts_are_the_fewest_none_too_large_and_cuts_move_at_most_five_ends(ends, most, good):
    places = cuts(ends, most, good)
    sizes = np.diff(places)
    number = -(-ends // most)
    assert len(sizes) == number
    assert sizes.min() >= 1
    assert sizes.max() <= most
    assert (places[0], places[-1]) == (0, ends)
    for j, place in enumerate(places[1:-1], start=1):
        away = abs(place - round(ends * j / number))
        assert away <= SHIFT
        assert away == 0 or place in good


def test_a_cut_falls_on_a_color_change_nearby():
    assert cuts(100, 60, {47}) == [0, 47, 100]


def test_a_cut_stays_where_moving_would_make_a_bout_too_large():
    assert cuts(100, 50, {47}) == [0, 50, 100]


def test_bouts_tell_their_colors_in_order_and_the_ends_of_each_cone():
    yarn = np.array([0, 0, 1, 1, 0, 0])
    cone = np.array([2, 2, 0, -1, 2, 1])
    (bout,) = plan_bouts(yarn, cone, ("red", "blue"), ("b1", "r2", "r1"), 10, ())
    assert bout.colors == (("red", 2), ("blue", 2), ("red", 2))
    assert bout.cones == (("r1", 3), ("b1", 1), ("r2", 1))
    assert (bout.first_end, bout.last_end) == (1, 6)


@given(st.lists(st.integers(0, 3), max_size=40))
def test_runs_put_together_are_the_whole(values):
    assert [value for value, count in runs(np.array(values, dtype=np.int64)) for _ in range(count)] == values

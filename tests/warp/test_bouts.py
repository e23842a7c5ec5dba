"""The chains to wind."""

from itertools import pairwise, product

import numpy as np
from hypothesis import assume, example, given, settings
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


@given(st.lists(st.integers(1, 8), min_size=1, max_size=200), st.integers(1, 60))
def test_where_ends_work_as_one_no_bout_has_more_ends_of_yarn_than_one_may(as_one, most):
    every = np.concatenate([[0], np.cumsum(as_one)])
    places = cuts(len(as_one), most, set(), every=every)
    assert (places[0], places[-1]) == (0, len(as_one))
    for first, last in pairwise(places):
        assert every[last] - every[first] <= most or last - first == 1
    room, least = 0, 0  # the fewest: each is filled before the next
    for ends in as_one:
        if ends > room:
            room, least = most, least + 1
        room -= ends
    assert len(places) - 1 == least


def test_doubled_selvedges_do_not_make_every_bout_smaller():
    as_one = np.ones(480, dtype=int)
    as_one[:8] = as_one[-8:] = 2
    every = np.concatenate([[0], np.cumsum(as_one)])
    places = cuts(480, 124, set(), every=every)
    assert len(places) - 1 == 4
    assert np.diff(every[places]).max() <= 124


def best_by_trying_all(ends, most, good, never, edges):
    """The least (pairs parted, cuts at no good place, bouts, ends shifted), by trying all cuts."""
    fewest = -(-ends // most)
    found = []
    for number in range(fewest, min(fewest + (max(1, fewest // 4) if edges else 0), ends) + 1):
        equal = [round(ends * j / number) for j in range(1, number)]
        places = []
        for at in equal:
            near = range(at - SHIFT, at + SHIFT + 1)
            better = {place for place in near if place in good or (never and place not in never)}
            far = {edge for edge in edges if at - most / 2 < edge <= at + most / 2}
            places.append({at} | better | far)
        for cut in product(*places):
            if all(0 < two - one <= most for one, two in pairwise([0, *cut, ends])):
                parted = sum(place in never for place in cut)
                missed = sum(place not in good for place in cut)
                shifted = sum(abs(place - at) for place, at in zip(cut, equal, strict=True))
                found.append((parted, missed, number, shifted))
    return min(found)


@given(
    st.integers(3, 70),
    st.integers(8, 40),
    st.sets(st.integers(1, 70), max_size=12),
    st.sets(st.integers(1, 70), max_size=20),
    st.booleans(),
)
@example(37, 18, {4, 18}, set(), True)  # three bouts with more ends shifted, not four with fewer
@settings(max_examples=60, deadline=None)
def test_cuts_part_the_fewest_pairs_then_fall_on_the_most_good_places_then_are_few_then_move_least(
    ends, most, good, never, striped
):
    assume(ends <= 4 * most)
    good -= never
    edges = frozenset(good) if striped else frozenset()
    places = cuts(ends, most, good, frozenset(never), edges)
    number = len(places) - 1
    inner = places[1:-1]
    made = (
        sum(place in never for place in inner),
        sum(place not in good for place in inner),
        number,
        sum(abs(place - round(ends * j / number)) for j, place in enumerate(inner, start=1)),
    )
    assert all(0 < two - one <= most for one, two in pairwise(places))
    assert made == best_by_trying_all(ends, most, good, never, edges)


def test_a_cut_falls_on_a_color_change_nearby():
    assert cuts(100, 60, {47}) == [0, 47, 100]


def test_a_cut_moves_by_five_ends_and_not_by_six():
    for good, cut in ((44, 50), (45, 45), (55, 55), (56, 50)):
        assert cuts(100, 60, {good}) == [0, cut, 100]
    # The ends of the web are no cuts: nothing moves there, good or not.
    assert cuts(100, 60, {1, 99}) == [0, 50, 100]


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

"""Heddles, against every assignment there is."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.warp.heddles import least_cost, plan_heddles


@st.composite
def counts(draw, loom):
    """Heddles needed on each shaft of a draft: no more are used than the loom has, but more may be there."""
    used = draw(st.lists(st.integers(1, 9), min_size=1, max_size=loom))
    unused = draw(st.integers(0, max(2, loom - len(used))))
    return draw(st.permutations(used + [0] * unused))


cases = st.integers(1, 6).flatmap(
    lambda loom: st.tuples(
        counts(loom),
        st.lists(st.integers(0, 9), min_size=loom, max_size=loom),
    )
)


def planned(needed, have):
    web = np.repeat(np.arange(len(needed)), needed)
    return plan_heddles(web, len(needed), tuple(have))


def lacks(needed, have, chosen):
    return sum(max(0, need - have[shaft]) for need, shaft in zip(needed, chosen, strict=True))


@given(cases)
def test_in_order_the_fewest_heddles_move_and_ties_take_the_lowest_shafts(case):
    needed, have = case
    used = [need for need in needed if need]
    best = min(
        itertools.combinations(range(len(have)), len(used)),
        key=lambda chosen: (lacks(used, have, chosen), chosen),
    )
    made = planned(needed, have)
    assert [shaft - 1 for shaft in made.assignment if shaft is not None] == list(best)
    assert made.moved == lacks(used, have, best)
    assert [need == 0 for need in needed] == [shaft is None for shaft in made.assignment]


@given(cases)
def test_a_free_assignment_moves_the_fewest_of_all(case):
    needed, have = case
    used = [need for need in needed if need]
    best = min(lacks(used, have, chosen) for chosen in itertools.permutations(range(len(have)), len(used)))
    made = planned(needed, have)
    assert made.least_moved == best
    chosen = [shaft - 1 for shaft in made.least_assignment if shaft is not None]
    assert len(set(chosen)) == len(used)
    assert lacks(used, have, chosen) == best


@given(cases)
def test_the_most_needed_met_by_the_most_there_lacks_the_fewest(case):
    needed, have = case
    used = [need for need in needed if need]
    best = min(lacks(used, have, chosen) for chosen in itertools.permutations(range(len(have)), len(used)))
    assert least_cost(np.array(used), np.array(have)) == best


@given(cases)
def test_a_free_assignment_keeps_as_many_shafts_at_home_as_the_fewest_moves_allow(case):
    needed, have = case
    made = planned(needed, have)
    shafts = [shaft for shaft, need in enumerate(needed) if need]
    used = [needed[shaft] for shaft in shafts]

    def at_home(chosen):
        return sum(shaft == own for shaft, own in zip(chosen, shafts, strict=True))

    fewest = [
        chosen
        for chosen in itertools.permutations(range(len(have)), len(used))
        if lacks(used, have, chosen) == made.least_moved
    ]
    assert at_home([shaft - 1 for shaft in made.least_assignment if shaft]) == max(map(at_home, fewest))


@given(cases)
def test_moves_leave_every_shaft_with_enough_unless_heddles_are_short(case):
    needed, have = case
    made = planned(needed, have)
    left = list(have)
    for move in made.moves:
        left[move.from_shaft - 1] -= move.count
        left[move.to_shaft - 1] += move.count
    assert min(left) >= 0
    assert made.short == max(0, sum(needed) - sum(have))
    lack = sum(
        max(0, need - left[shaft - 1])
        for need, shaft in zip(needed, made.assignment, strict=True)
        if shaft is not None
    )
    assert lack == made.short
    if not made.short:
        assert sum(move.count for move in made.moves) == made.moved


def test_a_draft_with_more_shafts_than_the_loom_gets_no_assignment():
    made = planned([3, 3, 3], [9, 9])
    assert made.assignment == (None, None, None)


def test_ends_in_no_heddle_need_none():
    made = plan_heddles(np.array([-1, 0, 1, -1]), 2, (5, 5))
    assert made.needed == (1, 1)


@pytest.mark.parametrize("used", [(0, 3), (1, 2)])
def test_a_free_assignment_keeps_shafts_at_home_when_nothing_is_saved(used):
    needed = [4 if shaft in used else 0 for shaft in range(4)]
    assert planned(needed, [9, 9, 9, 9]).least_assignment == tuple(
        shaft + 1 if shaft in used else None for shaft in range(4)
    )


def test_heddles_come_from_the_nearest_shaft_that_has_some_to_spare():
    assert [
        (move.from_shaft, move.to_shaft, move.count) for move in planned([5] * 4, [9, 9, 1, 9]).moves
    ] == [(2, 3, 4)]
    assert [
        (move.from_shaft, move.to_shaft, move.count) for move in planned([5] * 4, [9, 6, 1, 8]).moves
    ] == [
        (2, 3, 1),
        (4, 3, 3),
    ]

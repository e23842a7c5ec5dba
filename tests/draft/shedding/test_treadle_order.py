"""The order of treadles: the footwork by brute force, the cloth untouched."""

import itertools

import hypothesis.extra.numpy as hnp
import hypothesis.strategies as st
import numpy as np
from hypothesis import given, settings

from loomready.draft.draft import Bools
from loomready.draft.shedding.treadle_order import Footwork, footwork, order

PRESSED = st.tuples(st.integers(1, 9), st.integers(1, 6)).flatmap(lambda shape: hnp.arrays(np.bool_, shape))


def by_hand(treadling: Bools) -> Footwork:
    """Picks out of reach and steps without a foot that works twice running, pick by pick."""
    half = (treadling.shape[1] + 1) // 2
    picks = [np.flatnonzero(row).tolist() for row in treadling]
    feet = [({t for t in pick if t < half}, {t for t in pick if t >= half}) for pick in picks]
    out = sum(
        any(len(foot) > 2 or (len(foot) == 2 and max(foot) - min(foot) > 1) for foot in pair) for pair in feet
    )
    turns = sum(
        not any(here and there for here, there in zip(one, other, strict=True))
        for one, other in zip(feet, feet[1:] + feet[:1], strict=True)
    )
    return Footwork(out, turns, len(picks))


def worth(work: Footwork) -> tuple[int, int]:
    return work.out_of_reach, -work.turns


@given(treadling=PRESSED)
def test_footwork_counts_reach_and_turns(treadling: Bools) -> None:
    assert footwork(treadling) == by_hand(treadling)


@settings(max_examples=60, deadline=None)
@given(treadling=PRESSED)
def test_no_order_of_a_few_treadles_is_better(treadling: Bools) -> None:
    best = min(
        worth(by_hand(treadling[:, list(every)]))
        for every in itertools.permutations(range(treadling.shape[1]))
    )
    chosen = order(treadling)
    assert sorted(chosen) == list(range(treadling.shape[1]))
    assert worth(footwork(treadling[:, chosen])) == best


@settings(max_examples=30, deadline=None)
@given(picks=st.lists(st.integers(0, 6), min_size=2, max_size=12))
def test_no_halves_are_better_with_one_treadle_a_pick(picks: list[int]) -> None:
    treadling = np.eye(7, dtype=bool)[picks]
    best = min(
        worth(by_hand(treadling[:, [*left, *(t for t in range(7) if t not in left)]]))
        for left in itertools.combinations(range(7), 4)
    )
    assert worth(footwork(treadling[:, order(treadling)])) == best


def test_a_straight_treadling_is_walked_left_and_right() -> None:
    treadling = np.eye(4, dtype=bool)
    assert footwork(treadling).turns == 2
    assert footwork(treadling[:, order(treadling)]).turns == 4


def test_many_treadles_end_with_an_order_that_is_no_worse() -> None:
    random = np.random.default_rng(2)
    for treadles, most in ((12, 2), (20, 3), (40, 1)):
        treadling = np.zeros((60, treadles), dtype=bool)
        for row in treadling:
            row[random.choice(treadles, random.integers(1, most + 1), replace=False)] = True
        chosen = order(treadling)
        assert sorted(chosen) == list(range(treadles))
        assert worth(footwork(treadling[:, chosen])) < worth(footwork(treadling))

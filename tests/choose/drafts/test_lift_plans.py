"""The lift plans that a search tries: each kind is what it is called."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from loomready.choose.drafts.batch import sound
from loomready.choose.drafts.lift_plans import KINDS, _walks, plans
from loomready.draft.draft import Bools

SIZES = [(3, 4), (4, 4), (4, 6), (4, 8), (5, 10), (6, 12), (8, 8), (8, 15), (8, 16), (12, 24)]
WALKED, SHADED, WAVES, MIRRORED = range(4)


def of_kind(kind: int, shafts: int, picks: int, most_float: int = 7, many: int = 400) -> Bools:
    made = plans(shafts, picks, many, most_float, np.random.default_rng(shafts * picks))
    assert made.lifts.shape[1:] == (picks, shafts)
    assert len(made.kind) == len(made.lifts)
    return made.lifts[made.kind == kind]


def runs(row: Bools) -> list[int]:
    """Lengths of the runs of a row that goes round, in any order."""
    turns = np.flatnonzero(row != np.roll(row, 1))
    return np.diff(np.append(turns, turns[0] + len(row))).tolist() if len(turns) else [len(row)]


@pytest.mark.parametrize(("shafts", "picks"), SIZES)
def test_a_walked_tie_up_lifts_one_pattern_moved_along_the_shafts(shafts: int, picks: int) -> None:
    for lifts in of_kind(WALKED, shafts, picks):
        moved = {np.roll(lifts[0], turn).tobytes() for turn in range(shafts)}
        assert {row.tobytes() for row in lifts} <= moved


@pytest.mark.parametrize("most_float", [1, 2, 3])
def test_a_walked_tie_up_has_no_longer_runs_than_floats_may_be(most_float: int) -> None:
    """One run may join the first: the pattern goes round the shafts."""
    for lifts in of_kind(WALKED, 12, 12, most_float):
        lengths = sorted(runs(lifts[0]))
        assert all(length <= most_float for length in lengths[:-1])
        assert lengths[-1] <= 2 * most_float


@pytest.mark.parametrize(("shafts", "picks"), [*SIZES, (8, 12), (5, 15), (4, 3), (3, 9), (10, 20)])
def test_a_walk_closes_with_the_same_steps_as_it_goes(shafts: int, picks: int) -> None:
    """Going on from the last pick to the first is a step, or the start of a run, like any other in it."""
    walks = _walks(shafts, picks)
    assert len({walk.tobytes() for walk in walks}) > 0 or picks % 2
    for walk in walks:
        assert ((walk >= 0) & (walk < shafts)).all()
        steps = (walk - np.roll(walk, 1)) % shafts
        inside, closing = set(steps[1:].tolist()), int(steps[0])
        back = {(shafts - step) % shafts for step in inside}
        halved = {int(step) for step in (0, 1, shafts - 1)}
        assert closing in inside | back | halved


def test_the_walks_of_eight_picks_on_four_shafts_are_straight_pointed_in_jumps_and_advancing() -> None:
    walks = {tuple((walk + 1).tolist()) for walk in _walks(4, 8)}
    assert {
        (1, 2, 3, 4, 1, 2, 3, 4),
        (1, 3, 1, 3, 1, 3, 1, 3),
        (1, 4, 3, 2, 1, 4, 3, 2),
        (1, 2, 3, 4, 1, 4, 3, 2),
        (1, 2, 3, 2, 1, 1, 2, 1),
        (1, 2, 3, 4, 3, 4, 1, 2),
    } <= walks
    assert (1, 2, 3, 2, 3, 4, 3, 4, 1, 4, 1, 2) in {tuple((walk + 1).tolist()) for walk in _walks(4, 12)}
    assert (1, 2, 3, 4, 5, 6, 5, 4, 3, 2) in {tuple((walk + 1).tolist()) for walk in _walks(8, 10)}
    assert (1, 3, 5, 7, 5, 3) in {tuple((walk + 1).tolist()) for walk in _walks(8, 6)}
    assert (1, 4, 7, 4) in {tuple((walk + 1).tolist()) for walk in _walks(8, 4)}


@pytest.mark.parametrize(("shafts", "picks"), [(8, 15), (8, 16), (12, 24), (6, 12)])
def test_shaded_weaves_go_from_weft_effect_to_warp_effect(shafts: int, picks: int) -> None:
    made = of_kind(SHADED, shafts, picks)
    assert len(made) > 50
    shares = made.mean(axis=(1, 2))
    assert 0.05 < shares.min() < 0.4
    assert 0.6 < shares.max() < 0.95


@pytest.mark.parametrize(("shafts", "picks"), SIZES)
def test_a_mirrored_order_is_the_same_backward(shafts: int, picks: int) -> None:
    for lifts in of_kind(MIRRORED, shafts, picks):
        assert (lifts[1:] == lifts[1:][::-1]).all()


def test_on_few_shafts_any_lift_may_come_but_none_and_all() -> None:
    made = of_kind(MIRRORED, 3, 8)
    words = {tuple(row) for lifts in made for row in lifts.tolist()}
    assert words == {each for each in product((False, True), repeat=3) if 0 < sum(each) < 3}


@pytest.mark.parametrize(("shafts", "picks"), [(8, 15), (8, 16), (12, 24), (6, 12)])
def test_most_crossing_waves_are_the_same_backward(shafts: int, picks: int) -> None:
    made = of_kind(WAVES, shafts, picks)
    mirrored = [(lifts[1:] == lifts[1:][::-1]).all() for lifts in made]
    assert 0.5 < np.mean(mirrored) < 0.95
    assert 0.3 < made.mean() < 0.7


@pytest.mark.parametrize(("shafts", "picks"), [(4, 8), (6, 12), (8, 16), (12, 24), (16, 10)])
def test_every_kind_gives_plans_that_can_be_woven(shafts: int, picks: int) -> None:
    made = plans(shafts, picks, 800, 7, np.random.default_rng(1))
    fit = sound(made.lifts)
    counts = np.bincount(made.kind[fit], minlength=len(KINDS))
    assert (counts[[WALKED, SHADED, MIRRORED]] >= 5).all()
    assert fit.mean() > 0.1
    again = plans(shafts, picks, 800, 7, np.random.default_rng(1))
    assert (again.lifts == made.lifts).all()

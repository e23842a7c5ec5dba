"""From lifts to treadles: the least number against brute force, the same cloth on every shed."""

import itertools
import random
from collections.abc import Callable

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.draft.shedding import fewest_treadles
from loomready.draft.shedding.treadle_search import Watch, fewest, pressed
from loomready.draft.wif import reader, writer
from loomready.problems import BadInput
from tests.strategies import drafts


def assert_every_shaft_is_told_one_way(draft: Draft, made: fewest_treadles.Tieup) -> None:
    """On a countermarche, of the shafts that hold ends, in every pick that presses a treadle."""
    assert made.sinks is not None
    working = fewest_treadles.working_shafts(draft)
    picks = np.flatnonzero(made.treadling.any(axis=1))
    for pick in picks.tolist():
        pressed_now = made.treadling[pick]
        up = made.tieup[:, pressed_now].any(axis=1)
        down = made.sinks[:, pressed_now].any(axis=1)
        assert np.array_equal(up[working], ~down[working])
        assert np.array_equal(up[working], draft.lifts[pick][working])


SHEDS = st.sampled_from(fewest_treadles.SHEDS)


def least_by_trying(lifts: list[int], feet: int) -> int:
    """All sets of treadles, smallest first: any union of shafts may be tied."""
    shafts = max(lifts, default=0).bit_length()
    for treadles in range(len(lifts) + 1):
        for tied in itertools.combinations(range(1, 1 << shafts), treadles):
            if all(pressed(lift, tied, feet) for lift in lifts):
                return treadles
    raise AssertionError("one treadle for each lift always does it")


@pytest.mark.parametrize("feet", [1, 2, 3])
def test_the_least_is_the_least_on_every_set_of_lifts_of_three_shafts(feet: int) -> None:
    for size in range(8):
        for lifts in itertools.combinations(range(1, 8), size):
            found = fewest(lifts, feet)
            assert all(pressed(lift, found.treadles, feet) for lift in lifts)
            assert len(found.treadles) == found.at_least == least_by_trying(list(lifts), feet)


@settings(max_examples=60, deadline=None)
@given(lifts=st.sets(st.integers(1, 15), min_size=3, max_size=7), feet=st.integers(2, 3))
def test_the_least_is_the_least_on_four_shafts(lifts: set[int], feet: int) -> None:
    found = fewest(lifts, feet)
    assert all(pressed(lift, found.treadles, feet) for lift in lifts)
    assert len(found.treadles) == found.at_least == least_by_trying(sorted(lifts), feet)


@settings(max_examples=80, deadline=None)
@given(draft=drafts(max_picks=10, max_shafts=6), feet=st.integers(1, 3), shed=SHEDS)
def test_the_cloth_is_the_same_on_every_shed(draft, feet: int, shed: fewest_treadles.Shed) -> None:
    if draft.tieup is not None and not draft.tieup.any():
        with pytest.raises(BadInput, match="ties nothing"):
            fewest_treadles.fewest_treadles(draft, feet=feet, shed=shed)
        return
    made = fewest_treadles.fewest_treadles(draft, feet=feet, shed=shed)
    woven = fewest_treadles.on_treadles(draft, made)
    assert np.array_equal(drawdown(woven), drawdown(draft))
    assert np.array_equal(drawdown(reader.parse(writer.dumps(woven)).draft), drawdown(draft))
    assert made.most_pressed <= feet
    if shed == "countermarche":
        assert_every_shaft_is_told_one_way(draft, made)
    assert made.at_least <= made.treadles <= made.own
    up = drawdown(draft).any(axis=1)
    assert np.array_equal(made.treadling.any(axis=1), up)
    working = fewest_treadles.working_shafts(draft)
    assert not made.tieup[~working].any()


def test_a_skeleton_tie_up_weaves_a_point_twill_of_many_lifts_with_few_treadles() -> None:
    single = lift_plan([1, 2, 3, 4], [[1], [2], [3], [4], [1, 2], [2, 3], [3, 4], [1, 4], [1, 3], [2, 4]])
    assert fewest_treadles.fewest_treadles(single).treadles == 4
    assert fewest_treadles.fewest_treadles(single, feet=1).treadles == 10
    assert fewest_treadles.fewest_treadles(single, shed="countermarche", feet=1).treadles == 10


def test_a_sinking_shed_joins_what_sinks() -> None:
    sunk = [[1], [2], [3], [4], [1, 2], [1, 3], [1, 4], [2, 3], [2, 4], [3, 4]]
    three_up = lift_plan([1, 2, 3, 4], [sorted({1, 2, 3, 4} - set(down)) for down in sunk])
    made = fewest_treadles.fewest_treadles(three_up, shed="sinking")
    assert made.treadles == 4
    assert fewest_treadles.fewest_treadles(three_up, shed="rising").treadles > 4
    assert sorted(made.tieup.sum(axis=0)) == [1, 1, 1, 1]


def test_all_up_on_a_sinking_shed_takes_a_treadle_tied_to_nothing() -> None:
    draft = lift_plan([1, 2], [[1, 2], [1], []])
    made = fewest_treadles.fewest_treadles(draft, shed="sinking")
    assert made.treadles == 2
    assert not made.treadling[2].any()
    assert np.array_equal(drawdown(fewest_treadles.on_treadles(draft, made)), drawdown(draft))


def test_shafts_without_ends_do_not_ask_for_treadles() -> None:
    draft = lift_plan([1, 2], [[1, 3], [1, 4], [2, 3], [2]], shafts=5)
    made = fewest_treadles.fewest_treadles(draft)
    assert (made.treadles, made.proved_least) == (2, True)


@pytest.mark.parametrize("feet", [0, 4])
def test_other_feet_are_refused(feet: int) -> None:
    with pytest.raises(BadInput, match="expected 1 to 3 feet"):
        fewest_treadles.fewest_treadles(lift_plan([1], [[1]]), feet=feet)


def test_a_planted_tie_up_of_twelve_treadles_is_found_and_proved() -> None:
    random = np.random.default_rng(3)
    tied = [int(sum(1 << int(s) for s in random.choice(16, 4, replace=False))) for _ in range(12)]
    pairs = random.permutation(list(itertools.combinations(range(12), 2)))[:24]
    lifts = {tied[one] | tied[other] for one, other in pairs}
    found = fewest(lifts, 2)
    assert len(found.treadles) == found.at_least <= 12
    assert found.at_least >= 7  # six treadles make only 15 pairs and 6 single sheds, fewer than 24


def test_more_lifts_than_can_be_searched_end_with_a_tie_up_that_is_not_called_least() -> None:
    random = np.random.default_rng(5)
    lifts = {int(lift) for lift in random.integers(1, 1 << 24, 400)}
    found = fewest(lifts, 2)
    assert found.at_least <= len(found.treadles) <= len(lifts)
    assert found == fewest(lifts, 2)


class EnoughError(Exception):
    """Nobody wants the answer any more."""


def a_draft_of_twelve_treadles() -> Draft:
    """Its picks press two of twelve treadles, and the lift plan does not say which."""
    random = np.random.default_rng(3)
    tied = [set((random.choice(16, 4, replace=False) + 1).tolist()) for _ in range(12)]
    pairs = random.permutation(list(itertools.combinations(range(12), 2)))[:24]
    return lift_plan(range(1, 17), [sorted(tied[one] | tied[other]) for one, other in pairs])


class Looking(Watch):
    """Keeps what it is told, and ends the search when it wants no more."""

    def __init__(self, patience: int = 1000) -> None:
        self.told: list[tuple[int, int]] = []
        self.patience = patience

    def go_on(self) -> None:
        self.patience -= 1
        if self.patience < 0:
            raise EnoughError

    def between(self, at_least: int, found: int) -> None:
        self.told.append((at_least, found))


def test_a_watch_is_told_how_near_the_search_has_come() -> None:
    draft = a_draft_of_twelve_treadles()
    looking = Looking()
    made = fewest_treadles.fewest_treadles(draft, watch=looking)
    assert looking.told
    assert all(at_least <= made.treadles <= found for at_least, found in looking.told)


def test_a_watch_that_raises_ends_the_search() -> None:
    with pytest.raises(EnoughError):
        fewest_treadles.fewest_treadles(a_draft_of_twelve_treadles(), watch=Looking(patience=1))


def test_a_search_that_is_stopped_at_once_still_weaves_the_cloth() -> None:
    class Hasty(Watch):
        def between(self, at_least: int, found: int) -> None:
            self.stop()

        def underway(self, stop: Callable[[], None]) -> None:
            self.stop = stop

    draft = a_draft_of_twelve_treadles()
    made = fewest_treadles.fewest_treadles(draft, watch=Hasty())
    woven = fewest_treadles.on_treadles(draft, made)
    assert (drawdown(woven) == drawdown(draft)).all()


def least_on_a_countermarche_by_trying(lifts: list[tuple[bool, ...]], feet: int) -> int:
    """All sets of treadles that tell each shaft up, down or nothing, smallest first."""
    kinds = list(itertools.product((1, -1, 0), repeat=len(lifts[0])))

    def opens(lift: tuple[bool, ...], treadles: tuple[tuple[int, ...], ...]) -> bool:
        wanted = [{1} if up else {-1} for up in lift]
        return any(
            all({each[shaft] for each in chosen} - {0} == told for shaft, told in enumerate(wanted))
            for together in range(1, feet + 1)
            for chosen in itertools.combinations(treadles, together)
        )

    for count in range(len(lifts) + 1):
        for treadles in itertools.combinations(kinds, count):
            if all(opens(lift, treadles) for lift in lifts):
                return count
    raise AssertionError("one treadle for each lift always does it")


def renumbered(lift: tuple[bool, ...], order: tuple[int, ...]) -> tuple[bool, ...]:
    return tuple(lift[shaft] for shaft in order)


def test_a_countermarche_takes_the_fewest_treadles_on_every_set_of_lifts_of_three_shafts() -> None:
    """Of sets that differ only by the numbers of the shafts, one is tried, its shafts numbered by chance."""
    every = [lift for lift in itertools.product((False, True), repeat=3) if any(lift)]
    orders = list(itertools.permutations(range(3)))
    chance = random.Random(3)
    for size in (1, 3, 4, 5):
        for some in itertools.combinations(every, size):
            same = [sorted(renumbered(lift, order) for lift in some) for order in orders]
            if list(some) != min(same):
                continue
            order = chance.choice(orders)
            lifts = [renumbered(lift, order) for lift in some]
            plan = [[shaft for shaft, up in enumerate(lift, 1) if up] for lift in lifts]
            draft = lift_plan([1, 2, 3], plan)
            made = fewest_treadles.fewest_treadles(draft, shed="countermarche", feet=2)
            assert_every_shaft_is_told_one_way(draft, made)
            assert made.treadles == made.at_least == least_on_a_countermarche_by_trying(list(lifts), 2)


def test_summer_and_winter_on_a_countermarche_needs_tie_down_and_pattern_treadles_only() -> None:
    """Two tie-downs, four blocks, 14 ways to combine them: 28 lifts on at most 2 + 14 treadles."""
    blocks = [set(some) for n in (1, 2, 3) for some in itertools.combinations((3, 4, 5, 6), n)]
    picks = [sorted({tie} | some) for some in blocks for tie in (1, 2)]
    draft = lift_plan([1, 3, 2, 3, 1, 4, 2, 4, 1, 5, 2, 5, 1, 6, 2, 6], picks)
    made = fewest_treadles.fewest_treadles(draft, shed="countermarche", feet=2)
    assert made.own == 28
    assert made.treadles <= 16
    assert made.most_pressed == 2
    assert_every_shaft_is_told_one_way(draft, made)

"""One tie-up for all that is woven on a warp: the least against trying all, and the sheds it really opens."""

from __future__ import annotations

import itertools
from dataclasses import replace

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from loomready.draft.draft import Draft, lift_plan
from loomready.draft.shedding.fewest_treadles import fewest_treadles, on_treadles
from loomready.model.guild import Loom, LoomKind
from loomready.warp.treadles import Treadles, treadles_for

ALL = np.ones(4, dtype=np.bool_)
LIFTS = st.lists(st.sets(st.integers(1, 4), min_size=1, max_size=3), min_size=1, max_size=5)
TABBY = [[1, 3], [2, 4]]
TWILL = [[1, 2], [2, 3], [3, 4], [1, 4]]
KINDS: tuple[LoomKind, ...] = ("jack", "counterbalance", "countermarche")


def loom(kind: LoomKind = "jack", treadles: int = 6) -> Loom:
    return Loom("l", "Loom", kind, 4, 900, (100,) * 4, 0.6, treadles)


def woven(lifts: list[list[int]]) -> Draft:
    return lift_plan([1, 2, 3, 4], lifts, shafts=4)


def joined(*cloths: list[list[int]], on: Loom) -> Treadles:
    made = treadles_for(tuple(map(woven, cloths)), on, ALL)
    assert made is not None
    return made


def opened(made: Treadles, kind: LoomKind, pressed: tuple[int, ...]) -> np.ndarray:
    """The shafts that go up when these treadles are pressed."""
    places = [treadle - 1 for treadle in pressed]
    up, down = made.rises[:, places].any(axis=1), made.sinks[:, places].any(axis=1)
    if kind == "counterbalance":
        return ~down & bool(places)
    if kind == "countermarche" and places:
        assert np.array_equal(up, ~down), "a shaft is told both ways, or none"
    return up


@settings(max_examples=80, deadline=None)
@given(cloths=st.lists(LIFTS, min_size=1, max_size=3), kind=st.sampled_from(KINDS), there=st.integers(3, 8))
def test_every_pick_of_every_cloth_is_opened_by_its_treadles(cloths, kind: LoomKind, there: int) -> None:
    drafts = tuple(woven([sorted(lift) for lift in cloth]) for cloth in cloths)
    made = treadles_for(drafts, loom(kind, there), ALL)
    assert made is not None
    for draft in drafts:
        for pick, pressed in enumerate(made.of(draft)):
            assert np.array_equal(opened(made, kind, pressed), draft.lifts[pick])


def test_tabby_and_twill_take_six_treadles_one_a_pick() -> None:
    made = joined(TWILL, TABBY, on=loom())
    assert (made.count, made.proved, made.short, made.most_pressed) == (6, True, 0, 1)


def least_of_pairs(lifts: set[frozenset[int]]) -> int:
    """Fewest sets of shafts of which one or two add up to each lift, trying all."""
    some = [frozenset(each) for n in range(1, 5) for each in itertools.combinations(range(1, 5), n)]
    for count in range(1, len(lifts) + 1):
        for tied in itertools.combinations(some, count):
            made = {one | other for one in tied for other in tied}
            if lifts <= made:
                return count
    raise AssertionError("one for each lift does it")


@settings(max_examples=30, deadline=None)
@given(one=LIFTS, other=LIFTS)
def test_two_cloths_share_the_fewest_treadles_that_trying_all_finds(one, other) -> None:
    lifts = {frozenset(lift) for lift in [*one, *other]}
    drafts = [sorted(lift) for lift in one], [sorted(lift) for lift in other]
    made = joined(*drafts, on=loom(treadles=1))
    assert made.count == least_of_pairs(lifts)
    assert made.proved


def test_a_tie_up_that_weaves_all_cloths_is_kept_as_it_is() -> None:
    both = woven([*TWILL, *TABBY])
    own = on_treadles(both, fewest_treadles(both, feet=1))
    made = treadles_for((own, woven(TABBY)), loom(), ALL)
    assert made is not None
    assert made.own
    assert own.tieup is not None
    assert np.array_equal(made.rises, own.tieup)


def test_an_own_tie_up_is_proved_least_where_no_treadle_can_be_spared() -> None:
    both = woven([*TWILL, *TABBY])
    own = on_treadles(both, fewest_treadles(both, feet=1))
    made = treadles_for((own,), loom(), ALL)
    assert made is not None
    assert (made.own, made.proved, made.at_least) == (True, True, 6)
    assert own.tieup is not None
    assert own.treadling is not None
    spare = replace(
        own,
        tieup=np.pad(own.tieup, ((0, 0), (0, 1))),
        treadling=np.pad(own.treadling, ((0, 0), (0, 1))),
    )
    more = treadles_for((spare,), loom(treadles=7), ALL)
    assert more is not None
    assert (more.own, more.proved, more.count, more.at_least) == (True, False, 7, 6)


def test_an_own_tie_up_for_two_feet_is_held_against_the_fewest_for_two_feet() -> None:
    both = woven([*TWILL, *TABBY])
    least = fewest_treadles(both, feet=2)
    own = on_treadles(both, least)
    made = treadles_for((own,), loom(), ALL)
    assert made is not None
    assert made.own
    assert made.most_pressed == 2
    assert (made.proved, made.at_least) == (least.at_least == least.treadles, least.at_least)


def test_a_tie_up_that_lacks_a_lift_of_another_cloth_gives_way_to_one_for_both() -> None:
    twill = woven(TWILL)
    own = on_treadles(twill, fewest_treadles(twill, feet=1))
    made = treadles_for((own, woven(TABBY)), loom(), ALL)
    assert made is not None
    assert (made.own, made.count) == (False, 6)


def test_fourteen_lifts_on_a_countermarche_with_six_treadles_are_short() -> None:
    every = [list(each) for n in (1, 2, 3) for each in itertools.combinations((1, 2, 3, 4), n)]
    made = joined(every, on=loom("countermarche", 6))
    assert made.short == made.count - 6 > 0


@pytest.mark.parametrize("kind", ["table", "rigid heddle"])
def test_a_loom_without_treadles_has_no_tie_up(kind: LoomKind) -> None:
    assert treadles_for((woven(TWILL),), replace(loom(), kind=kind, treadles=0), ALL) is None

"""Grounds, straight twills and laces told by their definitions, crossing by crossing, on small cloths."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Bools
from loomready.warp.uneven_sett import (
    LACE_AND_GROUND,
    LACE_SPOTS,
    REP_COVER,
    has_ground_between,
    is_lace,
    is_straight_twill,
    why_chart_rules,
)


class Cloth:
    """A drawdown read one crossing at a time, repeated without end."""

    def __init__(self, block: Bools) -> None:
        self.rows = block.tolist()
        self.picks, self.ends = block.shape

    def up(self, pick: int, end: int) -> bool:
        return bool(self.rows[pick % self.picks][end % self.ends])

    def is_tabby(self, pick: int) -> bool:
        return all(self.up(pick, end) != self.up(pick, end + 1) for end in range(2 * self.ends))

    def floats_over_three(self, pick: int) -> bool:
        return any(
            self.up(pick, end) == self.up(pick, end + 1) == self.up(pick, end + 2) for end in range(self.ends)
        )


def ground_between(cloth: Cloth) -> bool:
    length = cloth.picks * (2 if cloth.picks % 2 else 1)
    for first in (0, 1):
        ground, pattern = range(first, length, 2), range(1 - first, length, 2)
        sheds = [cloth.up(pick, 0) for pick in ground]
        if (
            all(map(cloth.is_tabby, ground))
            and all(sheds[at] != sheds[at - 1] for at in range(len(sheds)))
            and any(map(cloth.floats_over_three, pattern))
            and not any(map(cloth.is_tabby, pattern))
        ):
            return True
    return False


@st.composite
def grounds(draw: st.DrawFn) -> Bools:
    """Tabby picks by turns with other picks between, sometimes with one crossing changed."""
    ends, pairs = draw(st.sampled_from([4, 6])), draw(st.sampled_from([1, 2, 4]))
    tabby = np.arange(ends) % 2 == 0
    row = st.lists(st.booleans(), min_size=ends, max_size=ends)
    rows = []
    for at in range(pairs):
        rows += [tabby if at % 2 else ~tabby, draw(row)]
    block = np.array(rows, dtype=np.bool_)
    if draw(st.booleans()):
        block[draw(st.integers(0, 2 * pairs - 1)), draw(st.integers(0, ends - 1))] ^= True
    return np.roll(block, draw(st.integers(0, 3)), axis=0)


@settings(max_examples=80, deadline=None)
@given(grounds())
def test_a_ground_between_pattern_picks_is_found_where_its_definition_says(block: Bools) -> None:
    assert has_ground_between(block) == ground_between(Cloth(block))


def test_an_odd_repeat_swaps_ground_and_pattern_and_is_no_ground() -> None:
    tabby = np.array([1, 0, 1, 0], dtype=np.bool_)
    floating = np.array([1, 1, 1, 0], dtype=np.bool_)
    assert not has_ground_between(np.stack([tabby, floating, ~tabby]))
    assert has_ground_between(np.stack([tabby, floating, ~tabby, floating]))
    assert not has_ground_between(np.stack([tabby, floating]))  # the same tabby again: it does not hold
    assert not has_ground_between(np.stack([tabby, floating, ~tabby, floating])[:, :3])


def lace(cloth: Cloth) -> bool:
    """By the docstrings: spots of three by three or plain ground nearly everywhere, and enough spots."""
    every = [(pick, end) for pick in range(cloth.picks) for end in range(cloth.ends)]

    def turns(at: int, of_picks: bool) -> int:
        if of_picks:
            return sum(cloth.up(at, end) != cloth.up(at, end + 1) for end in range(cloth.ends))
        return sum(cloth.up(pick, at) != cloth.up(pick + 1, at) for pick in range(cloth.picks))

    alike = len({turns(pick, True) for pick in range(cloth.picks)}) == 1
    if alike and len({turns(end, False) for end in range(cloth.ends)}) == 1:
        return False

    def spot(pick: int, end: int, up) -> bool:  # type: ignore[no-untyped-def]
        """A float over three ends between two picks that are alike there and weave tabby over them."""
        before, here, after = ([up(pick + row, end + step) for step in (-1, 0, 1)] for row in (-1, 0, 1))
        tabby = before[0] != before[1] != before[2]
        return len(set(here)) == 1 and tabby and before[1] == after[1] and after[0] != after[1] != after[2]

    def plain(pick: int, end: int) -> bool:
        return all(
            (cloth.up(pick + row, end + step) == cloth.up(pick, end)) == ((row + step) % 2 == 0)
            for row in (-1, 0, 1)
            for step in (-1, 0, 1)
        )

    spots = {
        (pick, end)
        for pick, end in every
        if spot(pick, end, cloth.up) or spot(end, pick, lambda end, pick: cloth.up(pick, end))
    }
    middles = spots | {at for at in every if plain(*at)}
    covered = {
        ((pick + row) % cloth.picks, (end + step) % cloth.ends)
        for pick, end in middles
        for row in (-1, 0, 1)
        for step in (-1, 0, 1)
    }
    return len(spots) >= LACE_SPOTS * len(every) and len(covered) >= LACE_AND_GROUND * len(every)


@st.composite
def near_lace(draw: st.DrawFn) -> Bools:
    """Plain weave with floats of three laid in it here and there."""
    picks, ends = draw(st.sampled_from([4, 6, 8])), draw(st.sampled_from([4, 6, 8]))
    block = np.indices((picks, ends)).sum(axis=0) % 2 == 0
    for _ in range(draw(st.integers(0, 5))):
        pick, end = draw(st.integers(0, picks - 1)), draw(st.integers(0, ends - 1))
        block[pick, end] ^= True
    return block


@settings(max_examples=60, deadline=None)
@given(near_lace())
def test_a_lace_is_one_where_its_definition_says(block: Bools) -> None:
    assert is_lace(block) == lace(Cloth(block))


def wide_plain(spots: int) -> Bools:
    """Plain weave, 20 by 20, with so many single skips far from one another."""
    block = np.indices((20, 20)).sum(axis=0) % 2 == 0
    for number in range(spots):
        block[4 * (number // 5) + 1, 4 * (number % 5) + number // 5 % 2] ^= True
    return block


def test_one_crossing_in_twenty_is_enough_of_a_lace() -> None:
    """A skip is a float of three each way, and so one spot: 20 of 400 crossings."""
    assert [is_lace(wide_plain(count)) for count in (18, 19, 20, 21)] == [False, False, True, True]


@pytest.mark.parametrize("way", [1, -1])
def test_a_straight_twill_moves_on_by_one_end_from_pick_to_pick(way: int) -> None:
    twill = np.stack([np.roll(np.array([1, 1, 0, 0, 0], dtype=np.bool_), way * pick) for pick in range(5)])
    assert is_straight_twill(twill)
    broken = twill[[0, 1, 2, 4, 3]]
    assert not is_straight_twill(broken)
    assert not is_straight_twill(np.eye(2, dtype=np.bool_))


def test_a_set_of_threads_hides_the_other_from_nine_tenths_on() -> None:
    plain = np.eye(2, dtype=np.bool_)

    def rules(warp: float, weft: float | None) -> str:
        found = why_chart_rules(plain, 1, warp_cover=warp, weft_cover=weft)
        return "" if found is None else str(found.says)

    assert "hide the weft" in rules(REP_COVER, None)
    assert "hide the warp" in rules(0.5, REP_COVER)
    assert rules(REP_COVER - 0.01, REP_COVER - 0.01) == rules(0.5, None) == ""

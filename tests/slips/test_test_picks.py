"""Test picks tell the shafts apart with the fewest lifts, and weave a cloth where that is asked for."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.draft.draft import shed
from loomready.problems import Impossible
from loomready.slips import test_picks as picking


def point(shafts: int, ends: int) -> np.ndarray:
    round_ = np.concatenate([np.arange(shafts), np.arange(shafts - 2, 0, -1)]) if shafts > 2 else np.arange(2)
    return np.resize(round_, ends)


@given(st.sets(st.integers(0, 63), min_size=1))
def test_every_two_used_shafts_differ_in_as_few_lifts_as_there_can_be(used: set[int]) -> None:
    made = picking.fewest(np.array(sorted(used)), 64)
    assert len(made.lifts) == math.ceil(math.log2(len(used)))
    assert made.proved
    assert picking.cannot_tell(made.lifts, sorted(used)) == ()
    assert not made.lifts[:, [shaft for shaft in range(64) if shaft not in used]].any()


@pytest.mark.parametrize("shafts", range(2, 65))
def test_each_pick_of_the_fewest_lifts_about_half_of_the_shafts(shafts: int) -> None:
    up = picking.fewest(np.arange(shafts), shafts).lifts.sum(axis=1)
    assert up.min() >= shafts // 2
    assert up.max() <= (shafts + 1) // 2


@pytest.mark.parametrize("shafts", [2, 3, 4, 5])
def test_one_lift_less_leaves_two_shafts_alike_whatever_is_lifted(shafts: int) -> None:
    less = math.ceil(math.log2(shafts)) - 1
    for bits in itertools.product([False, True], repeat=less * shafts):
        lifts = np.array(bits, dtype=bool).reshape(less, shafts)
        assert picking.cannot_tell(lifts, range(shafts))


@pytest.mark.parametrize("shafts", [2, 3, 4, 6, 8, 12, 16, 24])
def test_the_fewest_woven_tell_the_shafts_apart_with_short_floats(shafts: int) -> None:
    made = picking.fewest_woven(point(shafts, 4 * shafts - 4 if shafts > 2 else 4), shafts, 3)
    assert made.proved
    assert made.apart >= 1
    assert made.longest_warp_float is not None
    assert made.longest_warp_float <= 3
    assert made.longest_weft_float is not None
    assert made.longest_weft_float <= 3


@pytest.mark.parametrize(("shafts", "most"), [(3, 3), (4, 3)])
def test_no_fewer_picks_weave_and_tell_apart(shafts: int, most: int) -> None:
    threading = point(shafts, 2 * shafts - 2)
    made = picking.fewest_woven(threading, shafts, most)
    less = len(made.lifts) - 1
    for bits in itertools.product([False, True], repeat=less * shafts):
        lifts = np.array(bits, dtype=bool).reshape(less, shafts)
        warp, weft = picking.measured.from_lifts(lifts, threading.astype(np.int16))
        short = warp is not None and warp <= most and weft is not None and weft <= most
        assert not (short and not picking.cannot_tell(lifts, range(shafts)))


def test_sixteen_picks_set_every_two_of_sixteen_shafts_apart_in_six_or_more() -> None:
    made = picking.well_apart(point(16, 120), 16, 16, 3)
    assert len(made.lifts) == 16
    assert made.apart >= 6
    assert made.longest_warp_float is not None
    assert made.longest_warp_float <= 3


def test_plain_weave_alone_cannot_tell_three_shafts_apart() -> None:
    with pytest.raises(Impossible, match="plain weave"):
        picking.fewest_woven(point(3, 12), 3, 1)


def test_a_threading_whose_weft_floats_force_two_shafts_alike_is_refused() -> None:
    with pytest.raises(Impossible, match="tells shafts 1 and 3 apart"):
        picking.fewest_woven(point(3, 4), 3, 2)


def test_too_few_picks_are_refused() -> None:
    with pytest.raises(Impossible, match="more picks"):
        picking.well_apart(point(8, 28), 8, 2, 3)


@given(st.integers(2, 12), st.integers(0, 4), st.integers(0, 2**32 - 1))
def test_more_picks_tell_apart_what_was_left_and_one_less_would_not(
    shafts: int, picks: int, seed: int
) -> None:
    lifts = np.random.default_rng(seed).random((picks, shafts)) < 0.5
    used = range(shafts)
    more = picking.more_picks(lifts, used)
    largest = max(map(len, picking.alike(lifts, used)), default=1)
    assert len(more) == math.ceil(math.log2(largest))
    assert picking.cannot_tell(np.concatenate([lifts, more]), used) == ()


def test_the_first_pick_more_leaves_the_fewest_pairs_untold() -> None:
    lifts = np.array([[1, 1, 1, 1, 0, 0, 0]], dtype=bool)
    first = picking.more_picks(lifts, range(7))[:1]
    left = len(picking.cannot_tell(np.concatenate([lifts, first]), range(7)))
    least = min(
        len(picking.cannot_tell(np.concatenate([lifts, np.array([bits], dtype=bool)]), range(7)))
        for bits in itertools.product([0, 1], repeat=7)
    )
    assert left == least == 3


def test_lifting_each_shaft_alone_names_the_ends_that_rise_in_each_group() -> None:
    threading = np.array([0, 1, 2, 1, 0, -1])
    found = dict(picking.one_by_one(threading, [(0, 3), (3, 3)]))
    assert found == {0: [[1], [2]], 1: [[2], [1]], 2: [[3], []]}


def single_slips(threading: list[int], shafts: int) -> dict[tuple[int, ...], set[tuple[str, int, int]]]:
    """Every web with one slip, by what is on the loom, and the slips that make it."""
    webs: dict[tuple[int, ...], set[tuple[str, int, int]]] = {}

    def add(kind: str, end: int, shaft: int, web: list[int]) -> None:
        webs.setdefault(tuple(web), set()).add((kind, end, shaft))

    for end, planned in enumerate(threading):
        before, after = threading[:end], threading[end + 1 :]
        add("skipped", end, 0, before + after)
        for shaft in range(shafts):
            add("extra", end, shaft, [*before, shaft, planned, *after])
            if shaft != planned:
                add("wrong shaft", end, shaft, [*before, shaft, *after])
        if after and after[0] != planned:
            add("crossed", end, 0, [*before, after[0], planned, *after[1:]])
    return webs


def test_picks_that_tell_shafts_apart_tell_every_single_slip_apart_but_for_runs_on_one_shaft() -> None:
    threading = [0, 1, 2, 2, 1, 0, 3, 3, 3, 0, 1]
    lifts = picking.fewest(np.array(threading), 4).lifts
    cloths: dict[bytes, tuple[int, ...]] = {}
    for web, slips in single_slips(threading, 4).items():
        assert len({kind for kind, _, _ in slips}) == 1
        ends = sorted(end for _, end, _ in slips)
        assert len(set(ends)) == len(ends)
        assert ends == list(range(ends[0], ends[-1] + 1))
        cloth = shed(lifts, np.array(web)).astype(np.uint8)
        key = bytes(cloth.shape) + np.ascontiguousarray(cloth).tobytes()
        assert cloths.setdefault(key, web) == web


@given(st.integers(0, 6), st.integers(1, 8), st.integers(0, 2**32 - 1))
def test_apart_is_in_how_many_picks_any_two_shafts_differ_at_least(
    picks: int, shafts: int, seed: int
) -> None:
    lifts = np.random.default_rng(seed).random((picks, shafts)) < 0.5
    pairs = itertools.combinations(range(shafts), 2)
    differ = [sum(row[one] != row[other] for row in lifts.tolist()) for one, other in pairs]
    assert picking.apart(lifts, range(shafts)) == min(differ, default=picks)


@pytest.mark.parametrize(("shafts", "most"), [(3, 3), (4, 3), (6, 3), (8, 4)])
def test_no_thread_of_the_fewest_woven_floats_farther_than_asked_where_the_picks_repeat(
    shafts: int, most: int
) -> None:
    threading = point(shafts, 4 * shafts)
    lifts = picking.fewest_woven(threading, shafts, most).lifts
    cloth = lifts[:, threading]
    for rows in (cloth, cloth.T):
        for row in rows.tolist():
            doubled = "".join("01"[cell] for cell in row * 3)
            assert "0" * (most + 1) not in doubled
            assert "1" * (most + 1) not in doubled


def test_plain_weave_tells_two_shafts_apart_in_its_two_picks() -> None:
    """Just as many codes as shafts are enough."""
    made = picking.fewest_woven(point(2, 8), 2, 1)
    assert len(made.lifts) == 2
    assert made.proved

"""Groups of a threading follow its structure, and stay small enough to be counted."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.loomside.steps.blocks import BLOCK, FEWEST, LONGEST_RUN, MOST, cut, units
from loomready.loomside.steps.groups import groups as groups_of
from loomready.warp.plan import plan_guild
from tests import cast


@given(st.lists(st.integers(1, 8), max_size=120))
def test_groups_hold_every_end_in_order_and_stay_in_view(shafts):
    sizes = cut(shafts)
    assert sum(sizes) == len(shafts)
    assert max(sizes, default=0) <= LONGEST_RUN
    for before, after in itertools.pairwise(sizes):
        assert min(before, after) >= FEWEST or before + after > MOST
    at = 0
    for size in sizes:
        here = shafts[at : at + size]
        straight = all(abs(after - before) == 1 for before, after in itertools.pairwise(here))
        assert size <= MOST or straight
        at += size


@pytest.mark.parametrize("shafts", [8, 16, 24])
def test_a_straight_run_stays_together(shafts):
    straight = list(range(1, shafts + 1))
    assert cut(straight * 3) in ([shafts] * 3, [2 * shafts, shafts])


def test_a_point_is_cut_where_it_turns():
    assert cut([*range(1, 17), *range(15, 1, -1)]) == [16, 14]


@pytest.mark.parametrize("size", [8, 12, 16, 20])
def test_a_block_is_a_group(size):
    blocks = [[1, 2], [3, 2], [3, 4], [1, 4]]
    assert cut([shaft for block in blocks for shaft in block * (size // 2)]) == [size] * 4


def test_a_block_of_double_weave_is_cut_between_its_repeats():
    threading = [1, 2, 3, 4] * 9 + [5, 6, 7, 8] * 2
    sizes = cut(threading)
    assert sizes == [20, 16, 8]


def test_small_blocks_are_joined_and_never_cut():
    threading = [1, 2, 3, 4, 5] + [2, 3, 4, 5, 6] + [3, 4, 5, 6, 7] + [4, 5, 6, 7, 8] * 1
    assert cut([*threading, *threading]) == [20, 20]


def test_the_last_crumb_joins_the_group_before():
    assert cut([1, 2, 3, 4] * 4 + [7]) == [17]


@given(st.lists(st.integers(1, 8), min_size=1, max_size=80))
def test_units_are_all_of_the_threading(shafts):
    assert sum(unit.size for unit in units(shafts)) == len(shafts)


def test_a_unit_of_more_than_a_block_stands_alone():
    assert BLOCK <= MOST
    assert cut([1, 2] * 4 + [3, 4] * 5) == [8, 10]


@pytest.mark.parametrize("floating", [False, True])
def test_floating_selvedges_are_groups_of_their_own_and_every_end_is_in_one_group(floating: bool) -> None:
    order = cast.order(floating_selvedges=floating, selvedge_ends=3, selvedge_shafts=(1, 2))
    web = plan_guild(cast.guild(order), cast.drafts()).warps[0].web
    groups = groups_of(web)
    ends = [end for group in groups for end in range(group.first, group.first + group.size)]
    assert ends == list(range(web.ends))
    alone = [group.first for group in groups if str(group.place) == "floating selvedge"]
    assert alone == ([0, web.ends - 1] if floating else [])
    selvedges = [(group.first, group.size) for group in groups if str(group.place) == "selvedge"]
    edge = int(floating)
    assert selvedges == [(edge, 3), (web.ends - edge - 3, 3)]

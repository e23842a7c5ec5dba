"""What a plan points out: crowded dents, edges that do not match, sheds that open unevenly."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import lift_plan
from loomready.model.guild import Reed
from loomready.warp.findings import _balancing
from loomready.warp.plan import plan_guild
from tests.cast import LOOM, PLAIN, drafts, guild, order

UNEVEN = lift_plan([1, 2, 3, 4], [[1], [2, 3], [3, 4], [1, 2, 4]])


def planned(the_order=None, draft=None, **more):
    found = guild(*([the_order] if the_order else []), **more)
    return plan_guild(found, drafts(draft) if draft else drafts()).warps[0]


def codes(made):
    return {each.code for each in made.problems}


@pytest.mark.parametrize(("ends", "crowded"), [(4, False), (5, True), (6, True)])
def test_five_ends_in_a_dent_are_pointed_out_and_four_are_not(ends, crowded):
    made = planned(order(sett_per_cm=2.0 * ends), reeds=(Reed("coarse", 2.0, 1000),))
    assert made.sley.cycle == (ends,)
    assert ("crowded-dent" in codes(made)) == crowded


@given(
    st.lists(st.integers(0, 3), min_size=1, max_size=8), st.lists(st.integers(0, 3), min_size=1, max_size=8)
)
@settings(max_examples=200)
def test_the_ends_that_balance_the_edges_are_the_fewest(threads, following):
    web, more = np.array(threads), np.array(following)
    grown = [np.concatenate([web, more[:n]]).tolist() for n in range(1, len(following))]
    least = next((n for n, each in enumerate(grown, 1) if each == each[::-1]), None)
    assert _balancing(web, more) == least


def test_part_of_a_repeat_that_was_asked_for_is_not_asked_to_be_more():
    point = lift_plan([1, 2, 3, 4, 3, 2], [[1, 2], [2, 3], [3, 4], [1, 4]])
    told = next(each for each in planned(draft=point).problems if each.code == "unbalanced-edge")
    assert "would make them match" in told.message
    asked = planned(order(selvedge_ends=2), draft=point)
    assert all("would make them match" not in each.message for each in asked.problems)


@pytest.mark.parametrize("kind", ["table", "jack", "countermarche"])
def test_a_loom_whose_shafts_move_by_themselves_opens_every_shed(kind):
    loom = replace(LOOM, kind=kind, treadles=0 if kind == "table" else 6)
    assert "uneven-shed" not in codes(planned(draft=UNEVEN, looms=(loom,)))


def test_a_counterbalance_loom_is_told_how_many_picks_are_uneven_and_the_first():
    made = planned(draft=UNEVEN, looms=(replace(LOOM, kind="counterbalance"),))
    told = next(each for each in made.problems if each.code == "uneven-shed")
    assert "2 picks of 4 are uneven, the first is pick 1" in told.message


def test_a_long_float_is_said_to_be_within_its_layer_where_there_are_layers():
    weft = lift_plan([1, 2, 3, 4], [[1], [2], [3], [4]])
    layers = lift_plan([1, 2, 3, 4, 5, 6], [[1], [1, 3, 5, 2], [3], [1, 3, 5, 4], [5], [1, 3, 5, 6]])
    loom = replace(LOOM, shafts=6, heddles=(150,) * 6)

    def said(draft, many):
        made = planned(order(sett_per_cm=1.0 * many, layers=many), draft, looms=(loom,))
        return [each.message for each in made.problems if each.code == "long-float"]

    for message in said(weft, 1):
        assert "layer" not in message
        assert " ends, " in message or " picks, " in message
    assert said(weft, 1)
    assert all("within its layer" in message for message in said(layers, 2))
    assert said(layers, 2)


def test_a_shaft_with_one_end_counts_among_those_that_balance():
    """Three shafts and one end on the fourth: half of four rise in every pick of the twill."""
    loom = replace(LOOM, kind="counterbalance")
    draft = lift_plan([1, 2, 3] * 20 + [4], [[1, 2], [2, 3], [3, 4], [1, 4]])
    made = planned(order(finished_width_mm=70.0), draft, looms=(loom,))
    assert made.heddles.needed[3] == made.web.repeats == 1
    assert "uneven-shed" not in codes(made)


def test_floating_selvedges_that_take_one_dent_too_many_make_the_reed_too_narrow():
    """598 ends, 1 and 2 in a dent by turns, take 399 dents and the selvedges two: 401 of 400, in 1000 mm."""
    loom = replace(LOOM, weaving_width_mm=1100, heddles=(400,) * 4)
    asked = order(sett_per_cm=6.0, finished_width_mm=865.0, floating_selvedges=True, sley=(1, 2))
    made = planned(asked, PLAIN, looms=(loom,))
    assert (made.web.ends, made.sley.dents, made.sley.reed_dents) == (600, 401, 400)
    assert made.width_in_reed_mm == pytest.approx(1000)
    assert "too-narrow-reed" in codes(made)

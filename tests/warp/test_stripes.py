"""Stripes: an order of colors across the web, and along each piece, apart from the draft's colors."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.draft.draft import lift_plan
from loomready.model.guild import Item, Stripe, WarpOrder, WeftStripe
from loomready.problems import BadInput
from loomready.warp.bouts import cuts, runs
from loomready.warp.length import picks_by_yarn
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from loomready.warp.stripes import by_yarn, roles_in_stripes, threads_in
from tests.cast import TWILL, cone, drafts, guild, order

STRIPES = (Stripe("fern", 12), Stripe("chalk", 4), Stripe("fern", 2), Stripe("chalk", 2))
LISTS = st.lists(
    st.builds(Stripe, st.sampled_from(["fern", "chalk"]), st.integers(1, 30)), min_size=1, max_size=6
).map(tuple)


def planned(asked: WarpOrder, draft=TWILL) -> WarpPlan:
    """The plan without its remedies, which take most of the time of a plan that is short."""
    room = guild(asked, cones=(cone("fern-1"),))
    return plan_once(asked, room, drafts(draft), Shelf(room))[0]


def keys_of(plan: WarpPlan) -> list[str]:
    return [plan.order.warp_yarns[role] for role in plan.web.role.tolist()]


def one_by_one(stripes: tuple[Stripe, ...], count: int) -> list[str]:
    """The definition: the stripes written out end by end, as a repeat."""
    once = [each.yarn for each in stripes for _ in range(each.ends)]
    return [once[place % len(once)] for place in range(count)]


@given(LISTS, st.integers(50, 600), st.integers(0, 5), st.booleans())
def test_stripes_lie_over_the_ends_in_heddles_whatever_the_width(stripes, width_mm, selvedge, floating):
    asked = order(
        stripes=stripes, finished_width_mm=width_mm, selvedge_ends=selvedge, floating_selvedges=floating
    )
    plan = planned(asked)
    heddled = plan.web.shaft >= 0
    keys = np.array(keys_of(plan))
    assert keys[heddled].tolist() == one_by_one(stripes, plan.web.heddle_ends)
    assert sum(by_yarn(stripes, plan.web.heddle_ends).values()) == plan.web.heddle_ends
    assert {need.yarn.key: need.warp_ends for need in plan.yarns if need.warp_ends} == {
        key: int((keys == key).sum()) for key in dict.fromkeys(keys)
    }


@given(LISTS, st.integers(50, 600), st.booleans())
def test_mirrored_stripes_are_the_same_from_both_edges(stripes, width_mm, floating):
    asked = order(
        stripes=stripes, stripes_mirrored=True, finished_width_mm=width_mm, floating_selvedges=floating
    )
    plan = planned(asked)
    keys = keys_of(plan)
    assert keys == keys[::-1]
    half = [key for key, shaft in zip(keys, plan.web.shaft, strict=True) if shaft >= 0]
    half = half[: -(-len(half) // 2)]
    assert half == one_by_one(stripes, len(half))


@given(LISTS, st.integers(0, 300))
def test_counts_by_yarn_are_those_of_the_threads_one_by_one(stripes, count):
    names = list(dict.fromkeys(each.yarn for each in stripes))
    written = one_by_one(stripes, count)
    assert [names[role] for role in roles_in_stripes(stripes, count).tolist()] == written
    assert by_yarn(stripes, count) == {name: written.count(name) for name in names}


def test_an_odd_middle_end_stands_once():
    point = lift_plan([1, 2, 3, 4, 3, 2, 1], [[1, 2], [2, 3], [3, 4]])
    plan = planned(order(stripes=(Stripe("fern", 1), Stripe("chalk", 1)), stripes_mirrored=True), draft=point)
    assert plan.web.ends % 2 == 1
    middle = plan.web.ends // 2
    keys = keys_of(plan)
    assert keys[middle - 1] == keys[middle + 1] != keys[middle]


def test_floating_selvedges_take_the_color_of_the_end_beside_them_and_are_no_part_of_a_stripe():
    plan = planned(order(stripes=STRIPES, floating_selvedges=True))
    keys = keys_of(plan)
    assert keys[0] == keys[1] == "fern"
    assert keys[1:13] == ["fern"] * 12
    assert keys[13] == "chalk"
    assert keys[-1] == keys[-2]


def test_an_end_of_the_draft_that_is_in_no_heddle_is_no_part_of_a_stripe():
    gap = lift_plan([1, 2, 0, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])
    plan = planned(order(stripes=(Stripe("fern", 2), Stripe("chalk", 2))), draft=gap)
    assert keys_of(plan)[:5] == ["fern", "fern", "fern", "chalk", "chalk"]


def test_stripes_take_the_place_of_the_draft_s_warp_colors():
    colored = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=[0, 1, 1, 1])
    plain, striped = (planned(order(stripes=STRIPES), draft=draft) for draft in (TWILL, colored))
    assert plain.web.ends == striped.web.ends
    assert keys_of(plain) == keys_of(striped)


def test_the_yarn_of_an_order_is_that_of_its_stripes():
    assert order(stripes=STRIPES).warp_yarns == ("fern", "chalk")
    assert replace(order(stripes=STRIPES), stripes=(Stripe("chalk", 3),)).warp_yarns == ("chalk",)
    assert order(weft_stripes=(WeftStripe("fern", 2),)).weft_yarns == ("fern",)
    assert Item(1.0, weft_stripes=(WeftStripe("fern", 2),)).weft_yarns == ("fern",)


def test_a_bout_does_not_end_inside_a_stripe_where_there_is_a_way_around_it():
    plan = planned(order(stripes=(Stripe("fern", 40), Stripe("chalk", 30)), finished_width_mm=500))
    edges = set((np.flatnonzero(np.diff(plan.web.role)) + 1).tolist())
    assert len(plan.bouts) > 1
    assert {bout.first_end - 1 for bout in plan.bouts[1:]} <= edges
    assert max(bout.ends for bout in plan.bouts) <= plan.order.max_bout_ends


@given(st.sets(st.integers(1, 199)), st.integers(20, 120))
def test_cuts_at_stripes_keep_to_about_the_fewest_bouts(edges, most):
    made = cuts(200, most, set(edges), edges=frozenset(edges))
    fewest = -(-200 // most)
    assert made[0] == 0
    assert made[-1] == 200
    assert fewest <= len(made) - 1 <= fewest + max(1, fewest // 4)
    assert all(0 < after - before <= most for before, after in itertools.pairwise(made))


def test_runs_in_the_bouts_are_the_stripes():
    plan = planned(order(stripes=STRIPES, finished_width_mm=100))
    wound = [run for bout in plan.bouts for run in bout.colors]
    joined: list[tuple[str, int]] = []
    for key, count in wound:
        if joined and joined[-1][0] == key:
            joined[-1] = (key, joined[-1][1] + count)
        else:
            joined.append((key, count))
    keys = plan.order.warp_yarns
    assert joined == [(keys[role], count) for role, count in runs(plan.web.role)]
    assert joined[:4] == [("fern", 12), ("chalk", 4), ("fern", 2), ("chalk", 2)]


@given(
    st.lists(
        st.builds(WeftStripe, st.sampled_from(["fern", "chalk"]), st.integers(1, 60)), min_size=1, max_size=5
    ).map(tuple),
    st.integers(1, 3),
)
def test_weft_stripes_give_the_picks_of_each_piece_by_yarn(stripes, count):
    colored = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], weft_colors=[0, 1, 1, 0])
    asked = order(weft_stripes=stripes, items=(Item(0.5, count=count), Item(0.3)))
    plan = planned(asked, draft=colored)
    wanted: dict[str, int] = {}
    for piece in plan.pieces:
        once = [each.yarn for each in stripes for _ in range(each.picks)]
        for pick in range(piece.picks):
            key = once[pick % len(once)]
            wanted[key] = wanted.get(key, 0) + piece.count
    assert len(plan.wefts) == 1
    assert {key: picks for key, picks in picks_by_yarn(plan.wefts[0]).items() if picks} == wanted
    each_m = plan.width_in_reed_mm / 1000 * (1 + asked.weft_take_up)
    told = {need.yarn.key: need.weft_m for need in plan.yarns if need.weft_m}
    assert told == pytest.approx({key: picks * each_m for key, picks in wanted.items()})


def test_a_piece_has_weft_stripes_of_its_own_and_a_hem_goes_on_in_its_own_yarn():
    asked = order(
        items=(
            Item(0.5, weft_stripes=(WeftStripe("fern", 10), WeftStripe("chalk", 2))),
            Item(0.5, weft_yarns=("fern",)),
            Item(0.5, hem_m=0.05, hem_weft_yarns=("fern",), hem_picks_per_cm=9.0),
        )
    )
    bodies, plain, hemmed, hems = planned(asked).wefts
    assert bodies.stripes == asked.items[0].weft_stripes
    assert (plain.stripes, plain.yarns) == ((), ("fern",))
    assert (hemmed.stripes, hemmed.yarns) == ((), ("chalk",))
    assert (hems.stripes, hems.yarns) == ((), ("fern",))


def test_a_piece_with_yarns_of_its_own_leaves_the_warp_s_weft_stripes():
    asked = order(weft_stripes=(WeftStripe("fern", 9),), items=(Item(0.5, weft_yarns=("chalk",)),))
    (weft,) = planned(asked).wefts
    assert (weft.stripes, weft.yarns) == ((), ("chalk",))


def test_yarn_that_is_short_is_offered_another_one_in_the_stripes():
    fern = cone("fern-1", meters=200.0)
    made = plan_guild(
        guild(order(stripes=STRIPES, weft_stripes=(WeftStripe("chalk", 4),)), cones=(fern, cone("chalk-1"))),
        drafts(),
    ).warps[0]
    short = [problem for problem in made.problems if problem.code == "yarn-short"]
    assert short
    for problem in short:
        for remedy in problem.remedies:
            if "stripes" in remedy.change:
                assert {each.yarn for each in remedy.change["stripes"]} <= {"chalk"}


def test_stripes_longer_than_the_web_leave_the_last_yarn_out():
    plan = planned(order(stripes=(Stripe("fern", 20_000 - 1), Stripe("chalk", 1))))
    assert set(keys_of(plan)) == {"fern"}


def test_the_sett_goes_by_the_share_of_each_yarn_in_the_stripes():
    thick = replace(guild().yarns[1], tex=480.0)
    room = guild(yarns=(guild().yarns[0], thick))
    mostly_thin, mostly_thick = (
        plan_guild(
            replace(
                room,
                warps=(
                    order(
                        sett_per_cm=None,
                        firmness=0.8,
                        stripes=(Stripe("fern", thin), Stripe("chalk", 10 - thin)),
                    ),
                ),
            ),
            drafts(),
        ).warps[0]
        for thin in (9, 1)
    )
    assert mostly_thin.asked_sett_per_cm > mostly_thick.asked_sett_per_cm * 1.2


def test_without_stripes_a_draft_s_colors_want_their_yarns():
    colored = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=[0, 1, 1, 1])
    with pytest.raises(BadInput, match="1 yarns for 2 warp colors"):
        planned(order(), draft=colored)


def test_threads_are_counted_in_both_kinds_of_stripe():
    assert threads_in(Stripe("fern", 3)) == threads_in(WeftStripe("fern", 3)) == 3

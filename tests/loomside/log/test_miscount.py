"""Ends left over or short: every choice is a plan with the ends that are there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Draft, lift_plan
from loomready.guildfile.load import load
from loomready.loomside.log.miscount import PlanChoice, as_it_stands, choices, symmetrical
from loomready.model.guild import Stripe, WarpOrder
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast

POINT = lift_plan([1, 2, 3, 4, 3, 2], [[1, 2], [2, 3], [3, 4], [1, 4]])
DEMO = Path(__file__).parents[3] / "demo" / "warps"
STRIPES = lift_plan(
    [1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=[0, 0, 1, 1], palette=((0, 0, 0), (9, 9, 9))
)


def planned(order: WarpOrder, draft: Draft) -> WarpPlan:
    return plan_guild(cast.guild(order), {order.draft: draft}).warps[0]


def offered(order: WarpOrder, draft: Draft, difference: int, done: int = 0) -> dict[str, PlanChoice]:
    plan = planned(order, draft)

    def again(changed: WarpOrder, new: Draft) -> WarpPlan | None:
        return planned(changed, new)

    threaded = np.arange(plan.web.ends) < done
    return {each.kind: each for each in choices(plan, difference, threaded, again, "drafts/off.wif")}


@settings(max_examples=25)
@given(st.integers(-30, 30).filter(bool), st.sampled_from(["point", "edges", "stripes", "own stripes"]))
def test_every_choice_plans_the_ends_that_are_there(difference: int, name: str) -> None:
    order, draft = {
        "point": (cast.order(), POINT),
        "edges": (cast.order(floating_selvedges=True, selvedge_ends=2, selvedge_shafts=(1, 2)), cast.TWILL),
        "stripes": (cast.order(warp_yarns=("fern", "chalk")), STRIPES),
        "own stripes": (
            cast.order(stripes=(Stripe("fern", 7), Stripe("chalk", 3)), stripes_mirrored=True),
            cast.TWILL,
        ),
    }[name]
    before = planned(order, draft)
    for choice in offered(order, draft, difference).values():
        if choice.order is None or choice.draft is None:
            continue
        after = planned(choice.order, choice.draft)
        assert after.web.ends == before.web.ends + difference
        assert after.web.floating == before.web.floating
        both = min(after.web.ends, before.web.ends) - before.web.floating
        keys = [plan.order.warp_yarns for plan in (before, after)]
        wound, now = (
            [keys[at][role] for role in plan.web.role.tolist()] for at, plan in enumerate((before, after))
        )
        assert wound[:both] == now[:both]


def test_an_end_over_may_stay_out_and_one_short_may_hang_from_a_weight() -> None:
    assert offered(cast.order(), POINT, 1)["leave"].says == "Leave the 1 end out"
    assert offered(cast.order(), POINT, -2)["leave"].says == "Hang 2 ends in"
    for most in (8, -8):  # more than that do not hang beside the web without tangling
        assert "leave" in offered(cast.order(), POINT, most)
    for too_many in (9, -9, 20):
        assert "leave" not in offered(cast.order(), POINT, too_many)


def test_a_new_center_makes_both_halves_alike() -> None:
    choice = offered(cast.order(), POINT, 4)["center"]
    assert choice.order is not None
    assert choice.draft is not None
    shafts = planned(choice.order, choice.draft).web.shaft
    turn = (shafts.size - 1) // 2
    reach = min(turn, shafts.size - 1 - turn)
    assert np.array_equal(shafts[turn - reach : turn][::-1], shafts[turn + 1 : turn + 1 + reach])


def test_symmetrical_edges_are_found_where_brute_force_finds_them() -> None:
    for repeat in ([0, 1, 2, 3, 2, 1], [0, 1, 2, 3], [0, 0, 1, 2, 1]):
        for size in range(4, 30):
            _, alike = symmetrical(np.array(repeat), size)
            best = 0
            for offset in range(len(repeat)):
                web = [repeat[(offset + at) % len(repeat)] for at in range(size)]
                same = [web[at] == web[-1 - at] for at in range(size // 2)]
                best = max(best, same.index(False) if False in same else len(same))
            assert alike == best


def test_what_is_threaded_already_and_has_to_be_done_anew_is_counted() -> None:
    found = offered(cast.order(), cast.TWILL, -5, done=300)
    assert found["selvedge"].rethread == 0
    assert 0 < found["center"].rethread < 300


@pytest.mark.parametrize("difference", [0, 401, -401])
def test_a_difference_that_no_warp_has_is_refused(difference: int) -> None:
    with pytest.raises(BadInput):
        offered(cast.order(), POINT, difference)


def test_more_short_than_there_are_is_refused() -> None:
    with pytest.raises(BadInput):
        offered(cast.order(finished_width_mm=20.0), POINT, -300)


def test_a_choice_says_what_its_plan_warns_of_and_the_plan_before_did_not() -> None:
    order = cast.order()
    before = {each.code for each in planned(order, POINT).problems}
    told = 0
    for difference in (-5, 3, 120):
        for choice in offered(order, POINT, difference).values():
            if choice.order is None or choice.draft is None:
                assert choice.warnings == ()
                continue
            after = planned(choice.order, choice.draft).problems
            assert choice.warnings == tuple(each.message for each in after if each.code not in before)
            told += len(choice.warnings)
    assert told, "no case of this test warns"


def test_a_choice_keeps_reed_and_sley_and_the_sett_that_was_asked_for() -> None:
    plan = planned(cast.order(), POINT)
    for choice in offered(cast.order(), POINT, 4).values():
        if choice.order is not None:
            assert plan.sley is not None
            assert choice.order.reed == plan.sley.reed.key
            assert choice.order.sley == plan.sley.cycle
            assert choice.order.sett_per_cm == plan.asked_sett_per_cm


def test_the_draft_of_a_choice_keeps_the_colors_that_are_wound() -> None:
    before = planned(cast.order(warp_yarns=("fern", "chalk"), floating_selvedges=True), STRIPES)
    found = offered(cast.order(warp_yarns=("fern", "chalk"), floating_selvedges=True), STRIPES, 3)
    body = slice(1, before.web.ends - 1)
    wound = [STRIPES.palette[STRIPES.warp_colors[at % 4]] for at in range(before.web.ends - 2)]
    assert before.web.role[body].tolist() == [at % 4 // 2 for at in range(before.web.ends - 2)]
    for choice in found.values():
        if choice.draft is not None:
            colors = [choice.draft.palette[color] for color in choice.draft.warp_colors]
            assert colors[: len(wound)] == wound
            assert set(colors[len(wound) :]) == {wound[-1]}  # ends more are wound like the last


@pytest.mark.parametrize("difference", [-7, -3, -1, 1, 2, 5, 9])
def test_symmetrical_edges_are_offered_only_where_they_mirror_further_than_going_on(difference: int) -> None:
    def mirrored(shafts: list[int]) -> int:
        reach = min(64, len(shafts) // 2)
        same = [shafts[at] == shafts[-1 - at] for at in range(reach)]
        return same.index(False) if False in same else reach

    found = offered(cast.order(), POINT, difference)
    going_on = found["selvedge"]
    assert going_on.order is not None
    assert going_on.draft is not None
    usual = mirrored(planned(going_on.order, going_on.draft).web.shaft.tolist())
    size = planned(cast.order(), POINT).web.ends + difference
    best = symmetrical(np.array([0, 1, 2, 3, 2, 1]), size)[1]
    if "edges" in found:
        made = found["edges"]
        assert made.order is not None
        assert made.draft is not None
        assert mirrored(planned(made.order, made.draft).web.shaft.tolist()) == best > usual
    else:
        assert best <= usual


def test_the_draft_of_a_striped_warp_is_drawn_in_its_first_color() -> None:
    draft = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=[0, 1, 0, 1])
    order = cast.order(stripes=(Stripe("fern", 7), Stripe("chalk", 3)), stripes_mirrored=True)
    for choice in offered(order, draft, 3).values():
        if choice.draft is not None:
            assert set(choice.draft.warp_colors.tolist()) == {0}


@pytest.mark.parametrize("difference", [-1, 1, 3])
def test_a_tube_with_an_end_left_out_at_the_fold_is_planned_with_the_ends_there_are(difference: int) -> None:
    loaded = load(DEMO / "double-width" / "guild.toml")
    guild, drafts = loaded.guild, loaded.drafts
    made = plan_guild(guild, drafts).warps
    plan = next(each for each in made if each.order.fold_left_out)

    def again(order: WarpOrder, draft: Draft) -> WarpPlan:
        return plan_guild(replace(guild, warps=(order,)), {**drafts, order.draft: draft}).warps[0]

    shafts, role = plan.web.shaft, plan.web.role
    edge = plan.web.floating // 2
    inner = slice(edge, plan.web.ends - edge)
    stands = as_it_stands(plan, shafts[inner], role[inner], again, "drafts/off.wif")
    assert stands is not None
    assert stands.order is not None
    assert stands.draft is not None
    assert again(stands.order, stands.draft).web.ends == plan.web.ends
    found = choices(plan, difference, np.zeros(plan.web.ends, bool), again, "drafts/off.wif")
    assert "selvedge" in [each.kind for each in found]


def test_no_other_plan_is_offered_where_only_the_selvedges_are_doubled() -> None:
    order = cast.order(selvedge_ends=4, selvedge_ends_per_heddle=2)
    assert list(offered(order, cast.TWILL, 2)) == ["leave"]
    plan = planned(order, cast.TWILL)
    assert as_it_stands(plan, plan.web.shaft, plan.web.role, planned, "drafts/off.wif") is None
    alike = cast.order(selvedge_ends=4, ends_per_heddle=2)
    assert "selvedge" in offered(alike, cast.TWILL, 2)

"""A second warp: yarn of both adds up, each as long as its take-up asks, wound and beamed for itself."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date
from itertools import zip_longest

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready import guildfile
from loomready.loomside.steps import beaming, make_ready
from loomready.loomside.steps.winding import counting_spread, groups_told, signs, winding
from loomready.model.guild import Band, Item, Stripe, WarpOrder, WoundFrom
from loomready.problems import BadInput
from loomready.report.as_json import plan_as_json
from loomready.warp.plan import plan_guild, plan_once, plan_warp
from loomready.warp.result import WarpPlan
from loomready.warp.second import take_up_of
from loomready.warp.shelf import Shelf
from loomready.warp.work_done import differences
from tests.cast import CHALK, LOOM, cone, drafts, guild, order
from tests.guildfile.room import refusal

TWO_BEAMS = replace(LOOM, beams=2)


def striped(first: int = 6, second: int = 4, **more) -> WarpOrder:
    stripes = (Stripe("fern", first), Stripe("chalk", second))
    return order(stripes=stripes, weft_yarns=("fern",), **{"second_yarns": ("chalk",)} | more)


def planned(asked: WarpOrder, **more) -> WarpPlan:
    room = guild(asked, **{"looms": (TWO_BEAMS,)} | more)
    return plan_once(asked, room, drafts(), Shelf(room))[0]


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 30), st.integers(1, 30), st.floats(0.0, 5.0), st.integers(0, 4))
def test_yarn_ends_and_winding_of_both_warps_add_up(first, second, take_up, edge):
    plan = planned(striped(first, second, second_take_up=take_up, selvedge_ends=edge))
    two = plan.second
    ends = {need.yarn.key: need.warp_ends for need in plan.yarns}
    assert ends == {"fern": two.first_ends, "chalk": two.ends}
    assert sum(ends.values()) == plan.web.ends == sum(plan.heddles.needed)
    # By hand: 2 m finished, 8 % lost in length, 0.7 m of loom waste.
    assert two.length_m == pytest.approx(2.0 / 0.92 * (1 + take_up) + 0.7)
    warp_m = {need.yarn.key: need.warp_m for need in plan.yarns}
    assert warp_m["fern"] == pytest.approx(two.first_ends * plan.warp_length_m)
    assert warp_m["chalk"] == pytest.approx(two.ends * two.length_m)
    assert sum(warp_m.values()) == pytest.approx(plan.warp_m)
    turns = winding(plan)
    assert [turn.first for turn in turns[1:]] == [turn.last + 1 for turn in turns[:-1]]
    assert (turns[0].first, turns[-1].last) == (1, plan.web.ends)
    wound = Counter[str]()
    for sign in signs(plan):
        wound[sign.split()[0]] += 1
    assert wound == ends
    assert [sum(groups) for groups in groups_told(plan)] == [bout.ends for bout in plan.bouts]
    assert sum(bout.ends for bout in plan.bouts if bout.second) == two.ends
    assert sorted(plan.wound_order.tolist()) == list(range(plan.web.ends))


@settings(max_examples=20, deadline=None)
@given(st.integers(1, 30), st.integers(1, 30), st.floats(0.0, 0.4))
def test_with_equal_take_up_yarn_and_cones_are_those_of_one_warp(first, second, take_up):
    two = planned(striped(first, second, take_up=take_up, second_take_up=take_up))
    one = planned(striped(first, second, take_up=take_up, second_yarns=None))
    assert two.second.length_m == pytest.approx(two.warp_length_m)
    assert (two.web.shaft == one.web.shaft).all()
    assert two.heddles == one.heddles
    assert [(need.warp_ends, need.enough) for need in two.yarns] == [
        (need.warp_ends, need.enough) for need in one.yarns
    ]
    for new, old in zip(two.yarns, one.yarns, strict=True):
        assert new.warp_m == pytest.approx(old.warp_m)
        assert new.wanted_m == pytest.approx(old.wanted_m)
    assert two.warp_m == pytest.approx(one.warp_m)


@settings(max_examples=20, deadline=None)
@given(st.integers(1, 30), st.integers(1, 30))
def test_groups_of_both_warps_fill_each_space_of_the_raddle(first, second):
    plan = planned(striped(first, second, max_bout_ends=20_000))
    spread, whole = counting_spread(plan.raddle), groups_told(plan)
    assert len(whole) == 2
    both = [sum(pair) for pair in zip_longest(*whole, fillvalue=0)]
    cycle = [spread.cycle[at % len(spread.cycle)] for at in range(len(both))]
    assert both[:-1] == cycle[:-1]
    assert 0 < both[-1] <= cycle[-1]


@pytest.mark.parametrize(
    ("more", "take_up", "tension"),
    [
        ({}, 0.10, "firm"),
        ({"second_kind": "pile"}, 3.0, "light"),
        ({"second_kind": "seersucker"}, 0.25, "slack"),
        ({"second_kind": "pile", "second_take_up": 4.0, "second_tension": "firm"}, 4.0, "firm"),
        ({"second_cut_m": 0.42, "second_woven_m": 0.30}, 0.4, "firm"),
    ],
)
def test_take_up_and_tension_are_said_measured_or_usual(more, take_up, tension):
    asked = striped(**more)
    assert take_up_of(asked) == pytest.approx(take_up)
    assert planned(asked).second.tension == tension


def test_loops_of_a_pile_take_their_own_length_for_every_row():
    """Geometry: a row of loops over a rod, 8 mm of yarn up and down, every 4 mm of cloth adds 2 m a meter."""
    plan = planned(striped(second_take_up=2 * 0.008 / 0.004 / 2))
    rows = plan.lengths.woven_m / 0.004
    assert plan.second.lengths.cloth_m == pytest.approx(plan.lengths.woven_m + rows * 0.008)


def test_without_a_second_beam_the_plan_stops_and_offers_weighted_chains():
    asked = striped()
    room = guild(asked)
    plan, _ = plan_warp(asked, room, drafts(), Shelf(room))
    (problem,) = [each for each in plan.problems if each.code == "no-second-beam"]
    assert problem.level == "stop"
    assert [remedy.change for remedy in problem.remedies] == [{"second_weighted": True}]
    hung = planned(replace(asked, second_weighted=True), looms=(LOOM,))
    assert not hung.stopped
    assert not any(wind.second for wind in beaming.beaming(hung).winds)
    assert any("weights" in str(line) for line in make_ready.ready(hung, "beaming"))


def test_each_warp_is_beamed_for_itself():
    plan = planned(striped(second_take_up=3.0))
    winds = beaming.beaming(plan, 600.0).winds
    first = [wind for wind in winds if not wind.second]
    second = [wind for wind in winds if wind.second]
    assert first[-1].to_m == pytest.approx(plan.warp_length_m)
    assert second[-1].to_m == pytest.approx(plan.second.length_m)
    assert [wind.number for wind in winds] == list(range(1, len(winds) + 1))


def test_a_cone_that_is_enough_for_the_first_length_is_short_for_the_second():
    cones = (cone("fern-1"), cone("chalk-1", CHALK, meters=800.0))
    assert not planned(striped(second_take_up=0.1), cones=cones).stopped
    plan = planned(striped(second_take_up=4.0), cones=cones)
    assert [need.yarn.key for need in plan.yarns if not need.enough] == ["chalk"]


def test_a_warp_wound_shorter_than_its_pile_needs_is_a_stop():
    plan = planned(striped(second_take_up=3.0, second_wound_length_m=4.0))
    assert [each.code for each in plan.problems if each.level == "stop"] == ["wound-short"]


def test_a_second_warp_longer_than_the_loom_holds_is_a_stop_unless_it_hangs_in_weighted_chains():
    loom = replace(TWO_BEAMS, longest_warp_m=4.0)
    stops = [
        [each.code for each in plan.problems if each.level == "stop"]
        for plan in (
            planned(striped(second_take_up=1.0), looms=(loom,)),
            planned(striped(second_take_up=1.0, second_weighted=True), looms=(loom,)),
            planned(striped(second_take_up=0.1), looms=(loom,)),
        )
    ]
    assert stops == [["too-long"], [], []]


def test_cones_that_gave_the_ends_of_a_wound_warp_gave_each_its_own_length():
    asked = striped(second_take_up=3.0)
    ends = planned(asked).second
    wound = replace(
        asked,
        wound=date(2026, 5, 2),
        wound_from=(WoundFrom("fern-1", ends.first_ends), WoundFrom("chalk-1", ends.ends)),
    )
    cones = (
        cone("fern-1", weighed=date(2026, 5, 1)),
        cone("chalk-1", CHALK, weighed=date(2026, 5, 1)),
    )
    plan = planned(wound, cones=cones)
    uses = {use.cone: use.warp_m for need in plan.yarns for use in need.uses}
    assert uses["chalk-1"] == pytest.approx(ends.ends * plan.second.length_m)
    assert uses["fern-1"] == pytest.approx(ends.first_ends * plan.warp_length_m)


def test_another_length_of_the_second_warp_contradicts_one_that_is_wound():
    done, wanted = (planned(striped(second_take_up=share)) for share in (0.5, 0.6))
    assert [each.key for each in differences(done, wanted, {"winding"})] == ["second"]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"double_cloth": "tube"}, "double_cloth"),
        ({"ends_per_heddle": 2}, "ends_per_heddle"),
        ({"items": (Item(finished_length_m=2.0, painted=(Band(1.0, "weld"),)),)}, "painted"),
        ({"second_yarns": ("fern", "chalk")}, "every yarn"),
        ({"second_yarns": ("oak",)}, "is not in the warp"),
    ],
)
def test_what_is_not_planned_with_two_warps_is_refused_in_one_line(more, says):
    with pytest.raises(BadInput) as refused:
        planned(striped(**more))
    assert says in refused.value.line()
    assert "\n" not in refused.value.line()


def test_inkle_and_rigid_heddle_looms_have_one_warp():
    loom = replace(LOOM, kind="rigid heddle", shafts=3, heddles=(0, 0, 0), treadles=0, gauge_per_cm=4.0)
    with pytest.raises(BadInput, match="weaves with one warp"):
        planned(striped(), looms=(loom,))


def test_floating_selvedges_of_the_second_warp_are_a_stop_without_them_not():
    asked = order(
        stripes=(Stripe("chalk", 6), Stripe("fern", 4)),
        weft_yarns=("fern",),
        second_yarns=("chalk",),
        floating_selvedges=True,
    )
    room = guild(asked, looms=(TWO_BEAMS,))
    plan, _ = plan_warp(asked, room, drafts(), Shelf(room))
    (problem,) = [each for each in plan.problems if each.code == "second-warp-edge"]
    assert [remedy.change for remedy in problem.remedies] == [{"floating_selvedges": False}]


def test_json_tells_the_warp_of_each_bout_and_of_each_end():
    asked = striped(second_take_up=1.0)
    plan = planned(asked)
    told = plan_as_json(plan_guild(guild(asked, looms=(TWO_BEAMS,)), drafts()))["warps"][0]
    assert sum(ends for warp, ends in told["second_warp"]["of_end"] if warp == 2) == plan.second.ends
    assert {bout["warp"] for bout in told["bouts"]} == {1, 2}
    assert next(bout["first_end"] for bout in told["bouts"] if bout["warp"] == 2) == 1


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ({"second_take_up": "30 %"}, "second_yarns"),
        ({"second_yarns": ["chalk"], "second_cut": "30 cm"}, "second_woven"),
        ({"second_yarns": ["chalk"], "second_cut": "20 cm", "second_woven": "30 cm"}, "shorter"),
        (
            {
                "second_yarns": ["chalk"],
                "second_cut": "40 cm",
                "second_woven": "30 cm",
                "second_take_up": "3 %",
            },
            "second_take_up",
        ),
    ],
)
def test_keys_of_a_second_warp_are_checked_together(keys, says):
    room = guild(striped(second_yarns=None), looms=(TWO_BEAMS,))
    table = guildfile.encode(room)
    table["warps"][0] |= keys
    assert says in refusal(guildfile.decode, table)

"""Ends that work as one: yarn counts every end, heddles and sett working ends; weft of several strands."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.loomside.steps.doubled_told import threading_told, winding_told
from loomready.loomside.steps.winding import winding
from loomready.model.guild import Item, WarpOrder
from loomready.report.as_json import plan_as_json
from loomready.warp.plan import plan_guild, plan_once, weft_of_picks
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from loomready.warp.work_done import differences
from tests.cast import CHALK, cone, drafts, guild, order


def planned(asked: WarpOrder, **more) -> WarpPlan:
    room = guild(asked, **more)
    return plan_once(asked, room, drafts(), Shelf(room))[0]


@settings(max_examples=40)
@given(st.integers(1, 4), st.integers(1, 4), st.integers(1, 6), st.booleans())
def test_yarn_counts_every_end_and_heddles_count_working_ends(each, own, selvedge, floating):
    asked = order(
        ends_per_heddle=each,
        selvedge_ends=selvedge,
        selvedge_ends_per_heddle=own,
        floating_selvedges=floating,
        finished_width_mm=200.0,
    )
    plan = planned(asked)
    edges = 2 * (selvedge + floating)
    wanted = each * (plan.web.ends - edges) + own * edges
    (warp,) = [need for need in plan.yarns if need.warp_ends]
    assert warp.warp_ends == plan.web.every_end == wanted
    assert warp.warp_m == pytest.approx(wanted * plan.warp_length_m)
    assert sum(plan.heddles.needed) == plan.web.ends - 2 * floating
    single = planned(replace(asked, ends_per_heddle=1, selvedge_ends_per_heddle=None))
    assert (plan.web.ends, plan.width_in_reed_mm) == (single.web.ends, single.width_in_reed_mm)
    assert sum(bout.every_end for bout in plan.bouts) == wanted
    assert sum(bout.ends for bout in plan.bouts) == plan.web.ends
    assert sum(count for bout in plan.bouts for _, count in bout.cones) == min(
        wanted, sum(use.ends for use in warp.uses)
    )
    turns = winding(plan)
    assert sum(turn.every for turn in turns) == wanted


def test_a_cone_that_lasts_for_single_ends_is_short_for_doubled_ones():
    single, double = (
        plan_guild(
            guild(
                order(ends_per_heddle=count), cones=(cone("fern-1", meters=2000.0), cone("chalk-1", CHALK))
            ),
            drafts(),
        ).warps[0]
        for count in (1, 2)
    )
    assert "yarn-short" not in [problem.code for problem in single.problems]
    assert "yarn-short" in [problem.code for problem in double.problems]


def test_doubled_weft_takes_twice_the_yarn_and_hems_have_strands_of_their_own():
    item = Item(1.0, hem_m=0.05)
    single = planned(order(items=(item,)))
    double = planned(order(items=(item,), weft_strands=2))
    weft = {need.yarn.key: need.weft_m for need in double.yarns}["chalk"]
    assert weft == pytest.approx(2 * {need.yarn.key: need.weft_m for need in single.yarns}["chalk"])
    assert double.picks == single.picks
    hems = planned(order(items=(replace(item, hem_weft_strands=1),), weft_strands=2))
    body, hem = hems.wefts
    assert (body.strands, hem.strands) == (2, 1)
    own = planned(order(items=(replace(item, weft_strands=3), item)))
    assert [weft.strands for weft in own.wefts] == [3, 1]


def test_weft_of_the_first_picks_counts_every_strand():
    asked = order(items=(Item(0.5, hem_m=0.05, hem_weft_strands=1),), weft_strands=2)
    plan = planned(asked)
    hem, body = (section.picks for section in plan.pieces[0].sections[:2])
    each_m = plan.width_in_reed_mm / 1000 * 1.05
    found = weft_of_picks(asked, drafts(), plan.width_in_reed_mm, hem + 10)
    assert found["chalk"] == pytest.approx((hem + 2 * 10) * each_m)
    whole = weft_of_picks(asked, drafts(), plan.width_in_reed_mm, plan.picks)["chalk"]
    assert whole == pytest.approx({need.yarn.key: need.weft_m for need in plan.yarns}["chalk"])
    assert body > 10


def test_a_working_end_is_as_thick_as_its_ends_together():
    # Yarns run together have the resultant count 1 / sum of 1 / N (Taylor, Cotton Weaving and Designing, p.
    # 239; tests/published): two ends are as thick as one of half the count.
    thick = tuple(replace(yarn, tex=2 * yarn.tex) for yarn in guild().yarns)
    asked = order(sett_per_cm=None, firmness=0.8)
    double = planned(replace(asked, ends_per_heddle=2, weft_strands=2))
    as_thick = planned(asked, yarns=thick)
    assert double.sett_advice.greatest_per_cm == pytest.approx(as_thick.sett_advice.greatest_per_cm)
    single = planned(asked)
    assert double.sett_advice.greatest_per_cm == pytest.approx(
        single.sett_advice.greatest_per_cm / math.sqrt(2)
    )
    assert double.sett_advice.cover == pytest.approx(
        single.sett_advice.cover * double.asked_sett_per_cm / single.asked_sett_per_cm * math.sqrt(2)
    )


def test_bouts_of_doubled_ends_have_half_as_many_working_ends():
    plan = planned(order(ends_per_heddle=2, max_bout_ends=120))
    assert max(bout.ends for bout in plan.bouts) <= 60
    assert max(bout.every_end for bout in plan.bouts) <= 120


def test_json_counts_working_ends_and_ends_of_yarn():
    made = plan_guild(guild(order(ends_per_heddle=2, weft_strands=2)), drafts())
    (told,) = plan_as_json(made)["warps"]
    assert told["ends_of_yarn"] == 2 * told["ends"] == told["yarns"][0]["warp_ends"]
    assert told["pieces"][0]["sections"][0]["weft_strands"] == 2
    assert "ends_of_yarn" not in plan_as_json(plan_guild(guild(), drafts()))["warps"][0]


def test_winding_and_threading_say_which_ends_are_doubled():
    every = planned(order(ends_per_heddle=2))
    assert winding_told(every)[0].startswith("Wind 2 ends as one")
    assert threading_told(every) == [
        "Thread 2 ends of yarn in each heddle: together they are one working end."
    ]
    edges = planned(order(selvedge_ends=4, selvedge_ends_per_heddle=2, floating_selvedges=True))
    last = edges.web.ends
    assert threading_told(edges) == [
        f"Ends 1–5 and {last - 4}–{last}, the selvedges: 2 ends of yarn in each heddle."
    ]
    assert winding_told(planned(order())) == threading_told(planned(order())) == []


def test_ends_doubled_after_winding_differ_from_what_was_wound():
    done, wanted = planned(order()), planned(order(ends_per_heddle=2))
    found = differences(done, wanted, {"winding"})
    ends = done.web.ends
    assert [(each.key, each.done, each.wanted) for each in found if each.key == "ends"] == [
        ("ends", f"{ends}", f"{ends} ({2 * ends} of yarn)")
    ]

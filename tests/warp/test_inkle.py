"""Bands on an inkle loom: heddled and open ends in turn, no reed, wound on the loom itself."""

from __future__ import annotations

from dataclasses import replace

import pytest

from loomready import guildfile
from loomready.choose.size.size import fit
from loomready.draft.draft import Draft, lift_plan
from loomready.loomside.steps.make_ready import ready
from loomready.loomside.steps.tying_in import left_out
from loomready.loomside.steps.winding import winding
from loomready.model.dressing_order import jobs_in_order
from loomready.model.guild import Loom, Stripe
from loomready.packet.card import card
from loomready.packet.data import packet_data
from loomready.problems import BadInput
from loomready.report.as_json import warp_as_json
from loomready.warp.figures import figures
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.rigid import lines, through
from loomready.warp.shelf import Shelf
from loomready.warp.work_done import differences
from tests.cast import CHALK, PLAIN, TWILL, cone, drafts, guild, order
from tests.guildfile.room import refusal, tree

INKLE = Loom("elm", "Elm", "inkle", 1, 120.0, (80,), 0.4, longest_warp_m=3.0)
CONES = (cone("fern-1"), cone("chalk-1", CHALK))


def asked(**more):
    usual = {"loom": "elm", "sett_per_cm": 17.0, "finished_width_mm": 24.0, "draw_in": 0.0}
    return order(**(usual | more))


def planned(draft: Draft = PLAIN, loom: Loom = INKLE, **more) -> WarpPlan:
    wanted = asked(**more)
    room = guild(wanted, looms=(loom,), cones=CONES)
    return plan_once(wanted, room, drafts(draft), Shelf(room))[0]


def codes(plan: WarpPlan) -> set[str]:
    return {problem.code for problem in plan.problems}


def test_every_other_end_is_heddled_and_the_open_ends_make_both_sheds():
    plan = planned()
    assert plan.problems == ()
    way = through(plan)
    assert way is not None
    assert way.names() == {1: "heddle", 2: "open"}
    assert [way.moves(frozenset(up)) for up in ({1}, {2}, set())] == [
        "open ends down",
        "open ends up",
        "no shed",
    ]
    heddled = plan.heddles.needed[0]
    assert f"{heddled} in string heddles, {plan.web.ends - heddled} open" in lines(plan)[0]


def test_every_heddled_end_takes_a_string_heddle_and_the_plan_says_how_many_to_tie():
    plan = planned(max_bout_ends=10)
    heddled = plan.heddles.needed[0]
    told = warp_as_json(plan)
    assert told["bouts"] == []
    assert told["band"]["string_heddles"] == {"needed": heddled, "there": 80, "to_tie": 0}
    assert sum(count for _, count in told["band"]["colors"]) == plan.web.ends
    assert next(each.value for each in figures(plan) if each.key == "string_heddles") == f"{heddled}"
    assert packet_data(plan)["inkle"]["heddles"] == f"{heddled}"
    assert {"label": "String heddles", "value": f"{heddled}"} in card(plan)["figures"]
    assert "the loom has 80" in lines(plan)[1]

    few = planned(loom=replace(INKLE, heddles=(9,)))
    assert f"Tie {heddled - 9} more: the loom has 9" in lines(few)[1]
    (problem,) = few.problems
    assert (problem.code, problem.level) == ("string-heddles-short", "warn")


def test_the_sett_is_the_one_asked_for_and_no_reed_is_looked_for():
    plan = planned()
    assert plan.sley is None
    assert plan.sett_per_cm == 17.0
    assert plan.raddle == ()
    assert not codes(plan) & {"too-narrow-reed", "no-sley", "too-close"}
    with pytest.raises(BadInput, match="an inkle loom has no reed"):
        planned(reed="forty")


def test_two_heddled_ends_side_by_side_stop_the_plan():
    plan = planned(lift_plan([1, 1, 2, 2], [[1], [2]]))
    (problem,) = [each for each in plan.problems if each.code == "holes-in-turn"]
    assert problem.level == "stop"
    assert problem.message.startswith("Heddled and open ends come in turn, but ends 1 and 2")
    assert "too-many-shafts" in codes(planned(TWILL))


def test_a_warp_longer_than_the_way_over_its_pegs_stops_the_plan_and_shorter_pieces_clear_it():
    wanted = asked()
    short = replace(INKLE, longest_warp_m=2.0)
    (plan,) = plan_guild(guild(wanted, looms=(short,), cones=CONES), drafts(PLAIN)).warps
    problem = next(each for each in plan.problems if each.code == "too-long")
    assert problem.level == "stop"
    assert any("items" in remedy.change for remedy in problem.remedies)
    assert "too-long" not in codes(planned(loom=replace(INKLE, longest_warp_m=None)))


def test_a_band_is_wound_on_its_loom_and_then_woven():
    plan = planned(stripes=(Stripe("fern", 9), Stripe("chalk", 2)))
    assert jobs_in_order("back to front", left_out(plan)) == ("winding", "weaving")
    turns = winding(plan)
    assert [end for turn in turns for end in range(turn.first, turn.last + 1)] == list(
        range(1, plan.web.ends + 1)
    )
    assert all(len(turn.runs) <= 4 and not turn.tie for turn in turns)
    assert "Heddled and open ends" in ready(plan, "winding")[0]
    wider = planned(stripes=(Stripe("fern", 9), Stripe("chalk", 2)), finished_width_mm=30.0)
    assert "ends" in {each.key for each in differences(plan, wider, ["winding"])}


def test_the_sheet_names_each_stripe_and_whether_it_begins_heddled():
    plan = planned(stripes=(Stripe("fern", 9), Stripe("chalk", 2)))
    sheet = packet_data(plan)["inkle"]
    assert [(row["ends"], row["first"]) for row in sheet["rows"][:3]] == [
        ("1–9", "heddled"),
        ("10–11", "open"),
        ("12–20", "open"),
    ]
    assert packet_data(planned())["left_out"] == ["threading", "dressing"]
    assert packet_data(planned())["test_weave"] is None


def test_an_inkle_loom_is_read_and_written_back():
    made = guildfile.decode(guildfile.encode(guild(asked(), looms=(INKLE,))))
    assert made.looms[0].longest_warp_m == pytest.approx(3.0)
    assert made.looms[0].kind == "inkle"
    assert "has one row of heddles" in refusal(
        guildfile.decode, tree(looms_1_kind="inkle", looms_1_treadles=0)
    )


def test_sizes_of_bands_end_with_the_way_over_the_pegs():
    room = guild(asked(), looms=(INKLE,), cones=CONES)
    found = fit(room, drafts(PLAIN), "test")
    assert found.sizes
    assert all(size.warp_length_m <= 3.0 for size in found.sizes)
    assert {size.longer.bound for size in found.sizes} == {"loom"}


def test_a_band_has_no_floating_selvedges():
    with pytest.raises(BadInput, match="heddled and open ends only") as told:
        planned(floating_selvedges=True)
    assert told.value.where == "floating_selvedges"

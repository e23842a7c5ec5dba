"""Warps wound in sections: the ends of each, the turns of the beam, and what stands on the rack."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.choose.size.size import fit
from loomready.draft.draft import lift_plan
from loomready.loomside.steps import sectional
from loomready.loomside.steps.tying_in import left_out
from loomready.loomside.steps.winding import winding
from loomready.model.guild import Stripe
from loomready.problems import BadInput
from loomready.report.as_json import warp_as_json
from loomready.report.plan_text import tell_plan
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.sections import on_rack, sections_on
from loomready.warp.shelf import Shelf
from loomready.warp.work_done import differences
from tests.cast import CHALK, LOOM, cone, drafts, guild, order

TWO_LAYERS = lift_plan([1, 2, 3, 4], [[1], [1, 2, 3], [1, 3, 4], [3]], title="Double width")
BEAM = replace(LOOM, section_mm=50.0, beam_around_mm=700.0)
CONES = (cone("fern-1"), cone("chalk-1", CHALK))


def planned(loom=BEAM, cones=CONES, rack=None, **more) -> WarpPlan:
    asked = order(**{"sectional": True, **more})
    room = guild(asked, looms=(loom,), cones=cones, rack=rack)
    return plan_once(asked, room, drafts(), Shelf(room))[0]


def codes(plan: WarpPlan) -> set[str]:
    return {problem.code for problem in plan.problems}


@given(st.integers(60, 800), st.floats(10, 120), st.floats(3, 14))
def test_sections_hold_every_end_once_and_as_many_as_their_width_times_the_sett(width, section, sett):
    loom = replace(BEAM, section_mm=section)
    plan = planned(loom, finished_width_mm=float(width), sett_per_cm=sett)
    found = plan.sections
    assert found is not None
    assert sum(found.ends) == plan.web.ends
    mean = plan.sett_per_cm * section / 10
    for ends in found.ends[:-1]:
        assert abs(ends - mean) <= 1 or ends == 1
    assert [bout.ends for bout in plan.bouts] == list(found.ends)
    assert [(turn.first, turn.last) for turn in winding(plan)] == [
        (bout.first_end, bout.last_end) for bout in plan.bouts
    ]


@given(st.floats(3, 14), st.floats(20, 60), st.sampled_from(["double width", "tube"]))
def test_sections_of_cloth_in_two_layers_hold_as_many_ends_of_each(sett, section, way):
    asked = order(sectional=True, layers=2, double_cloth=way, sett_per_cm=sett, finished_width_mm=400.0)
    room = guild(asked, looms=(replace(BEAM, section_mm=section),), cones=CONES)
    (plan,) = plan_guild(room, drafts(TWO_LAYERS)).warps
    found = plan.sections
    assert found is not None
    assert sum(found.ends) == plan.web.ends
    mean = plan.sett_per_cm * section / 10
    layer = plan.web.shaft % 2
    for start, stop in itertools.pairwise(found.places[:-1]):
        assert (layer[start:stop] == 0).sum() == (layer[start:stop] == 1).sum()
        assert abs(stop - start - mean) <= 2
    told = tell_plan(plan_guild(room, drafts(TWO_LAYERS)))
    assert "sections of" in told or "section of" in told
    assert "Bout 1" not in told


def test_a_fold_with_a_sley_of_its_own_is_refused_in_sections():
    with pytest.raises(BadInput, match="a fold with a sley of its own is not planned in sections"):
        planned(layers=2, double_cloth="double width", fold_sley=(1,), reed="forty")


def test_the_warp_lies_in_the_middle_of_the_beam():
    plan = planned(replace(BEAM, sections=20), finished_width_mm=150.0)
    assert plan.sections is not None
    used = len(plan.sections.ends)
    before, after = plan.sections.first - 1, 20 - used - (plan.sections.first - 1)
    assert abs(before - after) <= 1


def test_a_beam_without_a_count_has_the_sections_that_its_weaving_width_holds():
    assert sections_on(replace(BEAM, weaving_width_mm=949.0)) == 18
    assert sections_on(LOOM) == 0


@given(st.lists(st.integers(0, 12), min_size=1, max_size=12).filter(any), st.floats(0.5, 40))
def test_the_places_on_the_rack_feed_just_the_ends_that_there_are(in_section, length_m):
    found = on_rack("fern", in_section, length_m, (), ())
    assert len(found.places_m) == max(in_section)
    assert math.isclose(sum(found.places_m), sum(in_section) * length_m)
    assert list(found.places_m) == sorted(found.places_m, reverse=True)
    # By the definition: place n is used in a section if it has n ends or more.
    for place, length in enumerate(found.places_m, 1):
        assert math.isclose(length, length_m * len([one for one in in_section if one >= place]))


def test_cones_go_straight_on_the_rack_where_there_are_enough_of_them():
    many = tuple(cone(f"fern-{number}", meters=60.0) for number in range(1, 46))
    plan = planned(cones=(*many, cone("chalk-1", CHALK)), finished_width_mm=400.0)
    (fern,) = sectional.rack(plan)
    assert not fern.spools
    assert "straight from the cones" in sectional.told_yarn(plan, fern)
    fewer = planned(finished_width_mm=400.0)
    (fern,) = sectional.rack(fewer)
    assert fern.spools
    assert "wind spools" in sectional.told_yarn(fewer, fern)


def test_each_place_of_a_striped_section_is_of_its_yarn():
    plan = planned(stripes=(Stripe("fern", 30), Stripe("chalk", 10)), sett_per_cm=8.0)
    assert {each.yarn: len(each.places_m) for each in sectional.rack(plan)} == {"fern": 30, "chalk": 10}
    assert plan.sections is not None
    assert plan.sections.at_once == 40


def turns_of_a_spiral(length_mm: float, around_mm: float, layer_mm: float) -> float:
    """Turns of an Archimedean spiral r = r0 + layer x turns, its length summed over small steps of angle."""
    radius, turned, wound, step = around_mm / (2 * math.pi), 0.0, 0.0, 1e-4
    while wound < length_mm:
        here = radius + layer_mm * turned
        wound += math.hypot(2 * math.pi * here * step, layer_mm * step)
        turned += step
    return turned


@pytest.mark.parametrize("around_mm", [400.0, 700.0])
def test_turns_are_those_of_a_spiral_of_layers(around_mm):
    plan = planned(replace(BEAM, beam_around_mm=around_mm))
    found = sectional.turned(plan)
    assert found is not None
    layer = (found.full_mm - around_mm) / (2 * math.pi * found.turns)
    spiral = turns_of_a_spiral(plan.warp_length_m * 1000, around_mm, layer)
    assert found.turns == pytest.approx(spiral, rel=0.002)


def test_without_a_measured_beam_the_length_is_given_in_place_of_turns():
    plan = planned(replace(BEAM, beam_around_mm=None))
    assert sectional.turned(plan) is None
    assert "measure around the bare beam" in sectional.told_turns(plan)
    assert warp_as_json(plan)["sections"]["turns"] is None


def test_a_rack_that_is_too_small_stops_the_plan_and_chains_clear_it():
    asked = order(sectional=True)
    room = guild(asked, looms=(BEAM,), rack=30)
    (plan,) = plan_guild(room, drafts()).warps
    problem = next(each for each in plan.problems if each.code == "rack-short")
    assert problem.level == "stop"
    assert [remedy.change for remedy in problem.remedies] == [{"sectional": False}]
    assert "rack-short" not in codes(planned(rack=40))


def test_more_sections_than_the_beam_has_stop_the_plan():
    assert "sections-short" in codes(planned(replace(BEAM, sections=5)))
    assert "sections-short" not in codes(planned(replace(BEAM, sections=10)))


def test_a_plain_beam_takes_no_sections():
    with pytest.raises(BadInput, match="no sectional beam"):
        planned(LOOM)


@pytest.mark.parametrize(
    "more", [{"ends_per_heddle": 2}, {"selvedge_ends": 4, "selvedge_ends_per_heddle": 2}]
)
def test_doubled_ends_are_refused_in_sections(more):
    # Each working end would take several places on the rack.
    with pytest.raises(BadInput, match="doubled ends are not planned in sections"):
        planned(**more)


def test_crammed_and_spaced_stripes_are_refused_in_sections():
    # Their ends would not run straight from a section to their dents.
    stripes = (Stripe("fern", 20), Stripe("fern", 8, sley=(4,)))
    with pytest.raises(BadInput, match="not planned in sections"):
        planned(warp_yarns=("fern",), stripes=stripes, reed="forty")


def test_it_is_on_its_beam_once_it_is_wound():
    plan = planned()
    assert left_out(plan) == {"beaming", "tying-in"}
    assert plan.dressing == "back to front"
    asked = order(sectional=True, loom="beech")
    room = guild(asked, looms=(replace(BEAM, key="beech", name="Beech"),))
    other = plan_once(asked, room, drafts(), Shelf(room))[0]
    assert "loom" in {each.key for each in differences(plan, other, ["winding"])}


def test_the_plan_in_text_folds_sections_that_are_alike():
    asked = order(sectional=True)
    text = tell_plan(plan_guild(guild(asked, looms=(BEAM,)), drafts()))
    assert "10 sections of 5 cm, with 40 ends in each, 12 in the last" in text
    assert "Sections 5-13: ends 1-360: 40 fern in each" in text
    assert "Section 14: ends 361-372: 12 fern" in text
    assert "Bout" not in text


def test_sizes_end_with_the_sections_of_the_beam():
    asked = order(sectional=True)
    narrow = replace(BEAM, sections=8)
    found = fit(guild(asked, looms=(narrow,)), drafts(), "test")
    widest = found.sizes[-1]
    assert widest.ends <= 8 * 40 + 2
    assert widest.wider.bound == "loom"
    assert not plan_once(found.order_of(widest), found.guild, drafts(), Shelf(found.guild))[0].stopped

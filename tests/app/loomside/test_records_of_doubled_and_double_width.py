"""Records of doubled warps and of cloth that opens to double width teach what happened."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.app.loomside.project_record import checked, context_of, result_of
from loomready.loomside.learning.finished_warps import believable, measured
from loomready.model.guild import Item
from loomready.packet.record import record
from loomready.packet.words import Letters
from loomready.units import Shown
from loomready.warp.plan import plan_once
from loomready.warp.shelf import Shelf
from tests.cast import drafts, guild, order


def context(**more):
    asked = order(**more)
    room = guild(asked)
    return context_of(plan_once(asked, room, drafts(), Shelf(room))[0])


def recorded(plan, **fields):
    kept = checked("w", {"plan": plan, **fields})
    return result_of("w", kept)


@given(st.sampled_from([1, 2]), st.integers(0, 30))
def test_cloth_washed_as_planned_teaches_the_planned_shrinkage_folded_or_not(opens_to, percent):
    fell_mm = 400.0
    washed_mm = fell_mm * opens_to * (1 - percent / 100)
    plan = context() | {"opens_to": opens_to}
    made = recorded(plan, fell_width=f"{fell_mm} mm", washed_width=f"{washed_mm} mm")
    learned = measured(made)["shrink_width"][0]
    assert learned == pytest.approx(percent / 100, abs=1e-6)
    assert believable("shrink_width", learned, made)


def test_rates_of_a_doubled_warp_count_working_ends_but_winding_counts_yarn():
    plan = context(ends_per_heddle=2)
    ends = sum(plan["warp_ends"].values())
    hours = {"winding": "2", "sleying": "2", "threading": "2", "beaming": "2"}
    rates = measured(recorded(plan, hours=hours))
    assert rates["rate winding"][0] == pytest.approx(ends / 2)
    for step in ("sleying", "threading", "beaming"):
        assert rates[f"rate {step}"][0] == pytest.approx(plan["working_ends"] / 2)
    assert ends == 2 * plan["working_ends"]


def test_a_record_of_an_earlier_version_counts_ends_of_yarn_and_cloth_as_woven():
    plan = context(ends_per_heddle=2)
    old = {name: value for name, value in plan.items() if name not in ("opens_to", "working_ends")}
    made = recorded(old, hours={"sleying": "1"}, fell_width="400 mm", washed_width="360 mm")
    assert measured(made)["rate sleying"][0] == sum(plan["warp_ends"].values())
    assert measured(made)["shrink_width"][0] == pytest.approx(0.1)
    assert replace(made, opens_to=1, working_ends=None) == made


@given(st.booleans(), st.integers(0, 20), st.integers(0, 12), st.integers(0, 10))
def test_a_warp_that_went_as_planned_teaches_the_planned_take_up_and_waste(in_waste, fringe, take_up, sample):
    asked = order(
        items=(Item(1.0, fringe_m=fringe / 100), Item(0.5, fringe_m=0.08)),
        fringe_in_waste=in_waste,
        take_up=take_up / 100,
        sample_m=sample / 100,
    )
    room = guild(asked)
    plan = plan_once(asked, room, drafts(), Shelf(room))[0]
    made = replace(
        result_of("w", checked("w", {"plan": context_of(plan)})),
        warp_length_m=plan.lengths.needed_m,
        waste_m=plan.lengths.waste_m - plan.lengths.fringe_in_waste_m,
        off_length_m=plan.lengths.woven_m + asked.sample_m,
    )
    learned = measured(made)
    assert learned["take_up"][0] == pytest.approx(asked.take_up, abs=1e-9)
    assert learned["waste"][0] == pytest.approx(plan.loom.waste_m)


def test_the_record_sheet_plans_what_is_left_over_without_the_fringe_in_the_waste():
    asked = order(items=(Item(1.0, fringe_m=0.1),), fringe_in_waste=True)
    room = guild(asked)
    plan = plan_once(asked, room, drafts(), Shelf(room))[0]
    planned = {str(line["what"]): line["planned"] for line in record(plan, Letters.of(plan))["lines"]}
    left = plan.loom.waste_m - plan.lengths.fringe_in_waste_m
    assert plan.lengths.fringe_in_waste_m > 0
    assert planned["Warp left over at the end"] == Shown(room.units).length(left)

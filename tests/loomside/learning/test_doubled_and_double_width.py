"""Records of doubled warps and of cloth that opens to double width teach what happened."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.app.loomside.project_record import checked, context_of, result_of
from loomready.loomside.learning.finished_warps import believable, measured
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

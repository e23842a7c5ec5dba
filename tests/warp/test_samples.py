"""A sample in parts: several wefts, drafts or picks one after another, each counted on its own."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Draft, lift_plan
from loomready.loomside.steps.piece_steps import pieces_told
from loomready.loomside.steps.weaving import weaving
from loomready.model.guild import Item, Sample, WarpOrder
from loomready.problems import BadInput
from loomready.report.as_json import plan_as_json
from loomready.warp.other_yarns import with_weft
from loomready.warp.plan import plan_guild, plan_once, weft_of_picks
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from tests.cast import TWILL, guild, order

TABBY = lift_plan([1, 2, 3, 4], [[1, 3], [2, 4]], title="Tabby")
TWO = lift_plan([1, 2, 3, 4], [[1, 3], [2, 4]], weft_colors=[0, 1], palette=((0, 0, 0), (9, 9, 9)))
DRAFTS: dict[str, Draft] = {"d": TWILL, "tabby": TABBY, "two": TWO}
PARTS = (
    Sample(0.1),
    Sample(0.1, weft_yarns=("fern",)),
    Sample(0.05, weft_yarns=("fern",), draft="tabby", picks_per_cm=6.0, weft_strands=2),
)


def planned(asked: WarpOrder) -> WarpPlan:
    room = guild(asked)
    return plan_once(asked, room, DRAFTS, Shelf(room))[0]


def test_each_part_has_its_own_weft_draft_picks_and_strands():
    plan = planned(order(samples=PARTS))
    sample = plan.pieces[0]
    assert [(each.part, each.number, each.picks) for each in sample.sections] == [
        ("sample", 1, 80),
        ("sample", 2, 80),
        ("sample", 3, 30),
    ]
    assert plan.order.sample_m == pytest.approx(0.25)
    assert plan.lengths.sample_m == pytest.approx(0.25 * 1.1)
    assert plan.picks == 190 + plan.pieces[1].picks
    each_m = plan.width_in_reed_mm / 1000 * 1.05
    weft = {need.yarn.key: need.weft_m for need in plan.yarns}
    assert weft["fern"] == pytest.approx((80 + 2 * 30) * each_m)
    assert weft["chalk"] == pytest.approx((80 + plan.pieces[1].picks) * each_m)
    assert [weft.label for weft in plan.wefts] == ["sample 1; piece 1", "sample 2", "sample 3"]


@settings(max_examples=30)
@given(
    st.lists(
        st.builds(
            Sample,
            st.sampled_from([0.04, 0.1, 0.13]),
            st.sampled_from([None, ("fern",), ("chalk",)]),
            st.sampled_from([None, "tabby"]),
            st.sampled_from([None, 5.0, 8.0]),
            st.sampled_from([None, 1, 2]),
        ),
        min_size=1,
        max_size=5,
    ).map(tuple)
)
def test_weft_of_all_picks_is_that_of_the_plan_and_every_pick_is_woven_once(samples):
    asked = order(samples=samples, items=(Item(0.3, count=2),))
    plan = planned(asked)
    assert [each.picks for each in plan.pieces[0].sections] == [
        -(-round(each.length_m * 100 * (each.picks_per_cm or 8.0) * 1000) // 1000) for each in samples
    ]
    woven = weft_of_picks(asked, DRAFTS, plan.width_in_reed_mm, plan.picks)
    told = {need.yarn.key: need.weft_m for need in plan.yarns if need.weft_m}
    assert {key: meters for key, meters in woven.items() if meters} == pytest.approx(told)
    stretches = weaving(plan).stretches
    assert [each.first for each in stretches] == [1, *(each.last + 1 for each in stretches[:-1])]
    assert stretches[-1].last == plan.picks


def test_a_sample_in_parts_is_as_one_sample_where_all_parts_are_alike():
    parts = planned(order(samples=(Sample(0.1), Sample(0.1))))
    one = planned(order(sample_m=0.2))
    assert parts.picks == one.picks
    assert parts.warp_length_m == pytest.approx(one.warp_length_m)
    assert len(parts.wefts) == len(one.wefts) == 1


def test_parts_are_told_with_their_weft_and_in_json():
    asked = order(samples=PARTS)
    lines = [step.line for step in pieces_told(planned(asked))[0].steps]
    assert "weft Chalk" in lines[0]
    assert "weft Fern green" in lines[1]
    assert "2 strands of weft together in each pick, in Tabby" in lines[2]
    (told,) = plan_as_json(plan_guild(guild(asked), DRAFTS))["warps"]
    sections = told["pieces"][0]["sections"]
    assert [(each["draft"], each["picks"]) for each in sections] == [("d", 80), ("d", 80), ("tabby", 30)]
    assert [each["part"] for each in sections] == ["sample"] * 3
    assert len(told["treadles"]["items"]) == 1


@pytest.mark.parametrize(
    ("sample", "where"),
    [
        (Sample(0.1, draft="two"), ("samples", 2, "weft_yarns")),
        (Sample(0.1, weft_yarns=("fern", "chalk")), ("samples", 2, "weft_yarns")),
        (Sample(0.1, draft="other"), ("samples", 2, "draft")),
    ],
)
def test_a_part_that_does_not_fit_its_draft_is_refused_where_it_stands(sample, where):
    asked = order(samples=(Sample(0.1), sample))
    room = guild(asked)
    other = {"other": lift_plan([1, 2], [[1], [2]])}
    with pytest.raises(BadInput) as refused:
        plan_once(asked, room, DRAFTS | other, Shelf(room))
    assert tuple(refused.value.path) == where


def test_yarns_and_drafts_of_parts_are_those_of_the_warp_too():
    asked = order(samples=PARTS)
    assert asked.drafts == ("d", "tabby")
    assert asked.all_weft_yarns == ("chalk", "fern")
    swapped = with_weft(asked, {"fern": "chalk"})
    assert swapped.all_weft_yarns == ("chalk",)
    assert replace(asked, samples=()).sample_m == pytest.approx(0.25)

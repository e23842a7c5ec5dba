"""Stripes at the loom: which yarn each end and pick takes, where the weft changes, and how much is left."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.loomside.log.warp_left import figures, reach
from loomready.loomside.steps import threading, weaving, winding
from loomready.loomside.steps.piece_steps import pieces_told, repeat_of
from loomready.loomside.steps.stripes_told import changes, warp_told
from loomready.model.guild import Item, Stripe, WeftStripe
from loomready.packet.options import Options
from loomready.packet.packet import packet_pdf
from loomready.packet.weaving import weaving as weaving_sheet
from loomready.packet.words import Letters
from loomready.report.as_json import pieces_as_json
from loomready.report.plan_text import tell_plan
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast
from tests.packet.reading import sheets

WEFT = (WeftStripe("chalk", 30), WeftStripe("fern", 5))
STRIPES = (Stripe("fern", 12), Stripe("chalk", 4))
ITEMS = (
    Item(finished_length_m=0.3, count=2, hem_m=0.02, hem_weft_yarns=("fern",), hem_picks_per_cm=9.0),
    Item(finished_length_m=0.2, weft_yarns=("fern",)),
)


def planned(**more: object) -> WarpPlan:
    order = cast.order(**{"stripes": STRIPES, "weft_stripes": WEFT, "items": ITEMS, **more})
    return plan_guild(cast.guild(order), cast.drafts()).warps[0]


@given(
    st.lists(
        st.builds(WeftStripe, st.sampled_from(["fern", "chalk", "plum"]), st.integers(1, 9)),
        min_size=1,
        max_size=6,
    ).map(tuple),
    st.integers(1, 80),
)
def test_the_weft_changes_where_two_picks_side_by_side_differ(stripes, picks) -> None:
    once = [each.yarn for each in stripes for _ in range(each.picks)]
    yarns = [once[pick % len(once)] for pick in range(picks)]
    wanted = [(1, yarns[0])]
    wanted += [
        (n + 2, after) for n, (before, after) in enumerate(itertools.pairwise(yarns)) if before != after
    ]
    assert list(changes(stripes, picks)) == wanted


def test_every_pick_is_woven_in_the_yarn_of_its_stripe_and_of_its_piece() -> None:
    plan = planned()
    job = weaving.weaving(plan)
    yarns = [sign.rpartition(" ")[2] for sign in weaving.signs(plan)]
    assert len(yarns) == plan.picks
    bodies = [stretch for stretch in job.stretches if stretch.part == "body"]
    assert [bool(body.colors) for body in bodies] == [True, True, False]
    for body in bodies[:2]:
        here = yarns[body.first - 1 : body.last]
        assert here[:36] == ["chalk"] * 30 + ["fern"] * 5 + ["chalk"]
    assert set(yarns[bodies[2].first - 1 :]) == {"fern"}
    assert all(len(stretch.repeat) == 4 for stretch in job.stretches)  # treadling alone


def test_the_treadling_repeats_without_the_stripes() -> None:
    plan = planned()
    (first, *_) = plan.pieces
    assert [repeat_of(plan, section) for section in first.sections] == [4, 4, 4]


def test_ends_are_wound_and_threaded_in_stripes() -> None:
    plan = planned()
    yarns = [sign.partition(" ")[0] for sign in winding.signs(plan)]
    assert yarns[:17] == ["fern"] * 12 + ["chalk"] * 4 + ["fern"]
    assert [sign.partition(" ")[2] for sign in threading.signs(plan)] == yarns
    turns = [run for turn in winding.winding(plan) for run in turn.runs]
    assert sum(count for _, count in turns) == plan.web.ends


@pytest.mark.parametrize("woven", [0, 31, 100])
def test_the_weft_that_is_still_needed_is_counted_pick_by_pick(woven) -> None:
    plan = planned()
    of = figures(plan)
    yarns = [sign.rpartition(" ")[2] for sign in weaving.signs(plan)]
    for key, needed, _there, _enough in reach(of, woven, weft_left_g={"fern": 1.0, "chalk": 1.0}).weft:
        assert needed == pytest.approx(yarns[woven:].count(key) * of.pick_m * of.grams_per_m[key])


def test_the_steps_of_a_piece_say_at_which_picks_the_weft_changes() -> None:
    hem, body, _, _ = pieces_told(planned())[0].steps
    assert hem.note == "weft Fern green"
    assert body.note == "weft 30 Chalk, 5 Fern green, repeat; " + (
        "14 changes of yarn: at pick 31, 36, 66, 71, 101, 106, 136, 141, 171, 176, 206, 211 …"
    )
    short = planned(items=(Item(finished_length_m=0.1),))
    (step, _) = pieces_told(short)[0].steps
    assert step.note == "weft 30 Chalk, 5 Fern green, repeat; change at pick 31, 36, 66, 71"


NAMES = {"fern": "Fern green", "chalk": "Chalk"}


def test_stripes_are_told_as_they_are_written() -> None:
    plan = planned()
    assert warp_told(plan.order, 348, NAMES) == "12 Fern green, 4 Chalk, repeat"
    assert warp_told(plan.order, 16, NAMES) == "12 Fern green, 4 Chalk"
    assert warp_told(planned(stripes=()).order, 348, NAMES) == ""
    mirrored = planned(stripes_mirrored=True)
    assert (
        warp_told(mirrored.order, 348, NAMES) == "12 Fern green, 4 Chalk, to the middle of the web, then back"
    )


def test_text_and_json_say_the_stripes() -> None:
    order = cast.order(stripes=STRIPES, weft_stripes=WEFT, items=ITEMS)
    made = plan_guild(cast.guild(order), cast.drafts())
    assert "  Warp in stripes from end 1: 12 Fern green, 4 Chalk, repeat\n" in tell_plan(made)
    hem, body, _ = pieces_as_json(made.warps[0])[0]["sections"]
    assert body["weft_stripes"] == [["chalk", 30], ["fern", 5]]
    assert "weft_stripes" not in hem


def test_the_sheets_say_the_stripes_and_list_the_changes_of_the_weft() -> None:
    plan = planned()
    lists = weaving_sheet(plan, Letters.of(plan), Options(every_pick=True))["lists"]
    wefts = [weft for each in lists for weft in each["wefts"]]
    striped = wefts[0]
    assert [(one["pick"], one["letter"]) for one in striped["changes"][:3]] == [
        ("1", "B"),
        ("31", "A"),
        ("36", "B"),
    ]
    assert {row["letter"] for row in lists[0]["picks"]} == {""}
    assert len(lists[0]["picks"]) == 4
    assert wefts[1]["changes"] == []
    text = {name: " ".join(told.split()) for name, told in sheets(packet_pdf(plan)).items()}
    assert "Warp stripes, from end 1: 12 Fern green, 4 Chalk, repeat." in text["Project"]
    assert "Change the weft at these picks" in text["Weaving"]


def test_very_many_changes_are_told_as_the_stripes_alone() -> None:
    plan = planned(weft_stripes=(WeftStripe("chalk", 1), WeftStripe("fern", 1)))
    (first, *_) = weaving_sheet(plan, Letters.of(plan))["lists"]
    assert first["wefts"][0]["changes"] == []

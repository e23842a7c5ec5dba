"""A direct tie-up: each treadle moves one shaft, picks press several, and feet reach them or not."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready import guildfile
from loomready.draft.draft import Draft, lift_plan
from loomready.loomside.steps.weaving import weaving
from loomready.model.guild import Loom
from loomready.packet.data import packet_data
from loomready.packet.options import Options
from loomready.report.as_json import warp_as_json
from loomready.report.plan_text import tell_plan
from loomready.warp.direct import by_feet
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from tests.cast import LOOM, TWILL, drafts, guild, order
from tests.guildfile.room import refusal, tree

DIRECT = replace(LOOM, treadles=4, direct_tie_up=True)
LIFTS = st.lists(st.sets(st.integers(1, 4)).map(sorted), min_size=1, max_size=8)


def planned(draft: Draft = TWILL, loom: Loom = DIRECT, **more) -> WarpPlan:
    asked = order(**more)
    room = guild(asked, looms=(loom,))
    return plan_once(asked, room, drafts(draft), Shelf(room))[0]


def raised(plan: WarpPlan) -> list[list[int]]:
    """The loom's shafts that are up once the pick's treadles are pressed, as this kind of loom moves them."""
    made = plan.treadles
    assert made is not None
    up = []
    used = {shaft for shaft in plan.heddles.assignment if shaft is not None}
    for pressed in made.of(plan.draft):
        moved = set(pressed)  # treadle n moves shaft n
        up.append(sorted(used - moved if plan.loom.kind == "counterbalance" else moved))
    return up


@given(LIFTS, st.sampled_from(["jack", "table", "counterbalance"]))
def test_pressing_the_treadles_lifts_what_the_draft_lifts(lifts, kind):
    draft = lift_plan([1, 2, 3, 4], lifts)
    plan = planned(draft, replace(DIRECT, kind=kind))
    assert raised(plan) == [list(lift) for lift in lifts]


def test_treadles_follow_the_shafts_of_the_loom():
    wide = replace(LOOM, shafts=6, heddles=(0, 0, 120, 120, 120, 120), treadles=6, direct_tie_up=True)
    plan = planned(loom=wide)
    assert plan.heddles.assignment == (3, 4, 5, 6)
    assert plan.treadles is not None
    assert plan.treadles.of(plan.draft) == ((3, 4), (4, 5), (5, 6), (3, 6))


def by_trying(pressed: tuple[int, ...]) -> bool:
    """Whether some way to share the treadles between two feet works: a foot takes one, or two neighbors."""
    for feet in itertools.product((0, 1), repeat=len(pressed)):
        shares = [[one for one, foot in zip(pressed, feet, strict=True) if foot == which] for which in (0, 1)]
        if all(len(each) <= 1 or (len(each) == 2 and each[1] - each[0] == 1) for each in shares):
            return True
    return False


@pytest.mark.parametrize("count", range(9))
def test_feet_reach_a_pick_just_where_trying_every_way_finds_one(count):
    for pressed in itertools.combinations(range(1, 9), count):
        found = by_feet(pressed, 8)
        assert (found is not None) == by_trying(pressed)
        if found is not None:
            assert found[0] + found[1] == pressed


def test_picks_beyond_two_feet_are_named():
    far = lift_plan([1, 2, 3, 4, 5, 6], [[1, 2], [1, 3, 5], [2, 4, 6], [3, 4, 5, 6], [1, 3, 5]])
    loom = replace(LOOM, shafts=6, heddles=(100,) * 6, treadles=6, direct_tie_up=True)
    (problem,) = [each for each in planned(far, loom).problems if each.code == "out-of-reach"]
    assert "3 picks of 5" in problem.message
    assert problem.message.endswith(
        "do not reach at once: 1, 3, 5 (first in pick 2); 2, 4, 6 (first in pick 3)."
    )
    assert "out-of-reach" not in {each.code for each in planned().problems}


def test_text_sheet_json_and_pages_at_the_loom_say_the_same():
    room = guild(order(), looms=(DIRECT,))
    text = tell_plan(plan_guild(room, drafts()))
    assert "Direct tie-up: treadle 1 lifts shaft 1" in text
    assert "fewest that will do" not in text
    plan = planned()
    said = warp_as_json(plan)["treadles"]
    assert said["direct"]
    assert said["ties"] == [[1], [2], [3], [4]]
    assert said["items"] == [[[1, 2], [2, 3], [3, 4], [1, 4]]]
    first = weaving(plan).stretches[0].repeat[0]
    assert (first.treadles, first.feet) == ((1, 2), "left foot 1 · right foot 2")
    sheet = packet_data(plan, Options(every_pick=True))["weaving"]
    assert sheet["tieup"] is None
    assert [row["treadles"] for row in sheet["direct"]["rows"]] == ["1 2", "1 4", "2 3", "3 4"]
    (listed,) = sheet["lists"]
    assert "1 2" in listed["lines"][0]["told"]
    assert [cell for cell in listed["picks"][0]["cells"] if cell] == ["1", "2"]


def test_a_loom_that_sinks_presses_what_is_down():
    loom = replace(DIRECT, kind="counterbalance")
    plan = planned(loom=loom)
    (listed,) = packet_data(plan, Options(every_pick=True))["weaving"]["lists"]
    assert [cell for cell in listed["picks"][0]["cells"] if cell] == ["3", "4"]
    assert "treadle 1 sinks shaft 1" in packet_data(plan)["weaving"]["direct"]["lines"][0]


def test_other_looms_are_tied_as_before():
    plan = planned(loom=LOOM)
    assert plan.treadles is not None
    assert not plan.treadles.direct
    assert packet_data(plan)["weaving"]["direct"] is None
    assert np.asarray(plan.treadles.rises).any()


def test_a_table_loom_has_treadles_where_each_lifts_a_shaft():
    shafts = tree()["looms"][0]["shafts"]
    said = tree(looms_1_kind="table", looms_1_direct_tie_up=True, looms_1_treadles=shafts)
    loom = guildfile.decode(said).looms[0]
    assert loom.direct_tie_up
    assert guildfile.decode(guildfile.encode(guildfile.decode(said))).looms[0] == loom


@pytest.mark.parametrize(
    ("more", "line"),
    [
        ({"looms_1_kind": "countermarche"}, "direct_tie_up: a countermarche loom has no direct tie-up"),
        (
            {"looms_1_treadles": 1},
            "treadles: a direct tie-up has a treadle for each shaft; expected at least",
        ),
    ],
)
def test_what_is_no_direct_tie_up_is_refused_in_one_line(more, line):
    assert line in refusal(guildfile.decode, tree(looms_1_direct_tie_up=True, **more))

"""Beaming counts to the end of the warp, and each job begins with what its way of dressing needs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from loomready.loomside.log import facts
from loomready.loomside.steps import beam_turns, beaming, cautions, make_ready
from loomready.model.dressing_order import jobs_in_order
from loomready.model.guild import Dressing, LoomKind
from loomready.packet import test_weave
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from loomready.yarn.diameter import diameter_mm
from tests import cast


def plan_of(**more: object) -> WarpPlan:
    return plan_guild(replace(cast.guild(), **more), cast.drafts()).warps[0]  # type: ignore[arg-type]


@pytest.mark.parametrize(("around", "sticks"), [(None, None), (600.0, None), (600.0, 150.0), (3000.0, 40.0)])
def test_every_turn_comes_once_and_the_last_brings_the_whole_warp(
    around: float | None, sticks: float | None
) -> None:
    plan = plan_of()
    onto = beaming.beaming(plan, around, sticks)
    assert [wind.number for wind in onto.winds] == list(range(1, len(onto.winds) + 1))
    reached = [wind.to_m for wind in onto.winds]
    assert reached == sorted(reached)
    assert reached[-1] == pytest.approx(plan.warp_length_m)
    assert any(wind.sticks for wind in onto.winds) == (sticks is not None)
    assert len(beaming.signs(onto)) == len(onto.winds)


def test_sticks_are_those_of_the_geometry() -> None:
    plan = plan_of()
    onto = beaming.beaming(plan, 600.0, 150.0)
    layer = beam_turns.layer_mm(plan.sett_per_cm, diameter_mm(cast.FERN.tex), 0.0)
    wanted = beam_turns.beaming(plan.warp_length_m, 600.0, layer, stick_every_mm=150.0)
    assert [wind.sticks for wind in onto.winds] == list(wanted.sticks)


def test_a_beam_that_is_none_is_refused() -> None:
    with pytest.raises(BadInput):
        beaming.beaming(plan_of(), 3.0)


@pytest.mark.parametrize("dressing", ["front to back", "back to front"])
def test_the_order_of_dressing_holds_every_job_once(dressing: Dressing) -> None:
    jobs = jobs_in_order(dressing, left_out=())
    assert sorted(jobs) == sorted(facts.JOBS)
    assert (jobs[0], jobs[-3:]) == ("winding", ("tying", "test-weave", "weaving"))
    plan = plan_of(dressing=dressing)
    assert all(make_ready.ready(plan, job) for job in jobs)


def test_lease_sticks_and_raddle_stand_where_the_dressing_needs_them() -> None:
    forward, backward = plan_of(dressing="front to back"), plan_of(dressing="back to front")
    assert "lease sticks" in " ".join(make_ready.ready(forward, "sleying"))
    assert "raddle" not in " ".join(make_ready.ready(forward, "beaming"))
    told = " ".join(make_ready.ready(backward, "beaming"))
    assert "lease sticks" in told
    assert "raddle" in told
    assert "lease sticks" not in " ".join(make_ready.ready(backward, "sleying"))


def test_each_job_names_the_usual_cautions_once_and_defers_to_the_place() -> None:
    for job in facts.JOBS:
        told = " ".join(cautions.care(cast.LOOM, job))
        assert told.count("half hour") == 1
        assert told.endswith("Follow the rules of the place first.")
    for job in ("beaming", "weaving"):
        assert "Tie back" in " ".join(cautions.care(cast.LOOM, job))
    assert "children" in " ".join(cautions.care(cast.LOOM, "weaving"))


HAS = {
    "table": {"levers"},
    "jack": {"treadles", "jacks"},
    "counterbalance": {"treadles"},
    "countermarche": {"treadles"},
    "rigid heddle": set(),
    "inkle": set(),
}


@pytest.mark.parametrize("kind", HAS)
def test_cautions_name_only_what_the_loom_has(kind: LoomKind) -> None:
    feet = {"jack": 6, "counterbalance": 6, "countermarche": 6}
    loom = replace(cast.LOOM, kind=kind, treadles=feet.get(kind, 0))
    told = [*cautions.for_the_room(loom), *(line for job in facts.JOBS for line in cautions.care(loom, job))]
    words = " ".join(told)
    named = {part for part in ("levers", "treadles", "jacks") if part in words}
    assert named == HAS[kind]
    assert ("beater" in words) == (kind not in ("rigid heddle", "inkle"))
    assert ("warping boards" in words) == (kind != "inkle")
    assert "rules come first" in told[len(cautions.for_the_room(loom)) - 1]
    with_treadles = cautions.care(replace(loom, treadles=4), "threading")
    assert any("treadles" in line for line in with_treadles) == (kind not in ("rigid heddle", "inkle"))


def test_the_test_weave_sheet_speaks_of_a_tie_up_only_where_treadles_are_tied() -> None:
    def told(plan: WarpPlan) -> str:
        sheet = test_weave.test_weave(plan)
        assert sheet is not None
        return " ".join(sheet["means"][-1])

    assert "treadle tied wrong" in told(plan_of(looms=(replace(cast.LOOM, kind="jack", treadles=6),)))
    assert "tie" not in told(plan_of(looms=(replace(cast.LOOM, kind="table", treadles=0),))).lower().split()

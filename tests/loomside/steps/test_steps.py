"""The steps of every job: each end, dent and pick comes once, in order, whatever the plan."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.loomside.steps import sleying, threading, tying, weaving, winding
from loomready.loomside.steps.sleying import ends_of_dents
from loomready.loomside.steps.threading import shaft_of_end, shaft_totals
from loomready.model.guild import Item
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast

ORDERS = {
    "plain": cast.order(),
    "edges": cast.order(floating_selvedges=True, selvedge_ends=3, selvedge_shafts=(1, 2)),
    "borders": cast.order(repeat_ends=(2, 3)),
    "narrow": cast.order(finished_width_mm=20.0),
    "fine": cast.order(finished_width_mm=700.0, sett_per_cm=26.0, max_bout_ends=50),
    "pieces": cast.order(
        sample_m=0.2,
        items=(
            Item(finished_length_m=0.5, count=2, hem_m=0.02),
            Item(finished_length_m=0.3, picks_per_cm=6.0),
        ),
    ),
}


def plan_of(name: str, **more: object) -> WarpPlan:
    order = replace(ORDERS[name], **more)  # type: ignore[arg-type]
    loom = replace(cast.LOOM, heddles=(900, 900, 900, 900))
    return plan_guild(cast.guild(order, looms=(loom,)), cast.drafts()).warps[0]


@pytest.mark.parametrize("name", ORDERS)
def test_every_end_is_wound_once_in_order_in_its_yarn_from_a_cone(name: str) -> None:
    plan = plan_of(name)
    turns = winding.winding(plan)
    ends = [end for turn in turns for end in range(turn.first, turn.last + 1)]
    assert ends == list(range(1, plan.web.ends + 1))
    for turn in turns:
        size = turn.last - turn.first + 1
        assert sum(count for _, count in turn.runs) == size
        yarns = [which for which, count in turn.runs for _ in range(count)]
        keys = plan.order.warp_yarns
        role = plan.web.role[turn.first - 1 : turn.last]
        assert [keys[which] for which in yarns] == [keys[each] for each in role.tolist()]
        assert sum(count for _, count in turn.cones) <= size
    for bout in plan.bouts:
        mine = [turn for turn in turns if turn.bout == bout.number]
        assert (mine[0].first, mine[-1].last) == (bout.first_end, bout.last_end)
        given_by: dict[str, int] = {}
        for turn in mine:
            for cone, count in turn.cones:
                given_by[cone] = given_by.get(cone, 0) + count
        assert given_by == dict(bout.cones)


def test_counting_ties_stand_where_a_raddle_space_is_full_and_nowhere_else() -> None:
    plan = plan_of("fine")
    spread = winding.counting_spread(plan.raddle)
    assert spread is not None
    wanted = np.cumsum(np.resize(spread.cycle, plan.web.ends))
    ties = [turn.last for turn in winding.winding(plan) if turn.tie]
    assert ties == [at for at in wanted.tolist() if at <= plan.web.ends]


@pytest.mark.parametrize("name", ORDERS)
def test_every_end_is_sleyed_once_and_the_dents_follow_the_sley(name: str) -> None:
    plan = plan_of(name)
    assert plan.sley is not None
    steps = sleying.sleying(plan)
    counts = [count for step in steps for count in step.counts]
    assert sum(counts) == plan.web.ends
    assert counts == [last - first + 1 for first, last in ends_of_dents(plan, plan.sley)]
    assert len(counts) == plan.sley.dents
    assert next(step.first_dent for step in steps) == plan.sley.first_dent
    for before, after in itertools.pairwise(steps):
        assert after.first == before.last + 1
        assert after.first_dent == before.first_dent + len(before.counts)
    assert all(
        1 <= len(step.counts) <= 8 and sum(step.counts) == step.last - step.first + 1 for step in steps
    )
    assert len(sleying.signs(plan)) == plan.web.ends


@pytest.mark.parametrize("name", ORDERS)
def test_every_end_is_threaded_once_on_its_shaft(name: str) -> None:
    plan = plan_of(name)
    job = threading.threading(plan)
    shafts = [shaft for part in job.parts for shaft in part.shafts]
    assert shafts == shaft_of_end(plan).tolist()
    assert [part.first for part in job.parts] == [1, *(part.last + 1 for part in job.parts[:-1])]
    assert job.parts[-1].last == plan.web.ends
    assert all(len(part.shafts) <= threading.GLANCE for part in job.parts)
    sums = {shaft: shafts.count(shaft) for shaft in job.used}
    assert sums == {shaft: count for shaft, count in shaft_totals(plan).items() if count}
    for part in job.parts:
        group = job.groups[part.group]
        assert group.first < part.first
        assert part.last <= group.stop


@given(st.integers(0, 400))
def test_a_group_is_cut_into_glances_without_a_crumb(size: int) -> None:
    cut = threading.glances(size)
    assert sum(cut) == size
    assert all(0 < each <= 8 for each in cut)
    assert size < 6 or min(cut) >= 3


@settings(max_examples=60)
@given(st.integers(1, 500), st.integers(1, 60))
def test_knots_take_every_end_once_and_go_outward_from_the_middle(ends: int, size: int) -> None:
    made = tying.knots(ends, size)
    covered = sorted(end for knot in made for end in range(knot.first, knot.last + 1))
    assert covered == list(range(1, ends + 1))
    middle = (ends + 1) / 2
    away = [min(abs(knot.first - middle), abs(knot.last - middle)) for knot in made]
    assert away == sorted(away) or max(b - a for a, b in zip(away[1:], away, strict=False)) <= 1


@pytest.mark.parametrize("name", ORDERS)
def test_every_pick_is_woven_once_in_its_piece(name: str) -> None:
    plan = plan_of(name)
    job = weaving.weaving(plan)
    assert job.picks == plan.picks
    for parts in (job.stretches, job.pieces):
        assert [part.first for part in parts] == [1, *(part.last + 1 for part in parts[:-1])]
        assert parts[-1].last == plan.picks
    assert len(weaving.signs(plan)) == plan.picks
    lifts = plan.wefts[0].draft.lifts
    assert job.stretches[0].repeat[1].up == tuple((np.flatnonzero(lifts[1]) + 1).tolist())


def test_a_hem_is_the_border_that_closes_a_piece() -> None:
    job = weaving.weaving(plan_of("pieces"))
    sample, first, second, last = job.pieces
    assert [sample.label, first.label, second.label] == ["sample", "piece 1, 1 of 2", "piece 1, 2 of 2"]
    assert (sample.border, last.border) == (0, 0)
    assert first.border == np.ceil(0.02 / 0.92 * 100 * 8)


def test_every_piece_begins_at_pick_1_in_the_order_of_the_items() -> None:
    plan = plan_of("pieces")
    job = weaving.weaving(plan)
    assert [part.label for part in job.stretches] == [part.label for part in job.pieces]
    assert [part.label for part in job.pieces][-1].startswith("piece 2")
    yarns = weaving.signs(plan)
    for part in job.stretches:
        assert yarns[part.first - 1].endswith(part.repeat[0].yarn)


def test_floating_selvedges_are_sleyed_alone_and_no_other_dent_is() -> None:
    for floating in (False, True):
        plan = plan_guild(cast.guild(cast.order(floating_selvedges=floating)), cast.drafts()).warps[0]
        made = sleying.sleying(plan)
        assert [dents.floating for dents in made] == [
            floating and at in (0, len(made) - 1) for at in range(len(made))
        ]
        if floating:
            assert (made[0].first, made[0].last) == (1, 1)
            assert (made[-1].first, made[-1].last) == (plan.web.ends, plan.web.ends)


@pytest.mark.parametrize(("units", "width_cm"), [("us", 2.54), ("metric", 2.5)])
def test_a_knot_of_tying_on_takes_about_an_inch_of_ends(units: str, width_cm: float) -> None:
    plan = plan_guild(replace(cast.guild(), units=units), cast.drafts()).warps[0]
    sizes = [knot.last - knot.first + 1 for knot in tying.tying(plan)]
    usual = round(plan.sett_per_cm * width_cm)
    assert usual == 20
    assert max(sizes) == usual
    assert sum(size < usual for size in sizes) <= 2
    assert sum(sizes) == plan.web.ends

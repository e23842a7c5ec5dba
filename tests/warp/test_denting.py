"""Crammed and spaced webs: ends per dent by stripe, empty dents, and all that follows from the width."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from loomready.draft.draft import lift_plan
from loomready.loomside.steps.dents_told import dent_rows, denting_told, runs_of
from loomready.loomside.steps.sleying import ends_of_dents, signs, sleying
from loomready.loomside.steps.winding import counting_ties, winding
from loomready.model.guild import Stripe, WarpOrder
from loomready.problems import BadInput
from loomready.report.as_json import plan_as_json
from loomready.warp.across import columns, places, up_to
from loomready.warp.denting import Part, _counts, ends_per_dent, in_runs, parts_of, written_out
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from loomready.warp.stripe_setts import stripe_setts
from tests.cast import CHALK, LOOM, TWILL, cone, drafts, guild, order

CRAMMED = (
    Stripe("fern", 12, (3,)),
    Stripe(dents=2),
    Stripe("chalk", 8),
    Stripe("fern", 5, (1, 0)),
)
CYCLES = st.lists(st.integers(0, 4), min_size=1, max_size=4).filter(any).map(tuple)
STRIPES = (
    st.lists(
        st.one_of(
            st.builds(
                Stripe, st.sampled_from(["fern", "chalk"]), st.integers(1, 20), st.one_of(st.none(), CYCLES)
            ),
            st.builds(Stripe, dents=st.integers(1, 4)),
        ),
        min_size=1,
        max_size=5,
    )
    .filter(lambda made: any(each.ends for each in made))
    .map(tuple)
)


def planned(asked: WarpOrder, draft=TWILL) -> WarpPlan:
    room = guild(asked, cones=(cone("fern-1"),))
    return plan_once(asked, room, drafts(draft), Shelf(room))[0]


def crammed(**more) -> WarpOrder:
    return order(**{"stripes": CRAMMED, "reed": "forty", **more})


def one_by_one(stripes: tuple[Stripe, ...], count: int, base: tuple[int, ...]) -> list[int]:
    """The definition, an end at a time: a dent takes ends until it is full or another stripe begins."""
    dents: list[int] = []
    cycle: tuple[int, ...] = ()
    at, room, before = 0, 0, object()

    def close() -> None:
        nonlocal at
        while at % max(1, len(cycle)) and cycle[at % len(cycle)] == 0:  # to the end of the cycle
            dents.append(0)
            at += 1

    left = count
    for visit, stripe in enumerate(itertools.cycle(stripes)):
        if left == 0:
            break
        if stripe.dents:
            close()
            dents += [0] * stripe.dents
            at, before = 0, object()
            continue
        kind = "base" if stripe.sley is None else visit
        if kind != before:
            close()
            cycle, at, room, before = stripe.sley or base, 0, 0, kind
        for _ in range(min(left, stripe.ends)):
            while room == 0:
                room = cycle[at % len(cycle)]
                dents.append(0)
                at += 1
            dents[-1] += 1
            room, left = room - 1, left - 1
    while dents[0] == 0:
        dents.pop(0)
    while dents[-1] == 0:
        dents.pop()
    return dents


@given(STRIPES, st.integers(1, 120), st.sampled_from([(1,), (2,), (1, 2)]))
def test_ends_fill_their_dents_one_by_one_and_every_stripe_of_its_own_sley_begins_a_dent(
    stripes, count, base
):
    asked = order(stripes=stripes, reed="forty")
    made = ends_per_dent(asked, np.ones(count, dtype=bool), base)
    assert list(made) == one_by_one(stripes, count, base)


@given(STRIPES, st.integers(1, 120), st.booleans(), st.sampled_from([(2,), (1, 2)]))
def test_no_end_is_lost_and_no_empty_dent_lies_at_the_edge(stripes, count, mirrored, base):
    asked = order(stripes=stripes, reed="forty", stripes_mirrored=mirrored)
    made = ends_per_dent(asked, np.ones(count, dtype=bool), base)
    assert sum(made) == count
    assert made[0] > 0
    assert made[-1] > 0


@given(STRIPES, st.integers(2, 120), st.sampled_from([(2,), (1, 2)]))
def test_mirrored_dents_are_the_same_from_both_edges_but_for_the_part_in_the_middle(stripes, count, base):
    asked = order(stripes=stripes, reed="forty", stripes_mirrored=True)
    parts = parts_of(asked, np.ones(count, dtype=bool), base)
    middle = len(parts) // 2
    counts = [part.counts for part in parts]
    assert len(parts) % 2 == 1
    assert [each[::-1] for each in counts[:middle]] == counts[:middle:-1]


@given(STRIPES, st.integers(60, 200), st.booleans(), st.booleans())
@settings(max_examples=40)
def test_the_web_is_as_wide_as_its_dents_and_as_near_the_wanted_width_as_repeats_allow(
    stripes, width_mm, mirrored, floating
):
    asked = crammed(
        stripes=stripes,
        stripes_mirrored=mirrored,
        finished_width_mm=float(width_mm),
        floating_selvedges=floating,
    )
    plan = planned(asked)
    if not plan.sley.denting:
        assert not any(each.sley or each.dents for each in stripes)
        return
    dents = sum(running for _, running in plan.sley.denting) + 2 * floating
    assert plan.sley.dents == dents
    assert plan.width_in_reed_mm == pytest.approx(dents * 2.5)
    assert sum(count * running for count, running in plan.sley.denting) + 2 * floating == plan.web.ends

    def width(repeats: int) -> float:
        counts = ends_per_dent(asked, np.ones(4 * repeats, dtype=bool), plan.sley.cycle)
        return (len(counts) + 2 * floating) * 2.5

    wanted = plan.wanted_width_mm
    tried = itertools.takewhile(lambda each: width(each) < 1.5 * wanted + 20, itertools.count(1))
    best = min((round(abs(width(each) - wanted), 6) for each in tried), default=None)
    if best is not None:
        assert abs(width(plan.web.repeats) - wanted) <= best + 2.5
    filled = ends_of_dents(plan, plan.sley)
    assert filled[0][0] == 1
    assert filled[-1][1] == plan.web.ends
    steps = sleying(plan)
    assert [step.first for step in steps] == [1, *(step.last + 1 for step in steps[:-1])]
    assert steps[-1].last == plan.web.ends
    assert sum(len(step.counts) for step in steps) == plan.sley.dents
    assert all(sum(step.counts) == step.last - step.first + 1 > 0 for step in steps)
    assert len(signs(plan)) == plan.web.ends


def test_a_crammed_and_spaced_web_is_told_in_json_by_runs_of_dents():
    plan = plan_guild(guild(crammed(finished_width_mm=100)), drafts()).warps[0]
    (told,) = plan_as_json(plan_guild(guild(crammed(finished_width_mm=100)), drafts()))["warps"]
    assert told["reed"]["sley"] is None
    assert told["reed"]["denting"] == [list(run) for run in plan.sley.denting]
    assert told["reed"]["denting"][:4] == [[3, 4], [0, 2], [2, 4], [1, 1]]
    even = plan_as_json(plan_guild(guild(order()), drafts()))["warps"][0]
    assert "denting" not in even["reed"]


def test_weft_and_finished_width_follow_the_dents():
    spaced = planned(crammed(stripes=(Stripe("fern", 4), Stripe(dents=2))))
    even = planned(crammed(stripes=(Stripe("fern", 4),)))
    assert spaced.web.ends < even.web.ends
    assert spaced.width_in_reed_mm == pytest.approx(even.width_in_reed_mm, abs=12)
    weft = {need.yarn.key: need.weft_m for need in spaced.yarns}["chalk"]
    assert weft == pytest.approx(spaced.picks * spaced.width_in_reed_mm / 1000 * 1.05)
    assert spaced.finished_width_mm == pytest.approx(spaced.width_in_reed_mm * 0.94 * 0.92)


def test_an_end_in_no_heddle_lies_in_the_dent_of_the_end_before_it():
    gap = lift_plan([1, 2, 0, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])
    plan = planned(crammed(stripes=(Stripe("fern", 2, (4,)), Stripe("chalk", 2, (1,)))), draft=gap)
    assert plan.sley.denting[:2] == ((3, 1), (1, 2))


def test_the_raddle_has_the_ends_that_lie_over_each_space():
    plan = planned(crammed(floating_selvedges=True))
    for spread in plan.raddle:
        assert not spread.repeats
        assert sum(spread.cycle) == plan.web.ends
        assert len(spread.cycle) == spread.spaces
        assert spread.spaces * spread.spacing_mm >= plan.width_in_reed_mm
        groups = list(counting_ties(plan.bouts, spread.cycle))
        assert [sum(each) for each in groups] == [bout.ends for bout in plan.bouts]
    assert sum(turn.last - turn.first + 1 for turn in winding(plan)) == plan.web.ends


def test_a_crowded_dent_of_one_stripe_is_told():
    plan = planned(crammed(stripes=(Stripe("fern", 12, (6,)), Stripe("chalk", 12))))
    assert "crowded-dent" in [problem.code for problem in plan.problems]


def test_a_stripe_past_the_maximum_sett_of_its_yarn_is_told_and_the_mean_does_not_hide_it():
    plan = planned(crammed(stripes=(Stripe("fern", 12, (5,)), Stripe("chalk", 12, (1, 0)))))
    close = [problem for problem in plan.problems if problem.code == "too-close"]
    assert len(close) == 1
    assert "Fern green at 5 per dent" in close[0].message
    dense, spaced = stripe_setts(plan)
    assert (dense.sett_per_cm, spaced.sett_per_cm) == (20.0, 2.0)
    assert dense.cover == pytest.approx(dense.sett_per_cm * 2.54 / (590.541 / 120) ** 0.5, rel=1e-3)
    assert plan.sett_per_cm < dense.greatest_per_cm


def test_a_web_that_its_empty_dents_make_too_wide_stops_the_plan():
    wide = crammed(stripes=(Stripe("fern", 4), Stripe(dents=400)), finished_width_mm=10)
    plan = planned(order(stripes=(Stripe("fern", 2), Stripe(dents=400)), reed="forty"))
    assert plan.width_in_reed_mm > LOOM.weaving_width_mm
    assert {"too-wide", "too-narrow-reed"} <= {problem.code for problem in plan.problems}
    assert planned(wide).sley.fits


def test_a_narrower_width_is_offered_for_a_crammed_and_spaced_web_that_is_short_of_yarn():
    fern = cone("fern-1", meters=300.0)
    made = plan_guild(guild(crammed(), cones=(fern, cone("chalk-1", CHALK))), drafts()).warps[0]
    short = [problem for problem in made.problems if problem.code == "yarn-short"]
    narrower = [
        remedy.change
        for problem in short
        for remedy in problem.remedies
        if "finished_width_mm" in remedy.change
    ]
    assert narrower
    assert all(change.get("reed", "forty") == "forty" for change in narrower)


def test_a_rigid_heddle_refuses_stripes_with_a_sley_of_their_own():
    rigid = LOOM.__class__(
        key="alder",
        name="Small rigid heddle",
        kind="rigid heddle",
        shafts=3,
        weaving_width_mm=900,
        heddles=(150, 150, 150),
        waste_m=0.4,
        gauge_per_cm=4.0,
    )
    room = guild(crammed(), looms=(rigid,))
    with pytest.raises(BadInput, match="expected stripes without sley and dents"):
        plan_once(crammed(), room, drafts(), Shelf(room))


def test_columns_and_places_of_the_ends_cover_the_web_once():
    plan = planned(crammed(floating_selvedges=True, finished_width_mm=200))
    found, lie = columns(plan), places(plan)
    assert found is not None
    assert lie is not None
    assert found.share.sum() == pytest.approx(1)
    assert lie.shape == (plan.web.ends, 2)
    assert (lie[1:, 0] >= lie[:-1, 1] - 1e-9).all()
    assert int(found.gap.sum()) == sum(running for count, running in plan.sley.denting if count == 0)
    part, ends = up_to(found, 0.5)
    assert 0 < ends < plan.web.ends
    assert part.share.sum() <= 0.5 + 1e-9
    assert columns(planned(order())) is None
    assert places(planned(order())) is None


def test_dents_are_told_in_short_and_row_by_row():
    plan = planned(crammed(finished_width_mm=100))
    assert denting_told(plan).startswith("2 × (4 dents of 3, 2 dents empty, 4 dents of 2, 10 dents of 1-0)")
    rows = dent_rows(plan)
    first = plan.sley.first_dent
    assert (rows[0].dents, rows[0].ends, rows[0].says) == (
        f"{first}–{first + 3}",
        "1–12",
        "12 ends, 3 per dent",
    )
    assert (rows[1].dents, rows[1].ends, rows[1].says) == (f"{first + 4}–{first + 5}", "", "leave empty")


def test_stripes_written_out_over_a_web_are_its_stripes_once():
    asked = crammed()
    yarns = ["fern"] * 12 + ["chalk"] * 8 + ["fern"] * 3
    assert written_out(asked, yarns) == (
        Stripe("fern", 12, (3,)),
        Stripe(dents=2),
        Stripe("chalk", 8),
        Stripe("fern", 3, (1, 0)),
    )


def test_runs_of_dents_are_counted():
    assert in_runs((2, 2, 0, 3)) == ((2, 2), (0, 1), (3, 1))


@given(st.lists(st.integers(0, 4), min_size=1, max_size=4), st.integers(1, 40), st.booleans())
def test_the_dents_told_of_a_part_hold_its_ends(cycle: list[int], ends: int, mirrored: bool) -> None:
    assume(any(cycle))
    counts = _counts(ends, tuple(cycle))
    part = Part(ends, tuple(cycle), counts[::-1] if mirrored else counts)
    told = runs_of(part)
    assert sum(dents for dents, _ in told) == len(counts)
    assert sum(dents * sum(each) // len(each) for dents, each in told) == ends
    spread = [count for dents, each in told for count in each * (dents // len(each))]
    assert tuple(spread) == part.counts


def test_a_part_that_ends_inside_its_cycle_is_told_to_the_last_dent() -> None:
    odd, back = Part(5, (2,), (2, 2, 1)), Part(6, (1, 3), (1, 1, 3, 1))
    assert runs_of(odd) == ((2, (2,)), (1, (1,)))
    assert runs_of(back) == ((2, (1,)), (1, (3,)), (1, (1,)))

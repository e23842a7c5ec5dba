"""Will it reach, and where am I: calculated by hand, and against a look at every pick."""

from __future__ import annotations

import random
from dataclasses import asdict, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.loomside.log.warp_left import Figures, Reach, figures, reach
from loomready.model.guild import Item
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from tests import cast
from tests.loomside.log.whereami import nearest, places_of

# 1,000 mm to weave in two pieces at 1 mm a pick, 10 % take-up, 20 mm of fringe a piece.
HAND = Figures(
    warp_mm=1140.0,
    take_up=0.1,
    stretches=((1, 1000, 1.0),),
    pieces=((1, 500, 20, 20.0), (501, 1000, 20, 20.0)),
    pick_m=0.5,
    wefts=((1, 1000, ("chalk", "fern"), 1),),
    grams_per_m={"chalk": 0.12, "fern": 0.12},
)


def test_as_planned_it_just_reaches() -> None:
    told = reach(HAND, 0)
    assert told == Reach(0.0, 1000.0, told.spare_mm, 1000, True, 481, ())
    assert told.spare_mm == pytest.approx(0.0, abs=1e-9)


def test_a_looser_beat_than_planned_ends_early_and_the_border_starts_before() -> None:
    # 200 picks measure 240 mm: 1.2 mm each. Used: 240 x 1.1 = 264, left 876; the rest wants 960 x 1.1 + 40.
    told = reach(HAND, 200, woven_mm=240.0)
    assert told.spare_mm == pytest.approx(876 - 1056 - 40)
    assert not told.reaches
    # 876 less two fringes, at 1.2 x 1.1 mm a pick: 633 whole picks.
    assert told.last_pick == 200 + int(836 / 1.32)
    assert reach(HAND, 600, woven_mm=720.0, border=30).border_from == told.last_pick - 29


def test_what_is_measured_at_the_loom_counts_instead_of_what_was_planned() -> None:
    told = reach(HAND, 900, warp_left_mm=131.0)
    assert told.spare_mm == pytest.approx(131 - 110 - 20)
    assert told.border_from == 981


@pytest.mark.parametrize(
    ("left_mm", "reaches"), [(130.0, True), (128.95, True), (128.85, False), (128.0, False)]
)
def test_short_by_less_than_a_pick_is_not_short(left_mm: float, reaches: bool) -> None:
    # 100 picks and one fringe to go: 110 + 20 mm; a pick takes 1.1 mm of warp.
    told = reach(HAND, 900, warp_left_mm=left_mm)
    assert told.reaches == reaches
    assert (told.last_pick == 1000) == reaches


def test_weft_is_enough_to_the_gram() -> None:
    # 750 picks of 1,000 are woven: 125 of each yarn are left, half a meter each, 0.12 g a meter.
    told = reach(HAND, 750, weft_left_g={"chalk": 7.5, "fern": 7.4})
    assert [(key, enough) for key, _, _, enough in told.weft] == [("chalk", True), ("fern", False)]
    assert [needed for _, needed, _, _ in told.weft] == pytest.approx([7.5, 7.5])


@pytest.mark.parametrize(
    ("picks", "more"),
    [
        (-1, {}),
        (1001, {}),
        (5, {"woven_mm": -1.0}),
        (5, {"warp_left_mm": float("nan")}),
        (5, {"weft_left_g": {"plum": 3.0}}),
        (5, {"weft_left_g": {"fern": -3.0}}),
    ],
)
def test_a_measure_that_means_nothing_is_refused(picks: int, more: dict[str, Any]) -> None:
    with pytest.raises(BadInput):
        reach(HAND, picks, **more)


def test_a_plan_woven_as_planned_leaves_nothing_or_less_than_its_rounding() -> None:
    order = cast.order(sample_m=0.1, items=(Item(finished_length_m=0.5, count=2, hem_m=0.02, fringe_m=0.05),))
    plan = plan_guild(cast.guild(order), cast.drafts()).warps[0]
    of = figures(plan)
    for picks in (0, plan.picks // 2, plan.picks):
        assert abs(reach(of, picks).spare_mm) <= of.stretches[0][2] * (1 + of.take_up) + 1e-6


@settings(max_examples=60)
@given(
    st.integers(0, 1000),
    st.floats(0.6, 1.6),
    st.one_of(st.none(), st.floats(0, 1500)),
)
def test_the_last_pick_is_the_last_that_fits(picks: int, ratio: float, left: float | None) -> None:
    woven = picks * ratio if picks else None
    told = reach(HAND, picks, woven_mm=woven, warp_left_mm=left)
    have = left if left is not None else None
    if told.reaches or have is None:
        return
    scale = ratio if picks else 1.0

    def needs(last: int) -> float:
        fringe = sum(20 for first, stop in ((1, 500), (501, 1000)) if stop > picks and first <= last)
        return (last - picks) * scale * 1.1 + fringe

    assert told.last_pick == picks or needs(told.last_pick) <= have + 1e-3
    assert needs(told.last_pick + 1) > have - 1e-3


@given(st.integers(0, 2**24 - 1), st.integers(0, 5))
def test_a_pick_is_found_by_how_it_lies(bits: int, place: int) -> None:
    up = np.array([[bool(bits >> (4 * pick + shaft) & 1) for shaft in range(4)] for pick in range(6)])
    seen = [{s + 1: bool(up[(place - back) % 6, s]) for s in range(4)} for back in range(6)]
    found = places_of(up, seen).tolist()
    assert place in found
    for other in found:  # what cannot be told apart lies alike throughout
        assert all(np.array_equal(up[(other - back) % 6], up[(place - back) % 6]) for back in range(6))
    looser = [{s: value for s, value in pick.items() if s % 2} for pick in seen[:2]]
    assert set(found) <= set(places_of(up, looser).tolist())


def test_the_nearest_of_the_places_is_offered_and_none_outside_the_stretch() -> None:
    assert nearest([0], 4, 1, 8, 8) == 5
    assert nearest([7], 8, 1, 6, 3) == 0


def vectors() -> list[dict[str, Any]]:
    """Cases that the browser must reckon alike; see tests/app/loomside/test_jobs_script.py."""
    chance = random.Random(11)
    made = []
    for _ in range(40):
        picks = chance.randrange(1001)
        more: dict[str, Any] = {}
        if chance.random() < 0.5:
            more["woven_mm"] = 1 + picks * chance.uniform(0.7, 1.4)
        if chance.random() < 0.5:
            more["warp_left_mm"] = chance.uniform(0, 1300)
        if chance.random() < 0.3:
            more["border"] = chance.randrange(40)
        told = asdict(replace(reach(HAND, picks, **more), weft=()))
        made.append({"picks": picks, "measured": more, "told": told})
    return made

"""Double width and tubes: the opened width, the fold, the tabby of each layer."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Draft, lift_plan
from loomready.loomside.steps.double_told import double_told
from loomready.loomside.steps.sleying import ends_of_dents, sleying
from loomready.model.guild import WarpOrder
from loomready.problems import BadInput
from loomready.warp.double_cloth import layers_in
from loomready.warp.figures import figures
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from tests.cast import drafts, guild, order

UP_A, UP_B, LOW_A, LOW_B = [1], [3], [1, 2, 3], [1, 3, 4]
WIDE = lift_plan([1, 2, 3, 4], [UP_A, LOW_A, LOW_B, UP_B], title="Double width")
TUBE = lift_plan([1, 2, 3, 4], [UP_A, LOW_A, UP_B, LOW_B], title="Tube")


def asked(**more) -> WarpOrder:
    return order(**{"layers": 2, "double_cloth": "double width", "finished_width_mm": 1000.0, **more})


def planned(made: WarpOrder, draft: Draft = WIDE) -> WarpPlan:
    room = guild(made)
    return plan_once(made, room, drafts(draft), Shelf(room))[0]


@given(st.floats(300, 1400), st.integers(0, 3))
@settings(max_examples=40)
def test_cloth_of_double_width_lies_half_as_wide_in_the_reed_and_opens_to_its_width(width_mm, left_out):
    plan = planned(asked(finished_width_mm=width_mm, fold_left_out=left_out))
    single = planned(
        order(layers=2, finished_width_mm=width_mm / 2, sett_per_cm=8.0, fold_left_out=0), draft=WIDE
    )
    assert plan.wanted_width_mm == pytest.approx(single.wanted_width_mm)
    assert (plan.web.ends + left_out) % 4 == 0
    assert plan.finished_width_mm == pytest.approx(2 * plan.width_in_reed_mm * 0.94 * 0.92)
    best = min(
        range(1, 400), key=lambda k: (round(abs((4 * k - left_out) * 1.25 - plan.wanted_width_mm), 6), k)
    )
    assert plan.web.ends == 4 * best - left_out
    if left_out == 0:
        assert abs(plan.web.ends - single.web.ends) == 0


def opened(plan: WarpPlan, picks: list[int]) -> np.ndarray:
    """The cloth opened out, bool[rows, ends]: the definition, thread by thread, for tabby of two layers."""
    lifts, shaft = plan.draft.lifts, plan.web.shaft
    upper = [end for end in range(plan.web.ends) if shaft[end] in (0, 2)]
    lower = [end for end in range(plan.web.ends) if shaft[end] in (1, 3)]
    above = [pick for pick in range(lifts.shape[0]) if picks[pick] == 0]
    below = [pick for pick in range(lifts.shape[0]) if picks[pick] == 1]
    rows = []
    for one, two in zip(above, below, strict=True):
        rows.append(
            [bool(lifts[one, shaft[end]]) for end in upper]
            + [not lifts[two, shaft[end]] for end in reversed(lower)]
        )
    return np.array(rows)


@pytest.mark.parametrize("left_out", range(4))
@pytest.mark.parametrize(
    "order_of",
    [p for p in itertools.permutations(range(4)) if p in ((0, 1, 2, 3), (0, 2, 1, 3), (3, 1, 2, 0))],
)
def test_two_ends_alike_at_the_fold_are_told_just_where_the_opened_cloth_has_them(left_out, order_of):
    sheds = [UP_A, LOW_A, LOW_B, UP_B]
    draft = lift_plan([1, 2, 3, 4], [sheds[at] for at in order_of])
    plan = planned(asked(fold_left_out=left_out, finished_width_mm=200.0), draft=draft)
    picks = [0 if at in (0, 3) else 1 for at in order_of]
    cloth = opened(plan, picks)
    neighbors = (cloth[:, 1:] == cloth[:, :-1]).all(axis=0)
    told = "fold-alike" in [problem.code for problem in plan.problems]
    assert told == bool(neighbors.any())


def test_leaving_out_one_end_more_is_offered_where_two_are_alike():
    made = plan_guild(guild(asked(fold_left_out=1)), drafts(WIDE)).warps[0]
    (alike,) = [problem for problem in made.problems if problem.code == "fold-alike"]
    assert [remedy.change for remedy in alike.remedies] == [{"fold_left_out": 2}]


def test_a_tube_of_plain_weave_wants_an_odd_number_of_ends():
    even = plan_guild(guild(asked(double_cloth="tube", finished_width_mm=200.0)), drafts(TUBE)).warps[0]
    assert even.web.ends % 2 == 0
    (alike,) = [problem for problem in even.problems if problem.code == "fold-alike"]
    assert [remedy.change for remedy in alike.remedies] == [{"fold_left_out": 1}]
    odd = planned(asked(double_cloth="tube", finished_width_mm=200.0, fold_left_out=1), draft=TUBE)
    assert odd.web.ends % 2 == 1
    assert "fold-alike" not in [problem.code for problem in odd.problems]
    assert odd.finished_width_mm == pytest.approx(odd.width_in_reed_mm * 0.94 * 0.92)


def test_picks_in_the_order_of_the_other_cloth_are_told():
    wrong = planned(asked(double_cloth="tube", fold_left_out=1), draft=WIDE)
    assert "fold-order" in [problem.code for problem in wrong.problems]
    wrong = planned(asked(), draft=TUBE)
    assert "fold-order" in [problem.code for problem in wrong.problems]
    assert "fold-order" not in [problem.code for problem in planned(asked()).problems]


def test_the_tabby_of_each_layer_is_told_in_the_loom_s_shafts():
    plan = planned(asked())
    found = layers_in(plan)
    assert found is not None
    assert (found.upper, found.lower) == ((0, 2), (1, 3))
    assert found.upper_tabby == ((0,), (2,))
    assert found.lower_tabby == ((0, 1, 2), (0, 2, 3))
    assert (found.turns, layers_in(planned(asked(), draft=TUBE)).turns) == ("double width", "tube")
    told = double_told(plan)
    assert "Upper layer: shafts 1 3; its tabby lifts 1, then 3." in told
    assert "Lower layer: shafts 2 4; its tabby lifts 1 2 3, then 1 3 4, with the upper layer." in told
    assert double_told(planned(order())) == []


@pytest.mark.parametrize("first", range(4))
@pytest.mark.parametrize("end_1", ["left", "right"])
def test_a_shuttle_that_starts_where_it_is_told_goes_to_the_other_layer_at_the_fold(first, end_1):
    lifts = [UP_A, LOW_A, LOW_B, UP_B]
    made = asked()
    room = replace(guild(made), end_1=end_1)
    plan = plan_once(made, room, drafts(lift_plan([1, 2, 3, 4], lifts[first:] + lifts[:first])), Shelf(room))[
        0
    ]
    (line,) = (line for line in double_told(plan) if "one shuttle" in line)
    fold = {"left": "right", "right": "left"}[end_1]
    at = "left" if "starts from the left" in line else "right"
    assert ("the fold:" in line) == (at == fold)
    picks = layers_in(plan).layer_of_pick
    for pick, following in zip(picks, (*picks[1:], picks[0]), strict=True):
        at = {"left": "right", "right": "left"}[at]  # where the shuttle is after the pick
        assert (pick != following) == (at == fold)


def test_a_tube_says_its_order_and_a_wrong_order_of_picks_says_none():
    tube = double_told(planned(asked(double_cloth="tube", fold_left_out=1), draft=TUBE))
    assert any("from either side: upper, lower, and so on." in line for line in tube)
    assert not any("one shuttle" in line for line in double_told(planned(asked(), draft=TUBE)))


def test_layers_that_cannot_be_told_apart_leave_the_fold_alone():
    plan = planned(asked(), draft=lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]]))
    assert layers_in(plan) is None
    assert not {"fold-alike", "fold-order"} & {problem.code for problem in plan.problems}


@pytest.mark.parametrize(("kind", "edges"), [("double width", 1), ("tube", 2)])
def test_the_fold_is_sleyed_wider_from_the_edge_inward(kind, edges):
    plan = planned(asked(double_cloth=kind, fold_sley=(1, 1, 0, 1), reed="forty", finished_width_mm=300.0))
    dents = [last - first + 1 for first, last in ends_of_dents(plan, plan.sley)]
    assert dents[-4:] == [1, 0, 1, 1]
    assert (dents[:4] == [1, 1, 0, 1]) == (edges == 2)
    assert sum(dents) == plan.web.ends
    assert plan.width_in_reed_mm == pytest.approx(len(dents) * 2.5)
    assert sum(step.last - step.first + 1 for step in sleying(plan)) == plan.web.ends


def test_a_repeat_with_borders_leaves_ends_of_its_last_border_out():
    bordered = lift_plan([1, 2, 3, 4] * 3, [UP_A, LOW_A, LOW_B, UP_B])
    plan = planned(asked(repeat_ends=(5, 8), fold_left_out=1, finished_width_mm=300.0), draft=bordered)
    assert plan.web.shaft[-3:].tolist() == [0, 1, 2]
    with pytest.raises(BadInput, match="expected at most these"):
        planned(asked(repeat_ends=(5, 12), fold_left_out=1), draft=bordered)


def test_the_figures_name_the_opened_width():
    labels = [figure.label for figure in figures(planned(asked()))]
    assert "Opened width" in labels
    assert "Finished width" not in labels

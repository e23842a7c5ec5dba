"""Remedies: a change is offered only where it clears the problem and stops nothing else; the least first."""

from dataclasses import replace

import pytest

from loomready.model.guild import Item
from loomready.problems import Problem
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.remedies import with_remedies, with_repeats
from loomready.warp.shelf import Shelf
from tests.cast import CHALK, LOOM, cone, drafts, guild, order

SHORT = (cone("fern-1", meters=1000.0), cone("chalk-1", CHALK))


def planned(the_order=None, **more):
    return plan_guild(guild(*([the_order] if the_order else []), **more), drafts()).warps[0]


def problem(made, code):
    return next(each for each in made.problems if each.code == code)


@pytest.mark.parametrize(
    ("left", "offered"),
    [
        ((), True),
        ((Problem("something-new", "warn", "Look."),), True),
        ((Problem("something-new", "stop", "Stop."),), False),
        ((Problem("yarn-short", "stop", "Still short."),), False),
    ],
)
def test_a_change_is_offered_only_if_it_clears_the_problem_and_nothing_new_stops_the_warp(left, offered):
    plan = planned(cones=SHORT)
    changed = with_remedies(plan, lambda order: replace(plan, problems=left))
    assert bool(problem(changed, "yarn-short").remedies) == offered


def test_a_stop_that_stood_before_does_not_hold_a_remedy_back():
    plan = planned(cones=SHORT)
    old = Problem("stood-before", "stop", "Stop.")
    stopped = replace(plan, problems=(*plan.problems, old))
    changed = with_remedies(stopped, lambda order: replace(plan, problems=(old,)))
    assert problem(changed, "yarn-short").remedies


@pytest.mark.parametrize("meters", [700.0, 900.0, 1100.0])
def test_pieces_are_shortened_by_the_fewest_centimeters_that_clear_the_problem(meters):
    the_order = order(items=(Item(2.0), Item(1.0)))
    stock = (cone("fern-1", meters=meters), cone("chalk-1", CHALK))
    made = planned(the_order, cones=stock)
    remedies = problem(made, "yarn-short").remedies
    shortened = [each for each in remedies if each.says.startswith("pieces of")]

    def short_at(cut: float) -> bool:
        items = (Item(round(2.0 - cut, 2)), Item(int(100 * (1.0 - cut / 2)) / 100))
        cut_order = replace(the_order, items=items)
        room = guild(cut_order, cones=stock)
        tried, _ = plan_once(cut_order, room, drafts(), Shelf(room))
        return any(each.code == "yarn-short" for each in tried.problems)

    fewest = next((cm for cm in range(1, 101) if not short_at(cm / 100)), None)
    if fewest is None:
        assert not shortened
        return
    (found,) = shortened
    assert found.change["items"][0].finished_length_m == pytest.approx(2.0 - fewest / 100)


def test_a_loom_without_a_warp_is_offered_before_one_that_has_one():
    wide = order(finished_width_mm=900.0)
    taken = replace(LOOM, key="birch", name="Birch", weaving_width_mm=1400, longest_reed_mm=1500)
    free = replace(taken, key="cedar", name="Cedar")
    reed = replace(guild().reeds[0], width_mm=1400)
    made = planned(
        wide,
        looms=(LOOM, taken, free),
        reeds=(reed,),
        warps=(wide, order(key="other", loom="birch")),
    )
    says = [each.says for each in problem(made, "too-wide").remedies if each.says.startswith("on ")]
    assert says == ["on Cedar"]
    both = planned(
        wide,
        looms=(LOOM, taken),
        reeds=(reed,),
        warps=(wide, order(key="other", loom="birch")),
    )
    says = [each.says for each in problem(both, "too-wide").remedies if each.says.startswith("on ")]
    assert says == ["on Birch, which already has a warp planned"]


@pytest.mark.parametrize(("units", "mm"), [("us", 25.4), ("metric", 10.0)])
def test_a_width_with_fewer_repeats_is_a_round_one_in_the_units_of_the_guild(units, mm):
    plan = planned(units=units)
    for repeats in range(plan.web.repeats - 6, plan.web.repeats):
        changed = with_repeats(plan, repeats)
        if changed is not None:
            width = changed.finished_width_mm / mm
            assert width == pytest.approx(round(width, 1), abs=1e-6)

"""Ends of one warp that shrink differently get a word; ends that shrink alike, or unknown, do not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from loomready.draft.draft import lift_plan
from loomready.problems import Problem
from loomready.report import plan_text
from loomready.warp.figures import yarn_figures
from loomready.warp.plan import plan_guild
from loomready.warp.result import GuildPlan
from tests.cast import CHALK, FERN, cone, drafts, guild, order

STRIPES = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=[0, 0, 1, 1])


def plan(first: str, second: str, **more: Any) -> GuildPlan:
    yarns = (replace(FERN, fiber=first), replace(CHALK, fiber=second))
    striped = order(warp_yarns=("fern", "chalk"), weft_yarns=("fern",), **more)
    return plan_guild(guild(striped, yarns=yarns), drafts(STRIPES))


def said(made: GuildPlan) -> list[Problem]:
    return [each for each in made.warps[0].problems if each.code == "fibers-differ"]


@pytest.mark.parametrize(
    ("first", "second"), [("cotton", "wool"), ("silk", "merino"), ("Mercerized cotton", "tencel")]
)
def test_ends_that_shrink_differently_are_named_in_a_warning(first: str, second: str) -> None:
    made = plan(first, second)
    (problem,) = said(made)
    assert problem.level == "warn"
    assert f"Fern green ({first}) and Chalk ({second}) in this warp shrink differently" in problem.message
    assert problem.message in plan_text.tell_plan(made)


@pytest.mark.parametrize(
    ("first", "second"),
    [("cotton", "cotton"), ("cotton", "linen"), ("wool", "alpaca"), ("cotton", ""), ("wool", "paper")],
)
def test_one_kind_of_fiber_and_unknown_fibers_get_no_word(first: str, second: str) -> None:
    assert said(plan(first, second)) == []


def test_a_weft_of_another_fiber_is_no_matter_of_the_warp() -> None:
    yarns = (replace(FERN, fiber="cotton"), replace(CHALK, fiber="wool"))
    assert said(plan_guild(guild(yarns=yarns), drafts())) == []


def test_a_warp_on_the_loom_is_still_told_how_to_wash_and_a_finished_one_is_not() -> None:
    assert said(plan("cotton", "wool", wound=date(2026, 9, 1)))
    assert not said(plan("cotton", "wool", wound=date(2026, 9, 1), off=date(2026, 10, 1)))


def test_the_plan_says_how_a_bare_count_was_read() -> None:
    yarns = (replace(FERN, count="10/2", tex=118.11), replace(CHALK, count="10/2 Ne", tex=118.11))
    made = plan_guild(guild(yarns=yarns, cones=(cone("fern-1"), cone("chalk-1", CHALK))), drafts())
    lines = plan_text.tell_plan(made).splitlines()
    assert any(line.startswith("  Fern green, 10/2 (read as 10/2 Ne): needs") for line in lines)
    assert any(line.startswith("  Chalk: needs") for line in lines)


@pytest.mark.parametrize(
    ("count", "name"), [("8/2 Ne", "count, before twisting"), ("8 Ne", "count"), ("R148 tex/2", "count")]
)
def test_how_a_length_was_reckoned_says_that_a_plied_count_is_figured_before_twisting(
    count: str, name: str
) -> None:
    yarns = (replace(FERN, count=count), CHALK)
    warp = plan_guild(guild(yarns=yarns), drafts()).warps[0]
    sure = yarn_figures(warp, warp.yarns[0])[1]
    assert (name, count) in sure.inputs

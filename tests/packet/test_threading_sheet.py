"""The threading sheet runs as the loom does, and says once what is threaded again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from loomready.draft.draft import lift_plan
from loomready.loomside.steps.groups import groups
from loomready.packet.threading import threading
from loomready.packet.words import Data, Letters
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast

LOOM = replace(cast.LOOM, shafts=24, heddles=(40,) * 24)
STRAIGHT = lift_plan(list(range(1, 25)), [[shaft] for shaft in range(1, 25)])


def planned(end_1: str) -> WarpPlan:
    guild = cast.guild(cast.order(), looms=(LOOM,), end_1=end_1)
    return plan_guild(guild, cast.drafts(STRAIGHT)).warps[0]


def sheet(end_1: str) -> tuple[WarpPlan, list[Data]]:
    plan = planned(end_1)
    return plan, threading(plan, Letters.of(plan))["blocks"]


@pytest.mark.parametrize("end_1", ["left", "right"])
def test_a_straight_draw_of_24_is_one_group_that_lies_as_on_the_loom(end_1: str) -> None:
    _, blocks = sheet(end_1)
    shown = [int(end["shaft"]) for four in blocks[0]["fours"] for end in four]
    assert shown == (list(range(1, 25)) if end_1 == "left" else list(range(24, 0, -1)))


@pytest.mark.parametrize("end_1", ["left", "right"])
def test_the_short_four_of_a_group_is_at_the_side_away_from_end_1(end_1: str) -> None:
    five = lift_plan([1, 2, 3, 4, 2], [[1, 2], [2, 3]])  # three repeats of 5 ends to a group
    plan = plan_guild(cast.guild(end_1=end_1), cast.drafts(five)).warps[0]
    sizes = [len(four) for four in threading(plan, Letters.of(plan))["blocks"][0]["fours"]]
    assert sizes == ([4, 4, 4, 3] if end_1 == "left" else [3, 4, 4, 4])


def test_groups_that_are_threaded_again_have_a_line_for_each_time() -> None:
    plan, blocks = sheet("right")
    made = groups(plan.web)
    single, again, *rest = blocks
    assert single["again"] == ""
    assert str(again["again"]).startswith("Group 1 again, ")
    assert len(again["lines"]) + 1 + len(rest) == len(made)
    assert [line["ends"] for line in again["lines"][:2]] == ["25–48", "49–72"]

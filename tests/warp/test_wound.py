"""What is wound, sleyed or threaded already, beside a changed plan."""

from __future__ import annotations

from typing import Any

import pytest

from loomready.draft.draft import Draft, lift_plan
from loomready.model.guild import Item, Reed
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from loomready.warp.wound import STAGES, differences
from tests.cast import LOOM, TWILL, drafts, guild, order

TWO = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=[0, 0, 1, 1])
SWAPPED = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=[0, 1, 0, 1])
POINTED = lift_plan([1, 2, 3, 2], [[1, 2], [2, 3], [1], [3]])


def plan(draft: Draft = TWILL, *, more: dict[str, Any] | None = None, **changes: Any) -> WarpPlan:
    return plan_guild(guild(order(**changes), **(more or {})), drafts(draft)).warps[0]


def keys(done: WarpPlan, wanted: WarpPlan, stage: str) -> list[str]:
    return [each.key for each in differences(done, wanted, stage)]


@pytest.mark.parametrize("stage", STAGES)
def test_the_same_plan_contradicts_nothing(stage: str) -> None:
    assert keys(plan(), plan(), stage) == []


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize(
    "weft", [{"picks_per_cm": 6.0}, {"weft_yarns": ("fern",)}, {"weft_take_up": 0.2}, {"reserve": 0.0}]
)
def test_the_weft_is_free(stage: str, weft: dict[str, Any]) -> None:
    assert keys(plan(), plan(**weft), stage) == []


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({"finished_width_mm": 300.0}, ["ends"]),
        ({"warp_yarns": ("chalk",)}, ["yarns"]),
        ({"items": (Item(2.5),)}, ["length"]),
        ({"take_up": 0.2}, ["length"]),
        ({"max_bout_ends": 60}, ["bouts"]),
        ({"selvedge_ends": 2}, ["bouts"]),
        ({"items": (Item(1.0, count=2),)}, []),
    ],
)
def test_winding_fixes_ends_yarns_length_and_bouts(changes: dict[str, Any], found: list[str]) -> None:
    assert keys(plan(), plan(**changes), "wound") == found


def test_the_length_as_wound_stays_whatever_the_pieces_are() -> None:
    done, wanted = (plan(wound_length_m=4.0, items=(Item(meters),)) for meters in (2.0, 1.5))
    assert keys(done, wanted, "wound") == []


def test_ends_in_another_order_of_colors_are_counted() -> None:
    two = {"warp_yarns": ("fern", "chalk")}
    found = differences(plan(TWO, **two), plan(SWAPPED, **two), "wound")[0]
    assert (found.key, found.done) == ("order", "0")
    roles = [made.web.role.tolist() for made in (plan(TWO, **two), plan(SWAPPED, **two))]
    assert int(found.wanted) == sum(one != other for one, other in zip(*roles, strict=True))


def test_the_reed_counts_from_sleying_on() -> None:
    fine = {"reeds": (Reed("eighty", 8.0, 1000),)}
    done, wanted = plan(), plan(more=fine)
    assert keys(done, wanted, "wound") == []
    (found,) = differences(done, wanted, "sleyed")
    assert (found.done, found.wanted) == ("forty: 2", "eighty: 1")


def test_the_threading_and_the_loom_count_from_threading_on() -> None:
    done, wanted = plan(), plan(POINTED)
    assert "threading" not in keys(done, wanted, "sleyed")
    assert {"threading", "shafts"} <= set(keys(done, wanted, "threaded"))
    other = {"looms": (LOOM, type(LOOM)("oak", "Oak", "jack", 4, 950, (150,) * 4, 0.7))}
    assert keys(plan(more=other), plan(more=other, loom="oak"), "sleyed") == []
    assert keys(plan(more=other), plan(more=other, loom="oak"), "threaded") == ["loom"]

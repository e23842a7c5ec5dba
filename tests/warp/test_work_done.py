"""What is wound, sleyed or threaded already, beside a changed plan."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Any

import pytest

from loomready.draft.draft import Draft, lift_plan
from loomready.model import dressing_order
from loomready.model.guild import Dressing, Item, Reed
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from loomready.warp.work_done import differences
from tests.cast import LOOM, TWILL, drafts, guild, order

TWO = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=[0, 0, 1, 1])
SWAPPED = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=[0, 1, 0, 1])
OAK = replace(LOOM, key="oak", name="Oak", weaving_width_mm=950)
POINTED = lift_plan([1, 2, 3, 2], [[1, 2], [2, 3], [1], [3]])


def plan(draft: Draft = TWILL, *, more: dict[str, Any] | None = None, **changes: Any) -> WarpPlan:
    return plan_guild(guild(order(**changes), **(more or {})), drafts(draft)).warps[0]


ORDERS: tuple[Dressing, ...] = ("back to front", "front to back")
EVERY_STEP = [(step, order) for order in ORDERS for step in dressing_order.steps_in_order(order)]
EVERY_JOB = frozenset(dressing_order.JOBS)


def keys(done: WarpPlan, wanted: WarpPlan, jobs: Collection[str]) -> list[str]:
    return [each.key for each in differences(done, wanted, jobs)]


@pytest.mark.parametrize(("step", "way"), EVERY_STEP)
@pytest.mark.parametrize(
    ("found", "first_fixed_by"),
    [
        ("ends", ("winding",)),
        ("yarns", ("winding",)),
        ("length", ("winding",)),
        ("bouts", ("winding",)),
        ("loom", ("beaming", "threading")),
        ("side", ("beaming", "threading")),
        ("threading", ("threading",)),
        ("shafts", ("threading",)),
        ("shaft_1", ("threading",)),
        ("sley", ("sleying",)),
        ("dent", ("sleying",)),
    ],
)
def test_what_is_done_fixes_its_part_at_every_later_step_in_both_orders(
    step: str, way: Dressing, found: str, first_fixed_by: tuple[str, ...]
) -> None:
    """Brute force: each kind of change against each step, told by where the jobs stand in that order."""
    two = {"looms": (LOOM, OAK), "dressing": way}
    changed = {
        "ends": plan(more=two, finished_width_mm=300.0),
        "yarns": plan(more=two, warp_yarns=("chalk",)),
        "length": plan(more=two, items=(Item(2.5),)),
        "bouts": plan(more=two, max_bout_ends=60),
        "loom": plan(more=two, loom="oak"),
        "side": plan(more=two | {"end_1": "left"}),
        "threading": plan(POINTED, more=two),
        "shafts": plan(POINTED, more=two),
        "shaft_1": plan(more=two | {"shaft_1": "back"}),
        "sley": plan(more=two | {"reeds": (Reed("eighty", 8.0, 1000),)}),
        "dent": plan(more=two | {"reeds": (Reed("forty", 4.0, 900),)}),
    }[found]
    steps = dressing_order.steps_in_order(way)
    since = min(steps.index(dressing_order.JOBS[name].steps[0]) for name in first_fixed_by)
    told = keys(plan(more=two), changed, dressing_order.begun_at(step, way))
    assert (found in told) == (steps.index(step) >= since)


@pytest.mark.parametrize(("step", "way"), EVERY_STEP)
def test_the_order_of_dressing_is_fixed_from_the_first_job_after_winding_until_the_warp_is_tied_on(
    step: str, way: Dressing
) -> None:
    other = next(each for each in ORDERS if each != way)
    told = keys(
        plan(more={"dressing": way}), plan(more={"dressing": other}), dressing_order.begun_at(step, way)
    )
    assert (told == ["dressing"]) == (step in dressing_order.steps_in_order(way)[2:5])


def test_a_warp_threaded_back_to_front_stays_on_its_loom_when_it_is_sleyed_too() -> None:
    two = {"looms": (LOOM, OAK)}
    begun = dressing_order.begun_at("sleyed", "back to front")
    assert keys(plan(more=two), plan(more=two, loom="oak"), begun) == ["loom"]


@pytest.mark.parametrize("jobs", [(), ("winding",), EVERY_JOB])
def test_the_same_plan_contradicts_nothing(jobs: Collection[str]) -> None:
    assert keys(plan(), plan(), jobs) == []


@pytest.mark.parametrize(
    "weft", [{"picks_per_cm": 6.0}, {"weft_yarns": ("fern",)}, {"weft_take_up": 0.2}, {"reserve": 0.0}]
)
def test_the_weft_is_free(weft: dict[str, Any]) -> None:
    assert keys(plan(), plan(**weft), EVERY_JOB) == []


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
    assert keys(plan(), plan(**changes), ["winding"]) == found


def test_the_length_as_wound_stays_whatever_the_pieces_are() -> None:
    done, wanted = (plan(wound_length_m=4.0, items=(Item(meters),)) for meters in (2.0, 1.5))
    assert keys(done, wanted, ["winding"]) == []


def test_ends_in_another_order_of_colors_are_counted() -> None:
    two = {"warp_yarns": ("fern", "chalk")}
    found = differences(plan(TWO, **two), plan(SWAPPED, **two), ["winding"])[0]
    assert (found.key, found.done) == ("order", "0")
    roles = [made.web.role.tolist() for made in (plan(TWO, **two), plan(SWAPPED, **two))]
    assert int(found.wanted) == sum(one != other for one, other in zip(*roles, strict=True))


def test_the_reed_counts_from_sleying_on() -> None:
    fine = {"reeds": (Reed("eighty", 8.0, 1000),)}
    done, wanted = plan(), plan(more=fine)
    assert keys(done, wanted, ["winding"]) == []
    (found,) = differences(done, wanted, ["winding", "sleying"])
    assert (found.done, found.wanted) == ("forty, 40 dents/10 cm: 2", "eighty, 80 dents/10 cm: 1")


def test_the_threading_and_the_loom_count_from_threading_on() -> None:
    done, wanted = plan(), plan(POINTED)
    assert "threading" not in keys(done, wanted, ["winding", "sleying"])
    assert {"threading", "shafts"} <= set(keys(done, wanted, ["winding", "sleying", "threading"]))
    other = {"looms": (LOOM, OAK)}
    assert keys(plan(more=other), plan(more=other, loom="oak"), ["winding", "sleying"]) == []
    assert keys(plan(more=other), plan(more=other, loom="oak"), ["winding", "sleying", "threading"]) == [
        "loom"
    ]


def test_the_ends_on_another_shaft_are_counted() -> None:
    """Of four ends on shafts 1 2 3 2 instead of 1 2 3 4 one is elsewhere."""
    done, wanted = plan(), plan(POINTED)
    assert done.web.ends == wanted.web.ends
    (told,) = (each for each in differences(done, wanted, EVERY_JOB) if each.key == "threading")
    assert told.wanted == f"{done.web.ends // 4}"

"""Weft that was woven before a weighing is not asked for again, and comes off the cones that gave it."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.model.guild import Item, WoundFrom, WovenFrom
from loomready.problems import BadInput
from loomready.warp.length import first_strands_by_yarn, picks_by_yarn, wefts
from loomready.warp.plan import plan_guild
from tests.cast import CHALK, PLAIN, cone, drafts, guild, order

DAY = date(2026, 5, 10)
BARE = plan_guild(guild(order()), drafts()).warps[0]
WEFT_M, PICKS = BARE.yarns[1].weft_m, BARE.picks


def chalk(meters: float, day: date, **more):
    stock = (cone("fern-1", weighed=DAY - timedelta(days=9)), cone("chalk-1", CHALK, meters, weighed=day))
    made = order(wound=DAY, **more)
    return plan_guild(guild(made, cones=stock), drafts()).warps[0].yarns[1]


def test_a_cone_weighed_while_weaving_knows_of_the_picks_that_are_woven() -> None:
    """Two thirds are woven and gone from the cone; what is left is enough for the rest."""
    woven, at = PICKS * 2 // 3, DAY + timedelta(days=2)
    left = WEFT_M * (1 - woven / PICKS) / 0.97 + 1
    assert not chalk(left, at + timedelta(days=1)).enough  # nobody said how much is woven
    need = chalk(left, at + timedelta(days=1), woven_picks=woven, woven_at=at)
    assert need.enough
    assert need.wanted_m == pytest.approx(WEFT_M * (1 - woven / PICKS))
    assert need.on_shelf_m == pytest.approx(left)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, PICKS), st.integers(0, 20), st.booleans())
def test_what_the_plan_says_is_there_is_what_a_scale_would_show(woven: int, weighed: int, off: bool) -> None:
    begin, at = DAY - timedelta(days=3), DAY + timedelta(days=4)
    cut, day = DAY + timedelta(days=9), begin + timedelta(days=weighed)
    part = WEFT_M * woven / PICKS

    def held(when: date) -> float:
        return 5000.0 - (part if when > at else 0.0) - (WEFT_M - part if off and when > cut else 0.0)

    need = chalk(held(day), day, woven_picks=woven, woven_at=at, off=cut if off else None)
    assert need.on_shelf_m == pytest.approx(5000.0 - part - (WEFT_M - part if off else 0.0))
    assert need.wanted_m == pytest.approx(0.0 if off else WEFT_M - part)
    assert need.enough


def test_the_weft_of_a_finished_cloth_comes_off_the_cones_that_gave_it() -> None:
    early, off = DAY - timedelta(days=9), DAY + timedelta(days=5)

    def left(second: date) -> list[float]:
        stock = (
            cone("fern-1", weighed=early),
            cone("chalk-1", CHALK, 3000.0, weighed=early),
            cone("chalk-2", CHALK, 3000.0, weighed=second),
        )
        made = order(wound=DAY, off=off, woven_from=(WovenFrom("chalk-2", WEFT_M),))
        plan = plan_guild(guild(made, cones=stock), drafts()).warps[0]
        return [use.expected_after_m for use in plan.yarns[1].uses]

    assert left(early) == pytest.approx([3000.0, 3000.0 - WEFT_M])
    assert left(off + timedelta(days=1)) == pytest.approx([3000.0, 3000.0])  # the other cone gives nothing


@given(st.integers(0, 400))
def test_the_first_picks_are_those_that_are_woven_first(picks: int) -> None:
    items = (Item(0.2, count=2), Item(0.1, weft_yarns=("fern",)))
    made = order(items=items)
    whole: dict[str, int] = {}
    for weft in wefts(made, drafts(PLAIN)):
        for key, count in picks_by_yarn(weft).items():
            whole[key] = whole.get(key, 0) + count
    first = first_strands_by_yarn(made, drafts(PLAIN), picks)
    total = sum(whole.values())
    assert sum(first.values()) == min(picks, total)
    assert all(count <= whole[key] for key, count in first.items())
    assert "fern" not in first or picks > whole["chalk"]


@settings(max_examples=80, deadline=None)
@given(st.integers(1, PICKS - 1), st.data(), st.lists(st.integers(0, 20), min_size=2, max_size=2))
def test_parts_of_the_weft_come_off_the_cones_that_gave_them_at_their_moments(
    first: int, data: st.DataObject, weighed: list[int]
) -> None:
    """Two counts of picks at two weighings, the weft from two cones: the shelf is what a scale would show."""
    second = data.draw(st.integers(first, PICKS))
    one, two = DAY + timedelta(days=4), DAY + timedelta(days=8)
    parts = [WEFT_M * first / PICKS, WEFT_M * (second - first) / PICKS]
    gave = (WovenFrom("chalk-1", parts[0], one), WovenFrom("chalk-2", parts[1], two))
    stock = [cone("fern-1", weighed=DAY - timedelta(days=9))]
    for number, days in enumerate(weighed):
        day = DAY - timedelta(days=3) + timedelta(days=days)
        held = 4000.0 - (parts[number] if day > (one, two)[number] else 0.0)
        stock.append(cone(f"chalk-{number + 1}", CHALK, held, weighed=day))
    made = order(wound=DAY, woven_picks=second, woven_at=two, woven_from=gave)
    need = plan_guild(guild(made, cones=tuple(stock)), drafts()).warps[0].yarns[1]
    assert need.on_shelf_m == pytest.approx(8000.0 - sum(parts))
    assert need.wanted_m == pytest.approx(WEFT_M - sum(parts), abs=1e-6)


@pytest.mark.parametrize("named", [True, False])
def test_a_cloth_cut_off_early_used_the_weft_of_its_picks_only(named: bool) -> None:
    off = DAY + timedelta(days=9)
    part = WEFT_M / 4
    more = {"woven_from": (WovenFrom("chalk-1", part),)} if named else {}
    need = chalk(5000.0, DAY, woven_picks=PICKS // 4, woven_at=off, off=off, cut_early=True, **more)
    assert need.on_shelf_m == pytest.approx(5000.0 - WEFT_M * (PICKS // 4) / PICKS, rel=1e-3)
    assert need.wanted_m == 0


@pytest.mark.parametrize(
    ("given", "where"),
    [
        ({"off": DAY - timedelta(days=1)}, "off"),
        ({"woven_picks": 5, "woven_at": DAY - timedelta(days=1)}, "woven_at"),
        ({"woven_picks": 5, "woven_at": DAY + timedelta(days=3), "off": DAY + timedelta(days=2)}, "off"),
    ],
)
def test_what_was_done_before_it_could_be_is_refused(given: dict[str, Any], where: str) -> None:
    with pytest.raises(BadInput) as wrong:
        plan_guild(guild(order(wound=DAY, **given)), drafts())
    assert wrong.value.where.endswith(where)


def test_on_one_day_times_say_what_came_first() -> None:
    morning, noon = datetime(2026, 5, 10, 9), datetime(2026, 5, 10, 12)
    with pytest.raises(BadInput):
        plan_guild(guild(order(wound=noon, off=morning)), drafts())
    plan_guild(guild(order(wound=morning, off=noon)), drafts())


@pytest.mark.parametrize(
    ("key", "weighed", "told"),
    [
        ("gone", DAY - timedelta(days=1), True),  # nobody knows which cone gave them
        ("gone", DAY + timedelta(days=1), False),  # what is left was weighed since
        ("chalk-1", DAY + timedelta(days=1), True),  # a cone of the weft yarn gave no ends
    ],
)
def test_a_cone_that_cannot_have_given_the_ends_is_pointed_out(key: str, weighed: date, told: bool) -> None:
    stock = (cone("fern-1", weighed=weighed), cone("chalk-1", CHALK, weighed=weighed))
    made = order(wound=DAY, wound_from=(WoundFrom(key, 372),))
    plan = plan_guild(guild(made, cones=stock), drafts()).warps[0]
    named = plan.guild.name_of_cone(key)
    words = [each.message for each in plan.problems if each.code == "weigh-again"]
    assert any(each.startswith(f"{named} is written down") for each in words) == told


def test_a_count_on_the_day_of_cutting_off_is_not_a_cloth_cut_off_early() -> None:
    off = DAY + timedelta(days=9)
    need = chalk(5000.0, DAY, woven_picks=PICKS // 4, woven_at=off, off=off)
    assert need.on_shelf_m == pytest.approx(5000.0 - WEFT_M)


def test_weft_that_no_row_names_a_cone_for_comes_off_as_planned() -> None:
    at = DAY + timedelta(days=4)
    row = WovenFrom("chalk-1", WEFT_M / 10, at)
    need = chalk(5000.0, DAY, woven_picks=PICKS // 2, woven_at=at, woven_from=(row,))
    woven = WEFT_M * (PICKS // 2) / PICKS
    assert need.on_shelf_m == pytest.approx(5000.0 - woven)
    assert need.wanted_m == pytest.approx(WEFT_M - woven)


@pytest.mark.parametrize("days", [-1, 30])
def test_a_row_outside_of_winding_and_cutting_off_is_refused(days: int) -> None:
    row = WovenFrom("chalk-1", 5.0, DAY + timedelta(days=days))
    more = {"woven_picks": 5, "woven_at": DAY + timedelta(days=1), "off": DAY + timedelta(days=9)}
    with pytest.raises(BadInput) as wrong:
        plan_guild(guild(order(wound=DAY, woven_from=(row,), **more)), drafts())
    assert wrong.value.where.endswith("woven_from")

"""Weft that was woven before a weighing is not asked for again, and comes off the cones that gave it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.model.guild import Item, WovenFrom
from loomready.warp.length import first_picks_by_yarn, picks_by_yarn, wefts
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
    first = first_picks_by_yarn(made, drafts(PLAIN), picks)
    total = sum(whole.values())
    assert sum(first.values()) == min(picks, total)
    assert all(count <= whole[key] for key, count in first.items())
    assert "fern" not in first or picks > whole["chalk"]

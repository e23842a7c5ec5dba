"""A wound warp whose cones are known takes from these and from no others."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.guildfile import decode_record, encode_record
from loomready.model.guild import WoundFrom
from loomready.warp.plan import plan_guild
from tests.cast import CHALK, cone, drafts, guild, order

DAY = date(2026, 5, 10)
ENDS = plan_guild(guild(order()), drafts()).warps[0].web.ends
LENGTH = plan_guild(guild(order()), drafts()).warps[0].warp_length_m


def shelf(first: date | None = None, second: date | None = None):
    return (
        cone("fern-1", meters=4000.0, weighed=first),
        cone("fern-2", meters=4000.0, weighed=second),
        cone("chalk-1", CHALK),
    )


def took(*cones, ends, **more):
    wound_from = tuple(WoundFrom(*each) for each in ends)
    plan = plan_guild(guild(order(wound=DAY, wound_from=wound_from, **more), cones=cones), drafts()).warps[0]
    return {use.cone: (use.ends, use.warp_m) for use in plan.yarns[0].uses}, plan


def test_the_ends_come_off_the_cones_that_gave_them():
    uses, plan = took(*shelf(), ends=[("fern-2", ENDS - 30), ("fern-1", 30)])
    assert uses["fern-1"] == (30, pytest.approx(30 * LENGTH))
    assert uses["fern-2"] == (ENDS - 30, pytest.approx((ENDS - 30) * LENGTH))
    assert plan.yarns[0].on_shelf_m == pytest.approx(8000 - ENDS * LENGTH)
    assert sum(count for bout in plan.bouts for _, count in bout.cones) == ENDS


def test_a_cone_weighed_since_knows_of_its_ends_and_the_other_does_not():
    uses, plan = took(*shelf(first=DAY + timedelta(days=1)), ends=[("fern-2", ENDS - 30), ("fern-1", 30)])
    assert uses["fern-1"] == (30, 0.0)
    assert plan.yarns[0].on_shelf_m == pytest.approx(8000 - (ENDS - 30) * LENGTH)


def test_a_cone_that_was_used_up_and_removed_gave_its_ends_all_the_same():
    uses, plan = took(*shelf(), ends=[("gone", ENDS)])
    assert [each[1] for each in uses.values()] == [0.0, 0.0]
    assert plan.yarns[0].enough
    assert not [each for each in plan.problems if each.level == "stop"]


@settings(max_examples=60, deadline=None)
@given(st.integers(0, ENDS), st.integers(0, 20), st.integers(0, 20), st.booleans())
def test_what_the_plan_says_is_there_is_what_a_scale_would_show(split, first, second, off):
    """Weigh the two cones on any day, before or after winding and cutting off: no meter vanishes."""
    begin = date(2026, 5, 1)
    cut = begin + timedelta(days=15)
    days = [begin + timedelta(days=first), begin + timedelta(days=second)]
    ends = {"fern-1": split, "fern-2": ENDS - split}

    def held(key: str, day: date) -> float:
        return 4000.0 - (ends[key] * LENGTH if day > DAY else 0.0)

    cones = (
        cone("fern-1", meters=held("fern-1", days[0]), weighed=days[0]),
        cone("fern-2", meters=held("fern-2", days[1]), weighed=days[1]),
        cone("chalk-1", CHALK, weighed=begin),
    )
    told = [(key, count) for key, count in ends.items() if count]
    _, plan = took(*cones, ends=told, off=cut if off else None)
    assert plan.yarns[0].on_shelf_m == pytest.approx(8000 - ENDS * LENGTH)
    chalk = 5000.0 - (plan.yarns[1].weft_m if off else 0.0)
    assert plan.yarns[1].on_shelf_m == pytest.approx(chalk)
    assert plan.yarns[0].enough


def test_the_guild_file_keeps_which_cones_gave_the_ends():
    made = replace(order(), wound=DAY, wound_from=(WoundFrom("fern-1", 30), WoundFrom("fern-2", 290)))
    table = encode_record("warps", made, "metric")
    assert table["wound_from"] == [{"cone": "fern-1", "ends": 30}, {"cone": "fern-2", "ends": 290}]
    assert decode_record("warps", table) == made

"""Hours of the jobs of a warp: from its order, the guild's pace, its records, or a default."""

from __future__ import annotations

import dataclasses
from datetime import date

import pytest

from loomready.event.job_hours import job_times, log_sd
from loomready.loomside.learning.finished_warps import ProjectRecord, Worked
from loomready.model.event import WORK, JobHours, Pace
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast


def planned(pace: Pace | None = None, **more: object) -> WarpPlan:
    guild = cast.guild(cast.order(**more), pace=pace or Pace())
    return plan_guild(guild, cast.drafts()).warps[0]


def hours(plan: WarpPlan) -> dict[str, float]:
    return {each.job: each.hours for each in job_times(plan)}


def test_jobs_come_in_the_guilds_order_of_dressing():
    plan = planned()
    assert [each.job for each in job_times(plan)] == list(WORK)
    front = dataclasses.replace(plan, guild=dataclasses.replace(plan.guild, dressing="front to back"))
    assert [each.job for each in job_times(front)][:4] == ["winding", "sleying", "threading", "beaming"]


def test_what_the_order_says_counts_and_no_hours_leave_a_job_out():
    times = {each.job: each for each in job_times(planned(hours=JobHours(winding_h=2.0, test_weaving_h=0.0)))}
    assert "test weaving" not in times
    assert (times["winding"].hours, times["winding"].source) == (2.0, "order")
    assert times["threading"].source == "default"


def test_a_warp_that_is_wound_needs_no_winding_and_one_that_is_off_nothing():
    assert "winding" not in hours(planned(wound=date(2026, 9, 1)))
    assert job_times(planned(wound=date(2026, 9, 1), off=date(2026, 9, 9))) == ()


def test_the_guilds_pace_is_threads_over_pace_and_two_share_the_beam():
    plan = planned(Pace(winding=100.0, beaming=100.0, sure=0.5))
    made = hours(plan)
    assert made["winding"] == pytest.approx(plan.web.every_end / 100)
    assert made["beaming"] == pytest.approx(plan.web.ends / 200)


def test_a_surer_guild_plans_more_hours():
    half, most = (hours(planned(Pace(sure=sure)))["threading"] for sure in (0.5, 0.9))
    # the 90 % quantile of a standard normal is 1.2816 (any table of it)
    assert most / half == pytest.approx(2.718281828 ** (1.2816 * log_sd(0.25)), rel=1e-4)


def test_records_of_the_guild_teach_its_pace_and_say_so():
    plan = planned()
    record = ProjectRecord(
        "first",
        plan.loom.key,
        "twill",
        (),
        (),
        {"fern": 240},
        {"fern": 7.0},
        400.0,
        5.0,
        worked=(Worked("threading", 4.0),),
    )
    [learned] = [each for each in job_times(plan, [record]) if each.job == "threading"]
    [default] = [each for each in job_times(plan) if each.job == "threading"]
    assert (learned.source, learned.warps) == ("records", ("first",))
    assert "first" in learned.where_from
    assert learned.median_h > default.median_h  # 60 ends per hour are slower than the default
    assert default.where_from == "common practice, no source"


def test_a_longer_warp_takes_longer_to_wind_and_more_shafts_longer_to_thread():
    short, long = (
        planned(items=(dataclasses.replace(cast.order().items[0], finished_length_m=length),))
        for length in (1.0, 4.0)
    )
    assert hours(long)["winding"] > hours(short)["winding"]
    assert hours(long)["threading"] == hours(short)["threading"]

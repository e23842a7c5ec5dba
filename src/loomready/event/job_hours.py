"""Hours of each job of a warp: what its order says, or its threads by a pace.

The pace is the guild's own where its file gives one or its project records taught one. Else it is a default
in threads per hour and person, for a warp of 5 m on 4 shafts (common practice, no source). With the default,
half of the time of winding and beaming goes with the length, and each shaft more makes threading 3 % slower
(our choice, no source). A test weave takes 20 min and one minute for each different shed (our choice, no
source).

Hours of a job are lognormal around their median. They are planned as the quantile that the guild asks for;
hours that the order says are planned as they are.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import NormalDist
from types import MappingProxyType
from typing import Literal

from loomready.loomside.learning.finished_warps import RATES, ProjectRecord, rate
from loomready.model.dressing_order import jobs_in_order
from loomready.model.event import Skill
from loomready.phrases import Phrase, listed, phrase
from loomready.warp.result import WarpPlan

Source = Literal["order", "guild", "records", "default"]

SKILL_OF: Mapping[str, Skill] = MappingProxyType(
    {
        "winding": "winding",
        "beaming": "beaming",
        "threading": "threading",
        "sleying": "sleying",
        "tying": "tying on",
        "test-weave": "test weaving",
    }
)
"""What each job before weaving is called among the skills."""

USUAL_M, USUAL_SHAFTS = 5.0, 4
WITH_LENGTH = 0.5  # share of the time of winding and beaming that goes with the length
EACH_SHAFT = 0.03
TEST_H, EACH_SHED_H = 1 / 3, 1 / 60
AT_THE_BEAM = 2  # people


@dataclass(frozen=True, slots=True)
class JobTime:
    """Time that a job takes whoever does it; beaming: two people.

    ``median_h``: as often more as less; ``sigma``: standard deviation of its logarithm; ``hours``: what is
    planned. ``warps``: whose records taught the pace.
    """

    job: Skill
    hours: float
    median_h: float
    sigma: float
    source: Source
    warps: tuple[str, ...] = ()

    @property
    def where_from(self) -> Phrase:
        """Where the hours come from, in a few words."""
        if self.source == "order":
            return phrase("as the warp's order says")
        if self.source == "guild":
            return phrase("at the guild's pace")
        if self.source == "records":
            return phrase("at the pace of {warps}", warps=listed(self.warps))
        return phrase("common practice, no source")


def log_sd(spread: float) -> float:
    """The standard deviation of the logarithm of hours whose own is this share of their mean."""
    return math.sqrt(math.log1p(spread * spread))


def job_times(plan: WarpPlan, records: Iterable[ProjectRecord] = ()) -> tuple[JobTime, ...]:
    """The jobs from winding to the test weave in the guild's order, less those that take no time.

    A warp that is wound needs no winding, one that is off needs nothing.
    """
    order, guild, records = plan.order, plan.guild, tuple(records)
    if order.off is not None:
        return ()
    quantile = NormalDist().inv_cdf(guild.pace.sure)
    made: list[JobTime] = []
    for name in jobs_in_order(guild.dressing):
        job = SKILL_OF.get(name)
        if job is None or (job == "winding" and order.wound is not None):
            continue
        median, sigma, source, warps = _median(plan, job, records)
        hours = median if source == "order" else median * math.exp(quantile * sigma)
        if hours > 0:
            made.append(JobTime(job, hours, median, sigma, source, warps))
    return tuple(made)


def _median(
    plan: WarpPlan, job: Skill, records: tuple[ProjectRecord, ...]
) -> tuple[float, float, Source, tuple[str, ...]]:
    """The median in hours, the standard deviation of its logarithm, and where they come from."""
    pace = plan.guild.pace
    sigma = log_sd(pace.spread)
    said = plan.order.hours.of(job)
    if said is not None:
        return said, sigma, "order", ()
    if job == "test weaving":
        return TEST_H + EACH_SHED_H * plan.analysis.distinct_lifts, sigma, "default", ()
    threads = plan.web.every_end if job == "winding" else plan.web.ends
    people = AT_THE_BEAM if job == "beaming" else 1
    if (own := pace.of(job)) is not None:
        return threads / own / people, sigma, "guild", ()
    learned = rate(job, plan.loom.key, records)
    if learned.count:
        return threads / learned.mean / people, math.hypot(sigma, learned.sd), "records", learned.warps
    hours = threads / RATES[job].mean / people
    if job in ("winding", "beaming"):
        length_m = plan.warp_length_m if plan.second is None else plan.warp_m / plan.web.every_end
        hours *= 1 - WITH_LENGTH + WITH_LENGTH * length_m / USUAL_M
    elif job == "threading":
        hours *= 1 + EACH_SHAFT * max(0, plan.analysis.shafts_used - USUAL_SHAFTS)
    return hours, sigma, "default", ()

"""What was reported at the looms, as a plan of the work takes it: jobs that are done take no more hours.

A warp of which something is reported counts as far as it is reported. Of the others the sessions that people
were told and that are over count as done.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from loomready.app.loomside import project_record
from loomready.app.progress.warp_progress import progress_of
from loomready.app.state import agreed_plan
from loomready.app.state.snapshot import Planned, Snapshot
from loomready.event.job_hours import SKILL_OF, job_times
from loomready.event.places import Kept, warps_of
from loomready.event.replan import Session
from loomready.loomside.learning.finished_warps import ProjectRecord
from loomready.loomside.log.progress import Progress
from loomready.model.event import JobHours, Skill
from loomready.model.guild import Guild, WarpOrder
from loomready.warp.result import WarpPlan

JOB_OF: Mapping[Skill, str] = {skill: job for job, skill in SKILL_OF.items()}
"""What each skill is called among the jobs at the loom."""


@dataclass(frozen=True, slots=True)
class Reported:
    """The guild with the hours that are left, and the told sessions that still count.

    ``shares``: by warp and job, the reported part of it, of warps of which something is reported;
    ``begun``: their looms and reeds; ``places``: looms and reeds of all warps, as their own pages have them.
    """

    guild: Guild
    told: tuple[Session, ...] | None
    shares: Mapping[tuple[str, Skill], float]
    records: tuple[ProjectRecord, ...]
    begun: Mapping[str, Kept]
    places: Mapping[str, Kept]


def reported(snapshot: Snapshot, now: datetime) -> Reported:
    records = tuple(project_record.results(snapshot))
    shares: dict[tuple[str, Skill], float] = {}
    left: dict[str, WarpOrder] = {}
    places: dict[str, Kept] = {}
    for order in warps_of(snapshot.guild):
        planned = snapshot.plan_of(order.key)
        if planned is None or planned.plan is None:
            continue
        places[order.key] = (planned.plan.loom.key, reed_of(planned.plan))
        at = progress_of(snapshot, planned)
        if at.begun:
            of_warp = _shares(at)
            shares |= {(order.key, skill): share for skill, share in of_warp.items()}
            left[order.key] = _left(order, planned, of_warp, records)
    guild = replace(snapshot.guild, warps=tuple(left.get(order.key, order) for order in snapshot.guild.warps))
    told = agreed_plan.sessions(snapshot)
    begun = {warp: places[warp] for warp in left}
    still = None if told is None else tuple(_still(told, set(begun), now))
    return Reported(guild, still, shares, records, begun, places)


def reed_of(plan: WarpPlan) -> str | None:
    """The key of the reed that a warp's own page plans with."""
    return None if plan.sley is None else plan.sley.reed.key


def _shares(at: Progress) -> dict[Skill, float]:
    return {
        SKILL_OF[each.name]: 1.0 if each.finished else min(1.0, each.done / each.of) if each.of else 0.0
        for each in at.jobs
        if each.name in SKILL_OF
    }


def _left(
    order: WarpOrder, planned: Planned, shares: Mapping[Skill, float], records: tuple[ProjectRecord, ...]
) -> WarpOrder:
    """The order with the hours that are left, on the loom on which it was begun."""
    assert planned.plan is not None
    hours: dict[str, float] = {}
    for each in job_times(planned.plan, records):
        share = shares.get(each.job, 0.0)
        if share:
            hours[f"{each.job.replace(' ', '_')}_h"] = each.hours * (1 - share)
    said: JobHours = replace(order.hours, **hours)
    return replace(order, hours=said, loom=planned.plan.loom.key, looms=())


def _still(told: Iterable[Session], begun: set[str], now: datetime) -> Iterable[Session]:
    """Of warps that are reported, only what is to come: what is over is in the reports."""
    for each in told:
        if each.warp not in begun or each.start >= now:
            yield each
        elif each.end > now:
            yield replace(each, start=now)

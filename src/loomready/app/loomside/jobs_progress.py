"""The progress of each warp's jobs, for the list of At the loom pages."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from loomready.app.loomside import jobs_data as jobs
from loomready.app.loomside import slips_data
from loomready.app.loomside.jobs_words import words
from loomready.app.progress.warp_progress import progress_of
from loomready.app.state.snapshot import Planned, Snapshot
from loomready.model.dressing_order import CUT_OFF


@dataclass(frozen=True, slots=True)
class JobAt:
    name: str
    label: Any
    done: int
    of: int
    finished: bool


@dataclass(frozen=True, slots=True)
class WarpAt:
    """``now``: the job to go on with; ``error``: why there is none; ``note``: why a job is not listed.

    ``begun``: something is done of it
    """

    key: str
    name: str
    loom: str
    jobs: tuple[JobAt, ...]
    now: str
    error: str
    note: str = ""
    begun: bool = False

    @property
    def jobs_left(self) -> int:
        return sum(not job.finished for job in self.jobs)


def overview(snapshot: Snapshot) -> list[WarpAt]:
    """Every warp that is not off its loom, those in progress first, the furthest of them at the top."""
    every = [
        warp_at(snapshot, planned)
        for planned in snapshot.planned
        if planned.plan is None or progress_of(snapshot, planned).step != CUT_OFF
    ]
    return sorted(every, key=lambda warp: (not warp.begun, warp.begun and warp.jobs_left))


def warp_at(snapshot: Snapshot, planned: Planned) -> WarpAt:
    """The jobs of one warp; once it is off its loom the last of them is the one to show."""
    plan, key = planned.plan, planned.order.key
    loom = snapshot.guild.loom(planned.order.loom).name
    if plan is None:
        return WarpAt(
            key, planned.order.name, loom, (), "winding", planned.error.line() if planned.error else ""
        )
    steps = jobs.steps_of(plan, *jobs.beam_of(snapshot, plan.loom.key))
    said, at = words(), progress_of(snapshot, planned)
    made = tuple(
        JobAt(each.name, said[each.name], each.done, steps[each.name]["units"], each.finished)
        for each in at.jobs
        if each.name in steps
    )
    now = at.now.name if at.now is not None and at.now.name in steps else made[-1].name
    return WarpAt(key, planned.order.name, loom, made, now, "", slips_data.why_none(plan), bool(at.begun))

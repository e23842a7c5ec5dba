"""How far each warp's jobs are, for the list of pages beside the loom."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from loomready.app.loomside import facts, jobs
from loomready.app.loomside.jobs_words import words
from loomready.app.models import Fact, JobPlan
from loomready.app.room import Planned, Room
from loomready.loomside import facts as engine
from loomready.loomside.differ import moves, plan_name
from loomready.loomside.order import jobs_in_order


@dataclass(frozen=True, slots=True)
class JobAt:
    name: str
    label: Any
    done: int
    of: int

    @property
    def finished(self) -> bool:
        return self.done >= self.of


@dataclass(frozen=True, slots=True)
class WarpAt:
    """``now``: the job to go on with; ``error``: why there is none."""

    key: str
    loom: str
    jobs: tuple[JobAt, ...]
    now: str
    error: str


def overview(room: Room) -> list[WarpAt]:
    return [_warp(room, planned) for planned in room.planned]


def _warp(room: Room, planned: Planned) -> WarpAt:
    plan, key = planned.plan, planned.order.key
    loom = room.guild.loom(planned.order.loom).name
    if plan is None:
        return WarpAt(key, loom, (), "winding", planned.error.line() if planned.error else "")
    steps = jobs.steps_of(plan, *jobs.beam_of(room, plan.loom.key))
    said = words()
    touched = set(Fact.objects.filter(warp=key).values_list("job", flat=True))
    made = [
        JobAt(
            name,
            said[name],
            int(done_of(key, name, steps[name]).sum()) if name in touched else 0,
            steps[name]["units"],
        )
        for name in jobs_in_order(plan.guild.dressing)
        if name in steps
    ]
    now = next((each.name for each in made if not each.finished), made[-1].name)
    return WarpAt(key, loom, tuple(made), now, "")


def done_of(warp: str, name: str, job: dict[str, Any]) -> npt.NDArray[np.bool_]:
    """What is done of a job by all facts that count for its plan now, bool[units]."""
    signs = job["signs"]
    plan = plan_name(name, signs)
    kept = facts.of_job(warp, name)
    others = {fact.plan for fact in kept} - {plan}
    contents = JobPlan.objects.filter(warp=warp, job=name, plan__in=others) if others else ()
    earlier: dict[str, engine.Moves] = {each.plan: moves(each.signs, signs) for each in contents}
    return engine.state(kept, job["units"], plan, earlier)

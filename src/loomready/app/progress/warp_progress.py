"""The progress of a warp, from its marked step and from the facts reported at the loom."""

from __future__ import annotations

import threading
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
from django.db.models import Count, Max

from loomready.app.loomside import jobs_data
from loomready.app.models import Fact, JobPlan
from loomready.app.state import facts
from loomready.app.state.snapshot import Planned, Snapshot
from loomready.loomside.log import facts as engine
from loomready.loomside.log.plan_diff import moves
from loomready.loomside.log.progress import Progress, progress
from loomready.loomside.steps.tying_in import left_out as jobs_left_out
from loomready.model import dressing_order
from loomready.model.guild import Dressing
from loomready.warp.result import WarpPlan

_counting = threading.Lock()


def step_of(snapshot: Snapshot, key: str) -> str:
    """The marked step; a date of winding or of cutting off in the guild file counts as marked."""
    entry = snapshot.entry("progress", key)
    step = str(entry.fields.get("step", dressing_order.PLANNED)) if entry else dressing_order.PLANNED
    order = next((each for each in snapshot.guild.warps if each.key == key), None)
    if order is not None and order.off is not None:
        return dressing_order.CUT_OFF
    if step in dressing_order.STEPS and step != dressing_order.PLANNED:
        return step
    wound = order is not None and order.wound is not None
    return dressing_order.JOBS["winding"].step if wound else dressing_order.PLANNED


def progress_of(snapshot: Snapshot, planned: Planned) -> Progress:
    """One warp's progress; a warp that is cut off needs no look at its facts."""
    key, order = planned.order.key, snapshot.guild.dressing
    ticked = step_of(snapshot, key)
    left_out = jobs_left_out(planned.plan) if planned.plan else dressing_order.SELDOM
    order = planned.plan.dressing if planned.plan else order
    if ticked == dressing_order.CUT_OFF:
        return progress(ticked, order, {}, left_out=left_out)
    reported, worked = {}, set()
    stamps = Fact.objects.filter(warp=key).values_list("job").annotate(Count("pk"), Max("pk"), Max("name"))
    touched = {job: stamp for job, *stamp in stamps.order_by("job")}
    if touched:
        plan = planned.plan
        beam = jobs_data.beam_of(snapshot, plan.loom.key) if plan else (None, None)
        plans = tuple(JobPlan.objects.filter(warp=key).order_by("pk").values_list("job", "plan"))
        for name, stamp in touched.items():
            done, of, any_done = _counted_once(key, name, plan, beam, (*stamp, plans))
            reported[name] = (done, of)
            if any_done:
                worked.add(name)
    if planned.plan is not None and planned.plan.loom.is_rigid_heddle:
        ticked = _one_act(ticked, order)
        if "threading" in reported:
            reported["sleying"] = reported["threading"]
    return progress(ticked, order, reported, worked, left_out)


def reported(snapshot: Snapshot, planned: Planned, name: str) -> tuple[int, int]:
    """What is reported done of a job, of how much, also of a warp that is cut off."""
    plan, key = planned.plan, planned.order.key
    if plan is None:
        return 0, 0
    stamp = Fact.objects.filter(warp=key, job=name).aggregate(Count("pk"), Max("pk"), Max("name"))
    if not stamp["pk__count"]:
        return 0, 0
    plans = tuple(JobPlan.objects.filter(warp=key).order_by("pk").values_list("job", "plan"))
    beam = jobs_data.beam_of(snapshot, plan.loom.key)
    return _counted_once(key, name, plan, beam, (*stamp.values(), plans))[:2]


def _one_act(ticked: str, order: Dressing) -> str:
    """The marked step on a rigid heddle loom, which is threaded and sleyed at once: the later of the two."""
    steps = [step for step in dressing_order.steps_in_order(order) if step in ("threaded", "sleyed")]
    return steps[-1] if ticked in steps else ticked


def _counted_once(*asked: Any) -> tuple[int, int, bool]:
    """One thread counts what many ask for: each would hold all the facts in the meantime."""
    with _counting:
        return _counted(*asked)


@lru_cache(maxsize=256)
def _counted(
    warp: str,
    name: str,
    plan: WarpPlan | None,
    beam: tuple[float | None, float | None],
    stamp: tuple[Any, ...],
) -> tuple[int, int, bool]:
    """What is done of a job, of how much, and whether anything is done by any plan.

    :param stamp: changes with the facts and their plans: facts are only added
    """
    made = facts.of_job(warp, name)
    steps = jobs_data.steps_of(plan, *beam) if plan else {}
    if name not in steps:
        return 0, 0, _any_done(made)
    done = int(done_by(made, warp, name, steps[name]).sum())
    return done, int(steps[name]["units"]), done > 0 or _any_done(made)


def _any_done(made: list[engine.Fact]) -> bool:
    """Whether something is done under any earlier plan, even one whose content was not kept."""
    of_plan: dict[str, list[engine.Fact]] = {}
    for fact in made:
        of_plan.setdefault(fact.plan, []).append(fact)
    return any(
        engine.state(each, max(fact.last for fact in each), plan).any() for plan, each in of_plan.items()
    )


def done_of(warp: str, name: str, job: dict[str, Any]) -> npt.NDArray[np.bool_]:
    """What is done of a job by all facts that count for its plan now, bool[units]."""
    return done_by(facts.of_job(warp, name), warp, name, job)


def done_by(kept: list[engine.Fact], warp: str, name: str, job: dict[str, Any]) -> npt.NDArray[np.bool_]:
    """What of a job is done by these facts, those under earlier plans included, bool[units]."""
    signs = job["signs"]
    plan = job["plan"]
    others = {fact.plan for fact in kept} - {plan}
    contents = JobPlan.objects.filter(warp=warp, job=name, plan__in=others) if others else ()
    earlier: dict[str, engine.Moves] = {each.plan: moves(each.signs, signs) for each in contents}
    return engine.state(kept, job["units"], plan, earlier)

"""The jobs between a planned warp and a cloth off the loom: their order, their steps, what each one fixes.

Everything that needs the order of the jobs reads it here: progress, the guard of a warp in progress, sheets,
the pages at the loom. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from loomready.model.guild import Dressing

Part = Literal["warp", "loom", "threading", "sley", "order"]
PLANNED, CUT_OFF = "planned", "cut off"


@dataclass(frozen=True, slots=True)
class Job:
    """One job of dressing or weaving.

    steps  the steps of the warp that lie in this job, in order; at the last one the job is done
    fixes  what cannot be planned otherwise once some of the job is done: "warp" (ends, yarns in order,
           length, bouts), "loom" (and the side of end 1), "threading" (shaft of each end, the loom's shafts
           in use), "sley" (reed, ends per dent, first dent), "order" (front to back or back to front)
    """

    name: str
    steps: tuple[str, ...]
    fixes: frozenset[Part]

    @property
    def step(self) -> str:
        """The step that a warp has reached once the job is done."""
        return self.steps[-1]

    @property
    def reported_step(self) -> str:
        """The step reached once all of the job is reported at the loom: cutting off is not reported."""
        return next(step for step in reversed(self.steps) if step != CUT_OFF)


_JOBS = (
    Job("winding", ("wound",), frozenset({"warp"})),
    Job("beaming", ("beamed",), frozenset({"loom", "order"})),
    Job("tying-in", ("tied in",), frozenset({"loom", "threading", "sley", "order"})),
    Job("sleying", ("sleyed",), frozenset({"sley", "order"})),
    Job("threading", ("threaded",), frozenset({"loom", "threading", "order"})),
    Job("tying", ("tied on",), frozenset({"loom"})),
    Job("test-weave", ("tested",), frozenset()),
    Job("weaving", ("weaving", CUT_OFF), frozenset()),
)
JOBS: Mapping[str, Job] = MappingProxyType({job.name: job for job in _JOBS})
STEPS = (PLANNED, *(step for job in _JOBS for step in job.steps))
_ORDERS: Mapping[Dressing, tuple[str, ...]] = {
    "back to front": (
        *("winding", "beaming", "tying-in", "threading", "sleying", "tying", "test-weave", "weaving"),
    ),
    "front to back": (
        *("winding", "tying-in", "sleying", "threading", "beaming", "tying", "test-weave", "weaving"),
    ),
}
SELDOM = frozenset({"tying-in"})
"""Jobs that only warps tied on to an old one have: left out wherever nothing else is said."""


def jobs_in_order(dressing: Dressing, left_out: Collection[str] = SELDOM) -> tuple[str, ...]:
    """The names of all jobs, first to last, without those that a warp leaves out."""
    return tuple(name for name in _ORDERS[dressing] if name not in left_out)


def steps_in_order(dressing: Dressing, left_out: Collection[str] = SELDOM) -> tuple[str, ...]:
    """All steps of a warp, from "planned" to "cut off", without those of jobs that it leaves out."""
    return (PLANNED, *(step for name in jobs_in_order(dressing, left_out) for step in JOBS[name].steps))


def kept_step(step: str, dressing: Dressing, left_out: Collection[str]) -> str:
    """The step, or where a warp leaves out its job, the last one before it that the warp has.

    >>> kept_step("beamed", "back to front", {"beaming"})
    'wound'
    """
    every, kept = steps_in_order(dressing, ()), steps_in_order(dressing, left_out)
    return next(each for each in reversed(every[: every.index(step) + 1]) if each in kept)


def job_of(step: str) -> str:
    """The job that brings a warp to this step; "" for "planned"."""
    return next((job.name for job in _JOBS if step in job.steps), "")


def done_before(job: str, dressing: Dressing, left_out: Collection[str] = SELDOM) -> tuple[str, ...]:
    """The jobs that come before this one, which is none of those left out."""
    names = jobs_in_order(dressing, left_out)
    return names[: names.index(job)]


def begun_at(step: str, dressing: Dressing, left_out: Collection[str] = SELDOM) -> tuple[str, ...]:
    """The jobs of which something is done once a warp has reached this step.

    >>> begun_at("threaded", "back to front"), begun_at("planned", "front to back")
    (('winding', 'beaming', 'threading'), ())
    """
    job = job_of(kept_step(step, dressing, left_out))
    return (*done_before(job, dressing, left_out), job) if job else ()


def done_at(step: str, dressing: Dressing, left_out: Collection[str] = SELDOM) -> tuple[str, ...]:
    """The jobs that are done once a warp has reached this step."""
    begun = begun_at(step, dressing, left_out)
    return tuple(name for name in begun if name != job_of(step) or JOBS[name].step == step)


def fixed_by(jobs: Collection[str]) -> frozenset[Part]:
    """What the jobs that are begun or done fix.

    The order of dressing matters until the warp is tied on; after that nothing of it is left to do.
    """
    parts = frozenset[Part]().union(*(JOBS[name].fixes for name in jobs))
    return parts - {"order"} if "tying" in jobs else parts

"""The progress of a warp, from the step that was marked and from what was reported at the loom."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from loomready.model import dressing_order
from loomready.model.guild import Dressing
from loomready.problems import Problem

# A warning is settled once this job is finished: a threaded loom moves no heddles.
SETTLED_BY = {
    "lots-side-by-side": "winding",
    "flawed-yarn": "winding",
    "fibers-differ": "winding",
    "unbalanced-edge": "winding",
    "fold-alike": "winding",
    "heddles-move": "threading",
    "no-sley": "sleying",
    "crowded-dent": "sleying",
    "too-close": "sleying",
    "width-off": "sleying",
}


@dataclass(frozen=True, slots=True)
class JobProgress:
    """``done`` of ``of`` units (ends, turns, knots, picks) are reported; ``of`` 0: nothing is.

    ``finished``: by the reports, by the ticked step, or because a later job is finished.
    """

    name: str
    done: int
    of: int
    finished: bool

    @property
    def partly(self) -> bool:
        """Some of it is reported, and it is not finished."""
        return not self.finished and self.done > 0


@dataclass(frozen=True, slots=True)
class Progress:
    """The progress of one warp.

    ticked  the step that somebody ticked
    step    the last step reached, by what was ticked or reported
    begun   the names of the jobs of which something is done, first to last
    jobs    all jobs in the order of dressing
    now     the job to go on with; None once the warp is cut off
    """

    ticked: str
    step: str
    begun: tuple[str, ...]
    jobs: tuple[JobProgress, ...]
    now: JobProgress | None
    steps: tuple[str, ...]

    def open_problems(self, problems: Iterable[Problem]) -> tuple[Problem, ...]:
        """The problems of its plan that still matter: no warnings about what is already done."""
        done = {job.name for job in self.jobs if job.finished}
        return tuple(
            each for each in problems if each.level == "stop" or SETTLED_BY.get(each.code) not in done
        )

    @property
    def next_step(self) -> str:
        """The step that the job to go on with leads to; "" once the warp is cut off."""
        if self.now is None:
            return ""
        at = self.steps.index(self.step)
        ahead = dressing_order.JOBS[self.now.name].steps
        return next(step for step in self.steps[at + 1 :] if step in ahead)


def progress(
    ticked: str,
    order: Dressing,
    reported: Mapping[str, tuple[int, int]],
    worked: Collection[str] = (),
    left_out: Collection[str] = dressing_order.SELDOM,
) -> Progress:
    """The progress of a warp.

    A job that is reported complete is done, and so are all jobs before it: a warp is not threaded before it
    is wound, even if nobody reported the winding. Cutting off is only marked, never reported.

    :param reported: for each job with reports, how many of its units are done, and of how many
    :param worked: jobs in which something was done, also by a plan that has changed since
    :param left_out: jobs that the warp does not have
    """
    names = dressing_order.jobs_in_order(order, left_out)
    steps = dressing_order.steps_in_order(order, left_out)
    ticked = dressing_order.kept_step(ticked, order, left_out)
    reported = {name: counts for name, counts in reported.items() if name in names}
    worked = [name for name in worked if name in names]
    whole = [name for name in names if 0 < reported.get(name, (0, 0))[1] <= reported[name][0]]
    touched = {*worked, *(name for name, (done, _of) in reported.items() if done)}
    reached = [ticked, *(dressing_order.JOBS[name].reported_step for name in whole)]
    if "weaving" in touched:
        reached.append(dressing_order.JOBS["weaving"].reported_step)
    step = max(reached, key=steps.index)
    finished = (
        {*dressing_order.done_at(step, order, left_out), *whole}
        if step != dressing_order.CUT_OFF
        else set(names)
    )
    begun = {*dressing_order.begun_at(step, order, left_out), *touched}
    last = max((names.index(name) for name in begun), default=-1)
    jobs = tuple(JobProgress(name, *reported.get(name, (0, 0)), name in finished) for name in names)
    now = next((job for job in jobs if job.partly), None)
    if now is None:
        now = next((job for job in jobs if not job.finished or job.name == "weaving"), None)
    if step == dressing_order.CUT_OFF:
        now = None
    return Progress(ticked, step, names[: last + 1], jobs, now, steps)

"""The search for the work before an event on published job shops: a machine is somebody with one skill.

Work at an event may be interrupted, the published optima are without interruption: a plan is never later than
these, and never earlier than the bound of each machine. Data and optima are from memory, not checked against
print; the sums of the machines agree with the published bound of LA01, 666.
"""

from __future__ import annotations

from loomready.event.work.bounds import earliest
from loomready.event.work.dispatch import first_plan
from loomready.event.work.exact import improve
from loomready.event.work.problem import Chain, Job, Work, Worker, worth
from tests.event.plans import faults

FT06 = (
    "2 1 0 3 1 6 3 7 5 3 4 6",
    "1 8 2 5 4 10 5 10 0 10 3 4",
    "2 5 3 4 5 8 0 9 1 1 4 7",
    "1 5 0 5 2 5 3 3 4 8 5 9",
    "2 9 1 3 4 5 5 4 0 3 3 1",
    "1 3 3 3 5 9 0 10 4 4 2 1",
)
"""H. Fisher, G. L. Thompson, "Probabilistic learning combinations of local job-shop scheduling rules", in
J. F. Muth, G. L. Thompson (eds.), Industrial Scheduling, 1963, the 6 x 6 instance: machine and time of each
operation, job by job. Optimum 55."""

LA01 = (
    "1 21 0 53 4 95 3 55 2 34",
    "0 21 3 52 4 16 2 26 1 71",
    "3 39 4 98 1 42 2 31 0 12",
    "1 77 0 55 4 79 2 66 3 77",
    "0 83 3 34 2 64 1 19 4 37",
    "1 54 2 43 4 79 0 92 3 62",
    "3 69 4 77 1 87 2 87 0 93",
    "2 38 0 60 1 41 3 24 4 83",
    "3 17 1 49 4 25 0 44 2 98",
    "4 77 3 79 2 43 1 75 0 96",
)
"""S. Lawrence, "Resource constrained project scheduling: an experimental investigation of heuristic
scheduling techniques (supplement)", Carnegie-Mellon University, 1984, instance LA01. Optimum 666."""


def job_shop(rows: tuple[str, ...], last: int) -> Work:
    chains, machines = [], set()
    for number, row in enumerate(rows):
        figures = [int(each) for each in row.split()]
        jobs = tuple(Job(f"machine {on}", time) for on, time in zip(figures[::2], figures[1::2], strict=True))
        machines |= {job.skill for job in jobs}
        chains.append(Chain(f"job {number}", 1, jobs))
    there = frozenset(range(last))
    workers = tuple(Worker(each, frozenset({each}), frozenset(), there) for each in sorted(machines))
    return Work(tuple(chains), workers, 0, last)


def test_la01_is_done_by_its_published_optimum_which_the_bound_proves():
    work = job_shop(LA01, 700)
    plan, found = first_plan(work, 40, 1)
    assert faults(work, plan) == []
    assert len(found.ready) == 10
    assert max(found.ready.values()) == earliest(work, range(10)) == 666


def test_ft06_is_done_no_later_than_its_published_optimum():
    work = job_shop(FT06, 70)
    plan, found = first_plan(work, 20, 1)
    assert len(found.ready) == 6
    answer = improve(work, plan, "last", 10.0, value=6, last=max(found.ready.values()))
    assert answer.plan is not None
    assert answer.proved
    assert faults(work, answer.plan) == []
    assert earliest(work, range(6)) <= max(worth(work, answer.plan).ready.values()) <= 55

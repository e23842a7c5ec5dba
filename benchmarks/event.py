"""The work before an event, of usual size and of a large one: a plan, and planning again."""

from __future__ import annotations

import random
import time
from dataclasses import replace

from benchmarks.timing import Row, promise
from loomready.event.work.problem import Chain, Job, Work, Worker
from loomready.event.work.search import Found, search
from loomready.model.event import WORK, Skill

_SESSIONS = {1: (37, 42), 3: (37, 42), 5: (20, 28)}  # of each week, in half hours: two evenings, a Saturday
_HOURS: dict[Skill, tuple[int, int]] = {
    "winding": (4, 8),
    "beaming": (2, 4),
    "threading": (4, 12),
    "sleying": (3, 6),
    "tying on": (1, 3),
    "test weaving": (1, 2),
}


def work_of(looms: int, people: int, weeks: int, seed: int = 3) -> Work:
    """An invented event: so many warps, of people of whom each comes to about half of the sessions."""
    chance = random.Random(seed)
    sessions = [
        range(48 * (7 * week + day) + first, 48 * (7 * week + day) + last)
        for week in range(weeks)
        for day, (first, last) in _SESSIONS.items()
    ]
    workers = []
    for number in range(people):
        can = frozenset(skill for skill in WORK if chance.random() < 0.6)
        there = frozenset(slot for each in sessions if chance.random() < 0.45 for slot in each)
        most = chance.choice([None, 24, 40])
        workers.append(Worker(f"person {number}", can, frozenset({"beaming"} - can), there, most))
    chains = tuple(
        Chain(
            f"warp {number}",
            chance.choice([1, 1, 2]),
            tuple(Job(skill, chance.randint(*slots)) for skill, slots in _HOURS.items()),
        )
        for number in range(looms)
    )
    return Work(chains, tuple(workers), 0, 48 * 7 * weeks, 2)


def _timed(work: Work, told: Found | None = None) -> tuple[Found, float]:
    begun = time.perf_counter()
    found = search(work, told=None if told is None else told.plan)
    return found, time.perf_counter() - begun


def _without_a_week(work: Work) -> Work:
    """One of the people cannot come in the second week."""
    gone = set(range(48 * 7, 48 * 14))
    first, *others = work.workers
    return replace(work, workers=(replace(first, slots=first.slots - gone), *others))


def run() -> list[Row]:
    usual, large = work_of(6, 10, 6), work_of(14, 25, 8)
    search(work_of(1, 2, 1))  # the solver is loaded
    found, taken = _timed(usual)
    _again, again = _timed(_without_a_week(usual), found)
    _found, taken_large = _timed(large)
    gap = (found.most_spare or 0) - (found.worth.spare or 0)
    return [
        promise("event of 6 looms, 10 people, 6 weeks", taken, 5.0),
        promise("the same, planned again without one for a week", again, 3.0),
        Row("its spare slots off at most", float(gap), "a quarter of them", 17.0, 1.0, unit=""),
        promise("event of 14 looms, 25 people, 8 weeks", taken_large, 30.0),
    ]

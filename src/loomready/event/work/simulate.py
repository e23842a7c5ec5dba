"""How sure a plan is: the same work done many times, with jobs that take longer and people who do not come.

Hours of a job are lognormal; part of their spread is common to all jobs of a run, as a slow group is slow at
everything. A person may miss any session. Work is then done slot by slot: a job goes to who began it, else to
whom the plan names, else to anybody there who can, as long as work is left and people have offered hours.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from loomready.event.slots import runs
from loomready.event.watch import UNWATCHED, Watch
from loomready.event.work.dispatch import dispatch
from loomready.event.work.problem import ONE, Plan, Work, units_done

RUNS = 100
COMMON = 0.3  # share of the variance that all jobs of a run have in common; our choice, no source
MISSED = 0.05  # how often a person misses a session; our choice, no source


@dataclass(frozen=True, slots=True)
class HowSure:
    """``in_time``: share of runs in which all of the plan's warps were ready; ``late``: by warp, in how many
    of the ``runs`` it was not."""

    in_time: float
    late: Mapping[int, int]
    runs: int

    @property
    def tight(self) -> int | None:
        """The warp that is late most often; None: none ever is."""
        return max(self.late, key=lambda chain: (self.late[chain], -chain), default=None)


def simulate(
    work: Work,
    plan: Plan,
    ready: Sequence[int],
    median_slots: Mapping[tuple[int, int], float],
    sigma: Mapping[tuple[int, int], float],
    count: int = RUNS,
    seed: int = 1,
    watch: Watch = UNWATCHED,
) -> HowSure:
    """Do the work of a plan many times, or until it is told to stop.

    :param ready: the warps that the plan makes ready
    :param median_slots: of each job of each warp, how many slots it takes as often more as less
    :param sigma: the standard deviation of their logarithm
    """
    chance = random.Random(seed)
    weights = [1.0 if chain in set(ready) else 0.0 for chain in range(len(work.chains))]
    sessions = [runs(each.slots) for each in work.workers]
    late: Counter[int] = Counter()
    in_time = 0
    for number in range(count):
        if watch.stop():
            return HowSure(in_time / number if number else 0.0, dict(late), number)
        watch.on_progress("how sure", number / count)
        common = chance.gauss(0.0, 1.0)
        units = [
            [
                max(
                    1,
                    round(ONE * median_slots[chain, job] * math.exp(sigma[chain, job] * _z(chance, common))),
                )
                for job in range(len(each.jobs))
            ]
            for chain, each in enumerate(work.chains)
        ]
        missed = {
            (person, slot)
            for person, each in enumerate(sessions)
            for first, last in each
            if chance.random() < MISSED
            for slot in range(first, last)
        }
        done = units_done(
            work,
            dispatch(
                work,
                weights,
                units,
                told=plan,
                there=_there(missed),
            ),
        )
        missing = [
            chain
            for chain in ready
            if any(done.get((chain, job), 0) < each for job, each in enumerate(units[chain]))
        ]
        late.update(missing)
        in_time += not missing
    return HowSure(in_time / count if count else 1.0, dict(late), count)


def _there(missed: set[tuple[int, int]]) -> Callable[[int, int], bool]:
    return lambda person, slot: (person, slot) not in missed


def _z(chance: random.Random, common: float) -> float:
    return math.sqrt(COMMON) * common + math.sqrt(1 - COMMON) * chance.gauss(0.0, 1.0)

"""One row of the benchmark table, and a timer that is hard to disturb."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """One figure: ``measured_s`` may be at most ``limit`` times ``baseline_s``.

    name      what was done, on how much
    against   what the baseline is
    unit      of both figures, where they are no seconds
    """

    name: str
    measured_s: float
    against: str
    baseline_s: float
    limit: float
    unit: str = "s"

    @property
    def ratio(self) -> float:
        return self.measured_s / self.baseline_s

    @property
    def over(self) -> bool:
        return self.ratio > self.limit


def best_of(run: Callable[[], object], times: int = 15) -> float:
    """The shortest of several runs, in seconds: whatever else the machine does only makes a run longer.

    What a run returns is let go before the next starts, so that each finds the same memory.
    """
    run()  # warm up
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        result = run()
        best = min(best, time.perf_counter() - start)
        del result
    return best


def together(
    measured: Callable[[], object], baseline: Callable[[], object], times: int = 15
) -> tuple[float, float]:
    """Both, in short turns, so that a slow moment of the machine meets both alike."""
    pairs = [(best_of(measured, 1), best_of(baseline, 1)) for _ in range(times)]
    return min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)

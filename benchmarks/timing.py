"""One row of the benchmark table, timers that take medians, and how fast the machine is meanwhile.

A limit in seconds was set on a quiet machine of two cores. A calibration loop is timed between the runs of
each benchmark: a figure in seconds is divided by how much longer the loop takes than on that machine, so that
a slow or busy machine is not taken for slow code. A faster machine changes nothing: the limit is a promise.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np

LOOP_S = 0.0036  # the calibration loop on the machine on which the limits were set, quiet
STEADY = (
    1.25  # the slowest tenth of the loops by their median, at most: the machine was equally fast throughout
)


@dataclass(slots=True)
class Machine:
    """How much slower the machine was than the one of the limits, by the loops timed during a benchmark."""

    loops_s: list[float] = field(default_factory=list)

    @property
    def slower(self) -> float:
        """By the median loop; 1 on a machine as fast or faster."""
        return max(1.0, statistics.median(self.loops_s) / LOOP_S)

    @property
    def slowest(self) -> float:
        """By the slowest tenth of the loops: what can be put down to the machine at most."""
        return max(1.0, float(np.quantile(self.loops_s, 0.9)) / LOOP_S)

    @property
    def steady(self) -> bool:
        return self.slowest <= STEADY * self.slower


@dataclass(frozen=True, slots=True)
class Row:
    """One figure: ``measured_s`` may be at most ``limit`` times ``baseline_s``.

    name      what was done, on how much
    against   what the baseline is
    unit      of both figures, where they are no seconds
    promise   the baseline is a time, not another figure of this run: see ``promise``
    """

    name: str
    measured_s: float
    against: str
    baseline_s: float
    limit: float
    unit: str = "s"
    promise: bool = False

    def ratio(self, machine: Machine) -> float:
        """To the baseline; of a promise, as if on the machine of the limits."""
        return self._by(machine.slower)

    def verdict(self, machine: Machine) -> str:
        """One of ok, over, and busy: over or not depends on when the unsteady machine was calibrated."""
        if self.ratio(machine) <= self.limit:
            return "ok"
        sure = not self.promise or machine.steady or self._by(machine.slowest) > self.limit
        return "over" if sure else "busy"

    def _by(self, slower: float) -> float:
        return self.measured_s / self.baseline_s / (slower if self.promise else 1.0)


def promise(name: str, measured_s: float, limit_s: float) -> Row:
    """A row whose limit is a time."""
    shown = f"{limit_s:g} s" if limit_s >= 0.1 else f"{limit_s * 1000:g} ms"
    return Row(name, measured_s, shown, limit_s, limit=1.0, promise=True)


_watching = Machine()


@contextmanager
def watched() -> Iterator[Machine]:
    """Calibrate before and after a benchmark, and whenever it calls ``calibrate``."""
    global _watching
    _watching = Machine()
    calibrate(9)
    yield _watching
    calibrate(9)


def calibrate(times: int = 1) -> None:
    """Time the loop: numbers in plain Python and in an array."""
    for _ in range(times):
        begin = time.perf_counter()
        _loop()
        _watching.loops_s.append(time.perf_counter() - begin)


def _loop() -> float:
    total = 0
    for number in range(60_000):
        total += number * number % 7
    values = np.arange(60_000, dtype=np.float64)[::-1] * 0.5
    return float(np.sort(values % 97.0).sum()) + total


def median_of(run: Callable[[], object], times: int = 15) -> float:
    """The median of several runs, in seconds, with a calibration between them.

    What a run returns is let go before the next starts, so that each finds the same memory.
    """
    run()  # warm up
    took = []
    for _ in range(times):
        took.append(_timed(run))
        calibrate()
    return statistics.median(took)


def together(
    measured: Callable[[], object], baseline: Callable[[], object], times: int = 15
) -> tuple[float, float]:
    """The medians of both, run in turns, so that a slow moment of the machine meets both alike."""
    measured()
    baseline()
    pairs = []
    for _ in range(times):
        pairs.append((_timed(measured), _timed(baseline)))
        calibrate()
    return statistics.median(pair[0] for pair in pairs), statistics.median(pair[1] for pair in pairs)


def _timed(run: Callable[[], object]) -> float:
    begin = time.perf_counter()
    result = run()
    took = time.perf_counter() - begin
    del result
    return took

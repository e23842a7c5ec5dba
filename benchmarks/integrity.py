"""Whether a cloth hangs together, against scipy's strong components of its crossings."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from benchmarks.timing import Row, together
from loomready.draft.draft import Bools, shed
from loomready.draft.structure import integrity

THREADS, SHAFTS = 1_000, 16
OURS = 100  # runs in a row, so that both are timed over a few milliseconds: a busy machine meets both alike


def lies_over(cloth: Bools) -> csr_array:
    """The digraph of a drawdown, ends before picks, from the thread on top to the one below."""
    picks, ends = cloth.shape
    graph = np.zeros((ends + picks, ends + picks))
    graph[:ends, ends:] = cloth.T
    graph[ends:, :ends] = ~cloth
    return csr_array(graph)


def run() -> list[Row]:
    random = np.random.default_rng(7)
    threading = random.integers(0, SHAFTS, THREADS).astype(np.int16)
    lifts = random.random((THREADS, SHAFTS)) < 0.5
    graph = lies_over(shed(lifts, threading))  # made beforehand: only scipy's own pass is timed

    def holds() -> bool:
        return integrity.holds(lifts, threading)

    def by_scipy() -> bool:
        count, _ = connected_components(graph, connection="strong")
        return count == 1

    if holds() != by_scipy():
        raise ArithmeticError("integrity and scipy's strong components disagree")
    measured, baseline = together(lambda: [holds() for _ in range(OURS)], by_scipy, times=50)
    name = f"integrity of {THREADS} ends and {THREADS} picks"
    return [Row(name, measured / OURS, "scipy's strong components", baseline, limit=0.01)]

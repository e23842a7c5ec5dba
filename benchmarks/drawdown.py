"""The drawdown of a large draft with few different lifts, against a copy of it."""

from __future__ import annotations

import numpy as np

from benchmarks.timing import Row, together
from loomready.draft.draft import shed

THREADS, SHAFTS, LIFTS = 4_000, 16, 12


def run() -> list[Row]:
    random = np.random.default_rng(7)
    threading = random.integers(0, SHAFTS, THREADS).astype(np.int16)
    lifts = (random.random((LIFTS, SHAFTS)) < 0.5)[random.integers(0, LIFTS, THREADS)]
    cloth = shed(lifts, threading)
    # order="K" copies as it lies in memory, the fastest copy there is.
    measured, baseline = together(lambda: shed(lifts, threading), lambda: cloth.copy(order="K"))
    name = f"drawdown of {THREADS} ends and {THREADS} picks"
    return [Row(name, measured, "numpy's copy of the result", baseline, limit=2)]

"""The fewest treadles with their proof: 16 shafts, 24 lifts, two feet."""

from __future__ import annotations

import time
from itertools import combinations
from statistics import median

import numpy as np

from benchmarks.timing import Row, calibrate, promise
from loomready.draft.shedding.treadle_search import fewest

SHAFTS, LIFTS, CASES = 16, 24, 9


def lifts_of_pairs(seed: int) -> set[int]:
    """Lifts that twelve treadles make, one or two at a time."""
    random = np.random.default_rng(seed)
    tied = [int(sum(1 << int(shaft) for shaft in random.choice(SHAFTS, 4, replace=False))) for _ in range(12)]
    made = [*tied, *(one | other for one, other in combinations(tied, 2))]
    return {made[place] for place in random.permutation(len(made))[:LIFTS]}


def any_lifts(seed: int) -> set[int]:
    """Lifts that were made by no treadles in particular."""
    return {int(lift) for lift in np.random.default_rng(seed).integers(1, 1 << SHAFTS, LIFTS)}


def run() -> list[Row]:
    rows = []
    for name, make in (("of twelve treadles", lifts_of_pairs), ("at random", any_lifts)):
        seconds = []
        for seed in range(CASES):
            lifts = make(seed)
            start = time.perf_counter()
            found = fewest(lifts, 2)
            seconds.append(time.perf_counter() - start)
            calibrate()
            if found.at_least < len(found.treadles):
                seconds[-1] = float("inf")  # not proved: over any limit
        what = f"fewest treadles, proved: {LIFTS} lifts {name}, {SHAFTS} shafts, 2 feet, median"
        rows.append(promise(what, median(seconds), 5.0))
    return rows

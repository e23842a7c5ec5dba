"""The fewest ends to change in a long repeat, and all offers for it."""

from __future__ import annotations

import numpy as np

from benchmarks.timing import Row, median_of, promise
from loomready.draft.balance import balance
from loomready.draft.balance.mirror import mismatched_pairs
from loomready.draft.draft import lift_plan

ENDS, SHAFTS = 4_000, 40


def run() -> list[Row]:
    random = np.random.default_rng(4)
    walk = np.cumsum(random.choice([-1, 1], ENDS // 2)) % SHAFTS
    threading = np.concatenate([walk, walk[::-1]])
    threading[random.integers(0, ENDS, 12)] = random.integers(0, SHAFTS, 12)
    lifts = [[(pick + up) % SHAFTS + 1 for up in range(SHAFTS // 2)] for pick in range(SHAFTS)]
    draft = lift_plan((threading + 1).tolist(), lifts)
    straight = lift_plan(
        (np.arange(3_000) % 16 + 1).tolist(), [lifts[pick % SHAFTS] for pick in range(3_000)]
    )
    size = f"{ENDS} ends on {SHAFTS} shafts"
    return [
        promise(
            f"fewest ends to change, {size}",
            median_of(lambda: mismatched_pairs(threading)),
            0.01,
        ),
        promise(f"every offer, {size}", median_of(lambda: balance.balance(draft), 3), 1.0),
        promise(
            "every offer, straight draw of 3,000 ends on 16 shafts, 3,000 picks",
            median_of(lambda: balance.balance(straight), 1),
            4.0,
        ),
    ]

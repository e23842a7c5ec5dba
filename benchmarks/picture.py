"""The cloth in its colors at 8 pixels a thread, against a copy of the picture."""

from __future__ import annotations

import numpy as np

from benchmarks.timing import Row, together
from loomready.cloth.picture import cloth_array
from loomready.draft.draft import lift_plan

THREADS, SHAFTS, CELL = 500, 8, 8
PALETTE = ((44, 79, 114), (232, 222, 200), (160, 58, 43))


def run() -> list[Row]:
    random = np.random.default_rng(11)
    turn = [[(pick + up) % SHAFTS + 1 for up in (0, 1, 2, 4)] for pick in range(SHAFTS)]
    draft = lift_plan(
        random.integers(1, SHAFTS + 1, THREADS).tolist(),
        [turn[pick % SHAFTS] for pick in range(THREADS)],
        palette=PALETTE,
        warp_colors=[end // 9 % 2 * 2 for end in range(THREADS)],
        weft_colors=[1] * THREADS,
    )
    picture = cloth_array(draft, CELL)
    measured, baseline = together(lambda: cloth_array(draft, CELL), picture.copy)
    name = f"cloth of {THREADS} ends and {THREADS} picks at {CELL} px"
    return [Row(name, measured, "numpy's copy of the picture", baseline, limit=3)]

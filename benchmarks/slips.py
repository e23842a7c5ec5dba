"""Threading slips from the cells of a test weave: how fast, and in how many simulated webs not exactly."""

from __future__ import annotations

import numpy as np

from benchmarks.timing import Row, median_of, promise
from loomready.slips import test_picks as picking
from loomready.slips.infer import infer
from tests.slips import webs

ENDS, PICKS, SHAFTS = 600, 24, 16
WEBS = 400
MISSED = (
    (0, 0.01),
    (1, 0.01),
    (4, 0.05),
)  # slips in a web, and the share of webs that may come out otherwise


def run() -> list[Row]:
    random = np.random.default_rng(4)
    planned = webs.threading(random, ENDS, SHAFTS)
    there, slips = webs.with_slips(planned, 4, random)
    lifts = picking.well_apart(planned, SHAFTS, PICKS, 3).lifts
    cells = webs.Web(planned, there, lifts, slips).cells(random)
    rows = [
        promise(
            f"slips in {ENDS} ends, {PICKS} picks, {SHAFTS} shafts",
            median_of(lambda: infer(cells, lifts, planned)),
            0.1,
        )
    ]
    for count, may in MISSED:
        missed = 1 - webs.found_exactly(WEBS, count, seed=2)
        what = f"{count} slips in each of {WEBS} webs, 16 picks, 1 % misread, 5 % unseen: not exactly found"
        rows.append(Row(what, 100 * missed, f"{100 * may:g} %", 100 * may, limit=1, unit="%"))
    return rows

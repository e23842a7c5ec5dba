"""Threading slips from the cells of a test weave: how fast, and in how many simulated webs not exactly."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from benchmarks.timing import Row, median_of, promise
from loomready import guildfile
from loomready.slips import test_picks as picking
from loomready.slips.infer import infer
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests.slips import taps, webs

ENDS, PICKS, SHAFTS = 600, 24, 16
WEBS = 400
SECRET = 20  # slips on each warp of the demo that are found by taps
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
    for pointed, most in ((True, 7), (False, 9)):
        how = "begun by a tap on the strip" if pointed else "begun by the question where"
        found = [taps.of_plan(plan, SECRET, 1, pointed=pointed) for plan in _demo()]
        mean = float(np.mean(np.concatenate([each for each, _right in found])))
        rows.append(
            Row(f"taps to a secret slip on the demo's warps, {how}", mean, f"{most}", most, limit=1, unit="")
        )
        missed = 100 * (1 - min(right for _taps, right in found))
        rows.append(Row(f"secret slips of the demo not named, {how}", missed, "3 %", 3, limit=1, unit="%"))
    return rows


def _demo() -> tuple[WarpPlan, ...]:
    loaded = guildfile.load(Path(__file__).parents[1] / "demo" / "guild.toml")
    return plan_guild(loaded.guild, loaded.drafts).warps

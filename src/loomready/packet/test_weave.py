"""The sheet for the test weave: picks with room to write, what a wrong end means here, what mending needs."""

from __future__ import annotations

from loomready.packet.words import Data
from loomready.phrases import Phrase, listed, phrase
from loomready.slips import job
from loomready.slips.sentences import MEANS
from loomready.slips.test_picks import used_shafts
from loomready.warp.result import WarpPlan

_LINES, _FEWER = 6, 3  # slips that there is room to write down, and where there are many picks
_MANY, _VERY_MANY = 8, 16  # picks


def test_weave(plan: WarpPlan) -> Data | None:
    """None where no end is in a heddle."""
    work = job.job(plan)
    if work is None:
        return None
    picks = work.picks(work.use_own)
    shafts = [shaft + 1 for shaft in used_shafts(work.planned.threading)]
    return {
        "own": work.use_own,
        "picks": [
            {"number": f"{number}", "up": [f"{shaft}" if shaft in pick else "" for shaft in shafts]}
            for number, pick in enumerate(picks, start=1)
        ],
        "shafts": [f"{shaft}" for shaft in shafts],
        # An end lies as its shaft's row: a wrong one is read off against the row that it agrees with.
        "rows": [{"shaft": f"{shaft}", "up": [shaft in pick for pick in picks]} for shaft in shafts],
        "means": [list(line) for line in MEANS],
        "needs": _needs(plan, work, shafts),
        "lines": _LINES if len(picks) <= _MANY else _FEWER,
        "close": len(picks) > _MANY,
        "tight": len(picks) > _VERY_MANY,
    }


test_weave.__test__ = False  # type: ignore[attr-defined]  # a name that begins with test is not a case for pytest


def _needs(plan: WarpPlan, work: job.Job, shafts: list[int]) -> list[Phrase]:
    """Common practice, no source."""
    spare = work.planned.loom.spare
    yarns = dict.fromkeys(work.planned.loom.yarn or ())
    lines = [
        phrase("Threading hook, reed hook, scissors, T-pins"),
        phrase("A repair heddle, or a loop of strong thread, for each end on a wrong shaft"),
        phrase("For a new end: a weight, and a length of the warp from the cones of this packet"),
    ]
    if yarns:
        lines.append(phrase("Warp yarn: {yarns}", yarns=listed(plan.guild.yarn(key).name for key in yarns)))
    if spare is not None:
        there = [
            phrase("{heddles} on {shaft}", heddles=sum(spare[shaft - 1]), shaft=shaft)
            for shaft in shafts
            if sum(spare[shaft - 1])
        ]
        lines.append(
            phrase("Spare heddles by shaft: {there}", there=listed(there) if there else phrase("none"))
        )
    return lines

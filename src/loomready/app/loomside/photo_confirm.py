"""Saves a slip that was confirmed from a photograph in the warp's test weave."""

from __future__ import annotations

from loomready.app.loomside import slips_history, slips_marks
from loomready.slips.job import Job
from loomready.slips.result import Slip
from loomready.warp.result import WarpPlan


def take(plan: WarpPlan, work: Job, slip: Slip, yes: bool, by_whom: str) -> None:
    """Keep the slip, or take it away again. A wrong lift is no slip of the threading: it is not kept."""
    if slip.end is None:
        return
    code = work.layout.code(slip)
    changes = [("kept", code, code, yes), *work.layout.odds(slip.end, None)]
    with slips_history.noted(plan.order.key, by_whom):
        slips_marks.write(plan, work, changes, by_whom)

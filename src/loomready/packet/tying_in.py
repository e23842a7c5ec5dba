"""The sheet for tying a new warp on to an old one: what stays, what differs, the knots group by group."""

from __future__ import annotations

from loomready.loomside.steps import tying_in as steps
from loomready.loomside.steps.make_ready import ready
from loomready.loomside.steps.words import span
from loomready.packet.words import Data, Letters, cut_short, runs_shown
from loomready.warp.result import WarpPlan


def tying_in(plan: WarpPlan, letters: Letters) -> Data | None:
    """What the sheet shows; None for a warp that is not tied on to another."""
    tied = plan.tied
    if tied is None:
        return None
    keys, told = plan.order.warp_yarns, steps.lines(plan)
    return {
        "knots": f"{tied.knots:,}",
        "old": cut_short(tied.old.order.name, 44),
        "told": told,
        "steps": [line for line in ready(plan, "tying-in") if line not in told],
        "groups": [
            {
                "ends": span(group.first, group.last),
                "old": span(group.old_first, group.old_last) if group.old_first else "–",
                "colors": runs_shown(plan, letters, [(keys[which], count) for which, count in group.runs]),
                "total": f"{group.last:,}",
            }
            for group in steps.tying_in(plan)
        ],
    }

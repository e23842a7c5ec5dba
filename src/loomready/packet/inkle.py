"""The sheet for winding a band on an inkle loom: its yarns in order, each end heddled or open."""

from __future__ import annotations

import numpy as np

from loomready.loomside.steps.make_ready import on_inkle_loom
from loomready.loomside.steps.words import span
from loomready.packet.words import Data, Letters
from loomready.phrases import phrase
from loomready.units import Shown
from loomready.warp import rigid
from loomready.warp.bouts import runs
from loomready.warp.result import WarpPlan


def inkle(plan: WarpPlan, letters: Letters) -> Data | None:
    """What the sheet shows; None for another loom."""
    way, strings = rigid.through(plan), rigid.string_heddles(plan)
    if plan.loom.kind != "inkle":
        return None
    show, keys, assignment = Shown(plan.guild.units), plan.order.warp_yarns, plan.heddles.assignment
    yarn = np.asarray([keys.index(key) for key in keys])[plan.web.role]
    rows, first = [], 1
    for which, count in runs(yarn):
        shaft = assignment[plan.web.shaft[first - 1]] if plan.web.shaft[first - 1] >= 0 else None
        heddled = way is not None and shaft is not None and shaft <= len(way.shafts)
        rows.append(
            {
                **letters.chip(plan, keys[which]),
                "ends": span(first, first + count - 1),
                "count": f"{count:,}",
                "first": phrase("heddled") if heddled else phrase("open"),
            }
        )
        first += count
    return {
        "length": show.length(plan.warp_length_m),
        "ends": f"{plan.web.ends:,}",
        "heddles": f"{strings.needed:,}" if strings is not None else "–",
        "width": show.width(plan.width_in_reed_mm),
        "told": list(rigid.lines(plan)),
        "steps": on_inkle_loom(plan),
        "rows": rows,
    }

"""Whether the weft is caught at the edges of a planned web, and what a floating selvedge would help."""

from __future__ import annotations

import numpy as np

from loomready.draft.edit.edges import edges_between
from loomready.phrases import Phrase, phrase
from loomready.warp.result import WarpPlan


def hint(plan: WarpPlan) -> Phrase | None:
    """How many turns of the weft the edges miss; None: none, or edges of other ends or of several layers.

    One shuttle is assumed, begun at the side where it misses fewer turns.
    """
    web = plan.web
    if web.floating or web.selvedge or plan.order.layers > 1 or plan.second is not None:
        return None
    missed = turns = 0
    for draft in {id(weft.draft): weft.draft for weft in plan.wefts}.values():
        found = edges_between(draft.lifts, web.shaft[[0, -1]].astype(np.int16), web.ends)
        missed += found.missed
        turns += sum(edge.turns for edge in found.edges)
    if not missed:
        return None
    return phrase(
        "With one shuttle the edges do not catch the weft at {missed} of {turns} turns in a repeat of the "
        "picks. A floating selvedge at each side catches them.",
        missed=missed,
        turns=turns,
    )

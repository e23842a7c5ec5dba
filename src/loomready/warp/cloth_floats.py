"""The longest floats of a warp's cloths, each within its layer, as long as they are in the finished cloth.

A float on a layer's own face goes over the threads of that layer only. What snags is the washed cloth, whose
picks stand closer by what it shrank in length and whose ends by draw-in and shrinkage.
"""

from __future__ import annotations

from dataclasses import dataclass

from loomready.draft.analysis import Structure
from loomready.warp.result import WarpPlan, Weft
from loomready.warp.sett import interlaced


@dataclass(frozen=True, slots=True)
class Floats:
    """Threads spanned by the longest warp and weft float, either face, and their lengths in mm when washed.

    ``threads`` None: a thread never interlaces.
    """

    warp_threads: int | None
    weft_threads: int | None
    warp_mm: float
    weft_mm: float


def floats_of(plan: WarpPlan, weft: Weft) -> Floats | None:
    """The longest floats of one cloth of the warp; None: its layers cannot be told apart.

    :param weft: the cloth, one of ``plan.wefts``
    """
    order = plan.order
    picks_per_cm = weft.picks_per_cm / (1 - order.shrink_length)
    ends_per_cm = plan.sett_per_cm / ((1 - order.draw_in) * (1 - order.shrink_width))
    found = []
    for *_interlacing, own in interlaced(weft.draft, order.layers):
        if own is None:
            return None
        structure = Structure(own)
        warp, picks = structure.warp_floats.or_none, structure.weft_floats.or_none
        whole = Structure(weft.draft).repeat
        share, pick_share = (1.0, 1.0) if order.layers == 1 else (own.ends / whole[0], own.picks / whole[1])
        warp_mm = 0.0 if warp is None else warp / (picks_per_cm * pick_share) * 10
        weft_mm = 0.0 if picks is None else picks / (ends_per_cm * share) * 10
        found.append(Floats(warp, picks, warp_mm, weft_mm))
    longest_warp = max(found, key=lambda each: each.warp_mm)
    longest_weft = max(found, key=lambda each: each.weft_mm)
    return Floats(
        None if any(each.warp_threads is None for each in found) else longest_warp.warp_threads,
        None if any(each.weft_threads is None for each in found) else longest_weft.weft_threads,
        longest_warp.warp_mm,
        longest_weft.weft_mm,
    )

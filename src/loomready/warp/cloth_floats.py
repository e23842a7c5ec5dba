"""The longest floats of a warp's cloths, each within its layer, measured in the finished cloth.

A float on a layer's own face passes over the threads of that layer only. Floats snag in the washed cloth,
where draw-in and shrinkage bring ends and picks closer together.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from loomready.draft.draft import Draft
from loomready.draft.structure.analysis import Structure
from loomready.draft.structure.layers import layers_of
from loomready.warp.result import WarpPlan, Weft


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
    for warp, picks, share, pick_share in _in_threads(weft.draft, order.layers):
        warp_mm = 0.0 if warp is None else warp / (picks_per_cm * pick_share) * 10
        weft_mm = 0.0 if picks is None else picks / (ends_per_cm * share) * 10
        found.append(Floats(warp, picks, warp_mm, weft_mm))
    if not found:
        return None
    longest_warp = max(found, key=lambda each: each.warp_mm)
    longest_weft = max(found, key=lambda each: each.weft_mm)
    return Floats(
        None if any(each.warp_threads is None for each in found) else longest_warp.warp_threads,
        None if any(each.weft_threads is None for each in found) else longest_weft.weft_threads,
        longest_warp.warp_mm,
        longest_weft.weft_mm,
    )


@lru_cache(maxsize=256)
def _in_threads(draft: Draft, layers: int) -> tuple[tuple[int | None, int | None, float, float], ...]:
    """Longest warp and weft float of each layer in threads, and its shares of ends and picks.

    Empty where the layers cannot be told apart. Drafts are immutable, so each is analyzed once.
    """
    return tuple(
        (floats.warp_floats.or_none, floats.weft_floats.or_none, layer.share, layer.pick_share)
        for layer in layers_of(draft, layers)
        for floats in (Structure(layer.draft),)
    )

"""Whether drafts meet a wish: one draft by its analysis, many drafts by their figures as arrays."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from loomready.choose.drafts.columns import DraftOffer
from loomready.choose.drafts.tabby_treadles import treadles_of
from loomready.choose.drafts.variety import Points
from loomready.choose.drafts.wish import Wish
from loomready.draft.draft import Bools
from loomready.draft.structure.periods import AnyInts


def hang(threading: AnyInts, ends: int, heddles: tuple[int, ...]) -> bool:
    """Whether the ends find enough heddles on some order of the shafts, without moving any."""
    needed = np.bincount(np.resize(threading, ends), minlength=len(heddles))
    there = np.sort(np.array(heddles))[::-1]
    return len(needed) <= len(there) and bool((np.sort(needed)[::-1] <= there).all())


def fits(wish: Wish, offer: DraftOffer) -> bool:
    """Whether an offer meets every limit, by the figures of its analysis."""
    found = offer.found
    if not found.holds_together or offer.float_threads is None or found.shafts_used > wish.setting.shafts:
        return False
    limits = (
        (wish.float_limit, offer.float_threads),
        (wish.max_float_mm, offer.float_mm or 0.0),
        (wish.picks, found.repeat[1]),
        (wish.max_steps, offer.steps),
    )
    if any(limit is not None and figure > limit for limit, figure in limits):
        return False
    if (wish.symmetric and not found.mirror_ends) or (wish.plain_weave and not found.plain_weave):
        return False
    if wish.treadles is not None:
        needed = treadles_of(offer) if wish.plain_weave else found.distinct_lifts
        if needed > wish.treadles:
            return False
    if wish.threading is not None and offer.draft.threading.tolist() != list(wish.threading):
        return False
    if wish.heddles is None or wish.ends is None:
        return True
    used = offer.draft.threading[offer.draft.threading >= 0]
    return bool(len(used)) and hang(used, wish.ends, wish.heddles)


def within(wish: Wish, figures: Mapping[str, Points]) -> Bools:
    """Which of many figures are within the wish's numbers."""
    fit = np.ones(figures["threads"].shape, np.bool_)
    limits = {"threads": wish.float_limit, "float_mm": wish.max_float_mm}
    limits |= {"lifts": wish.treadles, "steps": wish.max_steps}
    for name, limit in limits.items():
        if limit is not None:
            fit &= figures[name] <= limit
    return fit

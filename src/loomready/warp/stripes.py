"""Threads laid in stripes: which yarn each end or pick is of, whatever colors the draft has."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Draft
from loomready.model.guild import Stripe, WarpOrder, WeftStripe

Ints = npt.NDArray[np.int64]
Stripes = Sequence[Stripe] | Sequence[WeftStripe]


def threads_in(stripe: Stripe | WeftStripe) -> int:
    """Its threads; 0: dents that stay empty."""
    return stripe.ends if isinstance(stripe, Stripe) else stripe.picks


def roles_in_stripes(stripes: Stripes, count: int) -> Ints:
    """The first ``count`` threads of stripes that go on as a continuous repeat, int[count].

    A thread is the number of its yarn among those of the stripes, in the order in which they first appear.
    """
    laid = [(each.yarn, threads_in(each)) for each in stripes if threads_in(each)]
    numbers = {yarn: number for number, yarn in enumerate(dict.fromkeys(yarn for yarn, _ in laid))}
    role = np.asarray([numbers[yarn] for yarn, _ in laid], dtype=np.int64)
    last = np.cumsum([threads for _, threads in laid])
    return np.asarray(role[np.searchsorted(last, np.arange(count) % last[-1], side="right")])


def one_run(stripes: Stripes) -> Ints:
    """The threads of stripes once, as :func:`roles_in_stripes`."""
    return roles_in_stripes(stripes, sum(map(threads_in, stripes)))


def laid(draft: Draft, *, ends: Ints | None = None, picks: Ints | None = None) -> Draft:
    """The draft read on as a continuous repeat, with these color numbers on its ends or its picks.

    :param ends: int[ends wanted]; None: the draft's own; ``picks`` likewise
    """
    if ends is not None:
        draft = replace(
            draft,
            threading=np.resize(draft.threading, ends.size),
            warp_colors=ends.astype(np.int16),
            warp_spacing_mm=None,
            warp_thickness_mm=None,
        )
    if picks is None:
        return draft
    of = np.arange(picks.size) % draft.picks
    return replace(
        draft,
        lifts=draft.lifts[of],
        treadling=None if draft.treadling is None else draft.treadling[of],
        weft_colors=picks.astype(np.int16),
        weft_spacing_mm=None,
        weft_thickness_mm=None,
    )


def by_yarn(stripes: Stripes, count: int) -> dict[str, int]:
    """How many of the first ``count`` threads are of each yarn.

    >>> by_yarn([WeftStripe("slate", 4), WeftStripe("flax", 2)], 11)
    {'slate': 8, 'flax': 3}
    """
    whole, left = divmod(count, sum(map(threads_in, stripes)))
    found: dict[str, int] = {}
    for each in stripes:
        part = min(left, threads_in(each))
        left -= part
        if not threads_in(each):
            continue
        found[each.yarn] = found.get(each.yarn, 0) + whole * threads_in(each) + part
    return found


def roles_of_ends(order: WarpOrder, heddled: npt.NDArray[np.bool_]) -> Ints:
    """The place in ``warp_yarns`` of each end of a web in stripes, int[ends].

    The stripes count ends in heddles alone; one that is in none takes the color of the end beside it, toward
    end 1 where there is one. Mirrored stripes are read to the middle and back; of an odd number of ends
    the middle one stands once.

    :param heddled: whether each end of the web is in a heddle
    """
    count = int(heddled.sum())
    if not count:
        return np.zeros(heddled.size, dtype=np.int64)
    roles = roles_in_stripes(order.stripes, -(-count // 2) if order.stripes_mirrored else count)
    if order.stripes_mirrored:
        place = np.arange(count)
        roles = roles[np.minimum(place, count - 1 - place)]
    return np.asarray(roles[np.maximum(np.cumsum(heddled) - 1, 0)])

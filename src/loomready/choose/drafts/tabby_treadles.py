"""Treadles for plain weave: if it is asked for, tabby needs two treadles besides those of the pattern.

A tabby shed that a pattern pick already weaves has its treadle; the other sheds need one each.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from loomready.choose.drafts.batch import PlanFigures
from loomready.choose.drafts.columns import DraftOffer
from loomready.choose.drafts.lift_bits import shafts_as_words
from loomready.choose.drafts.threadings import Threading
from loomready.draft.draft import Bools, Draft
from loomready.draft.tabby import tabby_of


def sheds(draft: Draft) -> Bools:
    """Tabby's two sheds bool[2, S] on a threading that weaves plain.

    :raises BadInput: it does not
    """
    found = tabby_of(draft.threading, draft.shafts)
    return np.stack([found.a, found.b])


def missing(draft: Draft) -> Bools:
    """The tabby sheds bool[N, S] that no pick of the draft weaves; shafts without ends are ignored.

    :raises BadInput: the threading cannot be woven plain
    """
    tabby = sheds(draft)
    working = tabby.any(axis=0)
    woven: Bools = (draft.lifts[None, :, working] == tabby[:, None, working]).all(axis=2).any(axis=1)
    left: Bools = tabby[~woven]
    return left


def treadles_of(offer: DraftOffer) -> int:
    """Treadles for an offer's lifts and tabby, one a shed.

    :raises BadInput: the threading cannot be woven plain
    """
    return offer.found.distinct_lifts + len(missing(offer.draft))


def treadles_of_pairs(threadings: Sequence[Threading], made: PlanFigures) -> npt.NDArray[np.int64]:
    """The same for each threading, all of which weave plain, with each plan: int64[T, N]."""
    shafts = made.lifts.shape[2]
    needed = np.tile(made.distinct, (len(threadings), 1))
    for number, threading in enumerate(threadings):
        tabby = tabby_of(threading.shafts, shafts)
        for word in shafts_as_words(np.stack([tabby.a, tabby.b])):
            needed[number] += ~(made.words == word).any(axis=1)
    return needed

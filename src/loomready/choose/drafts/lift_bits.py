"""Lifts as words: the shafts that are up, a bit each."""

from __future__ import annotations

import numpy as np

from loomready.draft.draft import Bools
from loomready.draft.structure.periods import Words


def shafts_as_words(lifts: Bools) -> Words:
    """The shafts up in each pick as bits of a word, shaft 1 lowest: bool[..., S <= 64] to uint64[...]."""
    places = np.arange(lifts.shape[-1], dtype=np.uint64)
    words: Words = (lifts.astype(np.uint64) << places).sum(axis=-1, dtype=np.uint64)
    return words

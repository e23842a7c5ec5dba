"""Slips where only a stretch of the web was looked at, and nobody counted its ends to the other edge.

A column is then known by its place from end 1. How many planned ends the columns up to there hold is tried:
each missing end on the way makes them reach one planned end further, each extra end one less.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools
from loomready.slips.found import Found
from loomready.slips.infer import UNSEEN, AnyInts, Cells, infer

MOST_SHIFT = 2  # ends missing or too many on the way


def infer_stretch(
    cells: Cells, lifts: Bools, threading: AnyInts, free: npt.NDArray[np.bool_] | None = None
) -> Found:
    """The likeliest slips up to the last column that was seen; arguments as for :func:`infer.infer`.

    Ends past it stand as planned in what is found.
    """
    seen = np.flatnonzero((cells != UNSEEN).any(axis=0))
    if not seen.size:
        raise ValueError("no cell was seen")
    free = np.zeros(len(threading), dtype=np.bool_) if free is None else free
    last = int(seen[-1]) + 1
    best: Found | None = None
    for shift in sorted(range(-MOST_SHIFT, MOST_SHIFT + 1), key=abs):
        reach = last + shift
        if not 1 <= reach <= len(threading):
            continue
        found = infer(cells[:, :last], lifts, threading[:reach], free[:reach], rare_in=len(threading))
        if best is None or found.score > best.score:
            best = replace(found, threading=np.append(found.threading, threading[reach:]))
    assert best is not None
    return best

"""Slips where only stretches of the web were looked at, and nobody counted its ends to the other edge.

A column is then known by its place from end 1. How many planned ends the columns up to there hold is tried:
each missing end on the way makes them reach one planned end further, each extra end one less. Of a long
stretch that nobody looked at only a part is aligned: what may be wrong there has no place of its own anyway.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools
from loomready.slips.infer import UNSEEN, AnyInts, Cells, infer
from loomready.slips.result import FoundSlips, Slip

Ints = npt.NDArray[np.int64]
MOST_SHIFT = 2  # ends missing or too many on the way
_BESIDE = 16  # unseen ends that are aligned on each side of those that were seen


def infer_stretch(
    cells: Cells, lifts: Bools, threading: AnyInts, free: npt.NDArray[np.bool_] | None = None
) -> FoundSlips:
    """The likeliest slips up to the last column that was seen; arguments as for :func:`infer.infer`.

    Ends that nobody looked at stand as planned in what is found.
    """
    seen = (cells != UNSEEN).any(axis=0)
    if not seen.any():
        raise ValueError("no cell was seen")
    free = np.zeros(len(threading), dtype=np.bool_) if free is None else free
    columns = _aligned(seen)
    best: FoundSlips | None = None
    for shift in sorted(range(-MOST_SHIFT, MOST_SHIFT + 1), key=abs):
        ends = _ends(columns, shift, len(threading))
        if not ends.size:
            continue
        found = infer(cells[:, columns], lifts, threading[ends], free[ends], rare_in=len(threading))
        if best is None or found.score > best.score:
            best = _named(found, ends)
        if shift == 0 and not found.slips:
            break  # nothing moved what was seen
    assert best is not None
    return replace(best, threading=with_slips(threading.astype(np.int64), best.slips))


def _aligned(seen: npt.NDArray[np.bool_]) -> Ints:
    """Columns that are aligned: those seen, and a few beside them up to the last that was seen."""
    place = np.flatnonzero(seen)
    near = np.zeros(len(seen), dtype=np.bool_)
    for step in range(-_BESIDE, _BESIDE + 1):
        near[np.clip(place + step, 0, len(seen) - 1)] = True
    return np.flatnonzero(near[: place[-1] + 1])


def _ends(columns: Ints, shift: int, ends: int) -> Ints:
    """The planned ends that these columns hold, so many more or fewer before the last column."""
    reach = int(columns[-1]) + 1 + shift
    kept = columns[columns < min(reach, ends)]
    if shift > 0:
        kept = np.append(kept, np.arange(columns[-1] + 1, min(reach, ends)))
    return kept if reach <= ends else kept[:0]


def _named(found: FoundSlips, ends: Ints) -> FoundSlips:
    """The same slips, by the ends of the whole web."""

    def named(slip: Slip) -> Slip:
        if slip.end is None:
            return slip
        at = slip.end - 1
        return replace(slip, end=int(ends[at]) + 1 if at < len(ends) else int(ends[-1]) + 2)

    return replace(
        found,
        slips=tuple(map(named, found.slips)),
        alternatives=tuple(replace(each, slip=named(each.slip)) for each in found.alternatives),
    )


def with_slips(web: Ints, slips: Sequence[Slip]) -> Ints:
    """Shafts (from 0; -1: not threaded) of the ends as they stand, with these slips in the planned web."""
    there = web.tolist()
    for slip in sorted(slips, key=lambda each: -(each.end or 0)):
        at = (slip.end or 1) - 1
        if slip.kind == "wrong shaft" and at < len(there):
            there[at] = (slip.found or 0) - 1
        elif slip.kind == "crossed" and at + 1 < len(there):
            there[at : at + 2] = there[at + 1], there[at]
        elif slip.kind == "skipped" and at < len(there):
            del there[at]
        elif slip.kind == "extra":
            there.insert(at, (slip.found or 0) - 1)
    return np.array(there, dtype=np.int64)


def planned_ends(ends: int, slips: Sequence[Slip]) -> Ints:
    """int[C]: the planned end (from 0) in each place once these slips are there; -1: one too many."""
    there = list(range(ends))
    for slip in sorted(slips, key=lambda each: -(each.end or 0)):
        at = (slip.end or 1) - 1
        if slip.kind == "skipped" and at < len(there):
            del there[at]
        elif slip.kind == "extra":
            there.insert(at, -1)
    return np.array(there, dtype=np.int64)


def by_planned_end(slip: Slip, planned: Ints, threading: AnyInts) -> Slip:
    """A slip of the web as it stands, named by the ends of the web as planned.

    :param planned: int[C], from :func:`planned_ends`
    :param threading: int[E], as planned, shafts from 0; -1: not threaded
    """
    if slip.end is None:
        return slip
    after = planned[slip.end - 1 :]
    after = after[after >= 0]
    end = int(after[0]) if after.size else len(threading)
    made = replace(slip, end=end + 1)
    if slip.planned is not None and slip.kind != "crossed" and end < len(threading):
        made = replace(made, planned=int(threading[end]) + 1)
    return made

"""Ends that belong together in pairs (or one from each layer): a bout does not end between them.

Doubled ends lie on one shaft in one yarn; the ends of layers alternate; two yarns that alternate are
wound two at a time (common practice, no source).
"""

from __future__ import annotations

import numpy as np

from loomready.warp.bouts import runs
from loomready.warp.result import Ints

ALTERNATE = 4  # ends that alternate between two yarns are wound as pairs from this many on


def inside_pairs(shaft: Ints, yarn: Ints, layers: int, floating: int) -> frozenset[int]:
    """Where a cut would split a pair: counts of ends before the cut.

    :param shaft: of each end of the web, -1 for one not threaded
    :param yarn: of each end, as a number
    :param floating: floating selvedges at each side
    """
    ends = len(shaft)
    found: set[int] = set()
    if layers > 1:
        body = range(floating, ends - floating)
        found |= {place for place in body[1:] if (place - floating) % layers}
    at = 0
    for _value, length in runs(shaft * (int(yarn.max(initial=0)) + 1) + yarn):
        found |= set(range(at + 1, at + length, 2)) if length % 2 == 0 else set()
        at += length
    for start, stop in _alternating(yarn):
        found |= set(range(start + 1, stop, 2))
    return frozenset(found)


def _alternating(yarn: Ints) -> list[tuple[int, int]]:
    """Stretches, from 0, in which two yarns alternate end by end."""
    changes = yarn[1:] != yarn[:-1]
    returns = np.concatenate([[False], yarn[2:] == yarn[:-2]])[: len(changes)]
    found, start = [], None
    for place in range(len(changes) + 1):
        goes_on = place < len(changes) and changes[place] and (start is None or bool(returns[place]))
        if goes_on and start is None:
            start = place
        elif not goes_on and start is not None:
            found.append((start, place + 1))
            start = place if place < len(changes) and changes[place] else None
    return [(first, last) for first, last in found if last - first >= ALTERNATE]

"""The left-to-right order of the treadles, chosen so that the feet alternate.

The left foot has the left half of the treadles (the middle one of an odd number too), the right foot the
rest. An order is judged by two counts over the picks as written, last to first included:

1. ``out of reach``, as few as can be: picks in which a foot would have to press two treadles that are no
   neighbors, or three (one foot can take two neighboring treadles: common practice, no source);
2. ``turns``, as many as can be: steps from pick to pick in which no foot works twice running. A pick
   without a treadle lets both feet rest.

With one treadle a pick only the halves count; up to 14 treadles all halves are tried, and with several
treadles a pick up to 7 treadles all orders: these are best. Beyond that treadles are swapped as long as it
helps, from a few starts: good, but not proved best.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations, permutations

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools

_ALL_HALVES = 14
_ALL_ORDERS = 7
_MOST_TREADLES = 64  # more are left as the picks come to them
_EFFORT = 300_000_000  # cells looked at in changing places
_AT_ONCE = 4_000_000  # cells

_Orders = npt.NDArray[np.int64]
_BestOf = Callable[[_Orders], tuple[tuple[int, int], list[int]]]


@dataclass(frozen=True, slots=True)
class Footwork:
    """How an order of treadles suits the feet: ``out_of_reach`` picks, ``turns`` of ``steps``."""

    out_of_reach: int
    turns: int
    steps: int


def footwork(treadling: Bools) -> Footwork:
    """The footwork of a treadling bool[P, T] in the order of its treadles."""
    rows, weights, pairs, steps = _digest(treadling)
    count = treadling.shape[1]
    out, turns = _judge(np.arange(count)[None], rows, weights, pairs, steps)
    return Footwork(int(out[0]), int(turns[0]), int(steps.sum()))


def order(treadling: Bools) -> list[int]:
    """The treadles of bool[P, T] in the order in which they should hang, left to right."""
    count = treadling.shape[1]
    if count < 2:
        return list(range(count))
    rows, weights, pairs, steps = _digest(treadling)
    first = list(dict.fromkeys(np.nonzero(treadling)[1].tolist()))  # treadles as the picks come to them
    first += sorted(set(range(count)).difference(first))
    if count > _MOST_TREADLES:
        return first
    single = int(rows.sum(axis=1).max(initial=0)) <= 1

    cells = rows.size + 2 * len(pairs)
    rounds = max(1, _EFFORT // (3 * cells * count**2 // 2))

    def best_of(orders: _Orders) -> tuple[tuple[int, int], list[int]]:
        parts = np.array_split(orders, -(-len(orders) * cells // _AT_ONCE))
        judged = [_judge(part, rows, weights, pairs, steps) for part in parts]
        out, turns = (np.concatenate(each) for each in zip(*judged, strict=True))
        best = int(np.lexsort((-turns, out))[0])
        return (int(out[best]), -int(turns[best])), orders[best].tolist()

    if single and count <= _ALL_HALVES:
        return best_of(_halves(first))[1]
    if not single and count <= _ALL_ORDERS:
        return best_of(np.array(list(permutations(first))))[1]
    found = [_improve(start, best_of, rounds) for start in _starts(first)]
    return min(found, key=lambda each: each[0])[1]


def _improve(start: list[int], best_of: _BestOf, rounds: int) -> tuple[tuple[int, int], list[int]]:
    score, here = best_of(np.array([start]))
    for _ in range(rounds):
        better, there = best_of(np.array(list(_near(here))))
        if better >= score:
            break
        score, here = better, there
    return score, here


def _starts(first: list[int]) -> Iterator[list[int]]:
    yield first
    yield first[0::2] + first[1::2]
    yield first[1::2] + first[0::2]


def _near(here: list[int]) -> Iterator[list[int]]:
    """The orders in which two treadles are swapped."""
    for one, other in combinations(range(len(here)), 2):
        there = here.copy()
        there[one], there[other] = there[other], there[one]
        yield there


def _halves(first: list[int]) -> _Orders:
    """All ways to part the treadles into a left and a right half, each in the given order."""
    left = (len(first) + 1) // 2
    return np.array(
        [
            [*chosen, *(treadle for treadle in first if treadle not in chosen)]
            for chosen in combinations(first, left)
        ]
    )


def _digest(treadling: Bools) -> tuple[Bools, _Orders, _Orders, _Orders]:
    """Different picks bool[K, T], how often each comes; pairs int[N, 2] of them in turn, how often each."""
    rows, ids, weights = np.unique(treadling, axis=0, return_inverse=True, return_counts=True)
    ids = ids.reshape(-1)
    pairs, steps = np.unique(np.stack([ids, np.roll(ids, -1)], axis=1), axis=0, return_counts=True)
    return rows, weights, pairs, steps


def _judge(
    orders: _Orders, rows: Bools, weights: _Orders, pairs: _Orders, steps: _Orders
) -> tuple[_Orders, _Orders]:
    """Picks out of reach and turns of the feet for each order int[N, T]: int[N] both."""
    left = (orders.shape[1] + 1) // 2
    hung = rows.T[orders]  # [N, T, K]: whether the pick presses the treadle in this place
    feet = hung[:, :left], hung[:, left:]
    out = np.zeros((len(orders), len(rows)), dtype=np.bool_)
    for foot in feet:
        together = foot.sum(axis=1)
        neighbors = (foot[:, 1:] & foot[:, :-1]).any(axis=1)
        out |= (together > 2) | ((together == 2) & ~neighbors)
    works = np.stack([foot.any(axis=1) for foot in feet])  # [2, N, K]
    same = (works[:, :, pairs[:, 0]] & works[:, :, pairs[:, 1]]).any(axis=0)
    return out @ weights, ~same @ steps

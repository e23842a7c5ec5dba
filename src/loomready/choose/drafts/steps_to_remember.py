"""Steps to remember: the length of the shortest description of an order of lifts.

Lifts are numbered as they first appear, like treadles tied up in the order of their use. A description is
a row of pieces, and a piece is one of

    a run        one lift, or neighbors one after another, up or down: 1 2 3 4, or 4 3 2      1 step
    k times      a description, repeated                                                     1 step more
    and back     a description and then the same backward, the turning lift once or twice   1 step more

The shortest is found exactly, for all stretches of all orders at once: a stretch is one piece or splits into
two that are described separately.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools

LONGEST = 400  # picks that an order may have: the search through its stretches grows with their square
Orders = npt.NDArray[np.integer]
Counts = npt.NDArray[np.int16]


def numbered(words: npt.NDArray[np.uint64]) -> Counts:
    """The lifts of each row [n, P] numbered from 0 as they first appear in it: int16[n, P]."""
    rows, picks = words.shape
    first = np.empty((rows, picks), np.int16)  # where this lift appears first
    for pick in range(picks):
        first[:, pick] = (words[:, : pick + 1] == words[:, pick : pick + 1]).argmax(axis=1)
    opens = first == np.arange(picks)
    rank = np.cumsum(opens, axis=1) - 1
    return np.take_along_axis(rank, first.astype(np.int64), axis=1).astype(np.int16)


def steps_to_remember(orders: Orders) -> Counts:
    """The fewest steps that describe each order of lifts int[n, P] (numbered as they appear): int16[n]."""
    rows, picks = orders.shape
    if picks == 0:
        return np.zeros(rows, np.int16)
    # least[length][:, i]: the fewest steps for the stretch of that length from pick i on.
    least: list[Counts] = [np.zeros((rows, picks + 1), np.int16), np.ones((rows, picks), np.int16)]
    step = np.diff(orders, axis=1)
    up = _stretches(step == 1)
    down = _stretches(step == -1)
    same = {
        period: _stretches(orders[:, period:] == orders[:, :-period]) for period in range(1, picks // 2 + 1)
    }
    palindromes: list[Bools] = [np.ones((rows, picks + 1), np.bool_), np.ones((rows, picks), np.bool_)]
    for length in range(2, picks + 1):
        starts = picks - length + 1
        best = least[1][:, :starts] + least[length - 1][:, 1 : 1 + starts]
        for head in range(2, length):
            np.minimum(
                best, least[head][:, :starts] + least[length - head][:, head : head + starts], out=best
            )
        run = (up[:, :starts] >= length - 1) | (down[:, :starts] >= length - 1)
        best[run] = 1
        for period in range(1, length // 2 + 1):
            if length % period == 0:
                repeats = same[period][:, :starts] >= length - period
                _improve(best, least[period][:, :starts], repeats)
        ends_alike = orders[:, :starts] == orders[:, length - 1 :]
        mirrored: Bools = ends_alike & palindromes[length - 2][:, 1 : 1 + starts]
        palindromes.append(mirrored)
        _improve(best, least[(length + 1) // 2][:, :starts], mirrored)
        least.append(best)
    return least[picks][:, 0]


def _improve(best: Counts, described: Counts, where: Bools) -> None:
    np.minimum(best, described + np.int16(1), out=best, where=where)


def _stretches(true: Bools) -> Counts:
    """How many in a row are true from each place on: int16[n, m]."""
    found = np.zeros((true.shape[0], true.shape[1] + 1), np.int16)
    for place in range(true.shape[1] - 1, -1, -1):
        found[:, place] = np.where(true[:, place], found[:, place + 1] + 1, 0)
    return found

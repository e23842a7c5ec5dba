"""Which loom shaft takes which shaft of the draft, and which heddles have to move."""

from __future__ import annotations

import numpy as np

from loomready.warp.result import HeddlePlan, Ints, Move


def plan_heddles(web_shaft: Ints, draft_shafts: int, there: tuple[int, ...]) -> HeddlePlan:
    """Heddles for a web whose ends lie on draft shafts from 0 (-1: not threaded).

    The draft's used shafts keep their order on the loom's shafts and go where fewest heddles move (ties: the
    lowest loom shafts first). ``least`` is the fewest moves with the shafts in any order. A loom with too few
    shafts gets
    no assignment.
    """
    needed = np.bincount(web_shaft[web_shaft >= 0], minlength=draft_shafts)
    used = np.flatnonzero(needed)
    have = np.asarray(there)
    short = max(0, int(needed.sum() - have.sum()))
    if used.size > have.size:
        none = (None,) * draft_shafts
        return HeddlePlan(tuple(needed.tolist()), none, 0, (), short, none, 0, ())
    cost = np.maximum(0, needed[used][:, None] - have[None, :])
    kept = in_order(cost)
    free = any_order(needed[used], have, used)
    moves, left = carry(needed[used], kept, have)
    return HeddlePlan(
        needed=tuple(needed.tolist()),
        assignment=_named(kept, used, draft_shafts),
        moved=int(cost[np.arange(used.size), kept].sum()),
        moves=moves,
        short=short,
        least_assignment=_named(free, used, draft_shafts),
        least_moved=int(cost[np.arange(used.size), free].sum()),
        spare=tuple((extra - extra // 2, extra // 2) for extra in left),
    )


def in_order(cost: Ints) -> Ints:
    """Columns in rising order, one for each row, of least total cost; ties: the lexicographically lowest.

    ``cost``: int[n, m] with n <= m. Dynamic programming from the last row back, n * m steps.
    """
    rows, columns = cost.shape
    big = int(cost.sum()) + 1
    # best[i, j]: least cost of rows i... when row i may take column j or a later one
    best = np.full((rows + 1, columns + 1), big, dtype=np.int64)
    best[rows] = 0
    for row in range(rows - 1, -1, -1):
        taken = cost[row] + best[row + 1, 1:]
        best[row, :-1] = np.minimum.accumulate(taken[::-1])[::-1]
    chosen, column = np.empty(rows, dtype=np.int64), 0
    for row in range(rows):
        taken = cost[row, column:] + best[row + 1, column + 1 :]
        column += int(np.argmin(taken))
        chosen[row] = column
        column += 1
    return chosen


def any_order(needed: Ints, have: Ints, used: Ints) -> Ints:
    """Columns of least total cost in any order; among these, as many shafts as can keep their own number.

    ``needed``: int[n] of the draft's shafts ``used``; ``have``: int[m] of the loom's, n <= m.
    """
    cost = np.maximum(0, needed[:, None] - have[None, :])
    if used[-1] < have.size and cost[np.arange(used.size), used].sum() == least_cost(needed, have):
        return used  # no order is better than every shaft at its own number
    from scipy.optimize import linear_sum_assignment  # slow to import: only where shafts change places

    size = max(cost.shape)
    weighted = cost.astype(np.int64) * (size * size + 1)
    weighted += used[:, None] != np.arange(cost.shape[1])[None, :]
    return np.asarray(linear_sum_assignment(weighted)[1], dtype=np.int64)


def least_cost(needed: Ints, have: Ints) -> int:
    """The fewest heddles that any assignment is short, with shafts matched in order of need and of supply.

    A shortage max(0, needed - there) is convex in the difference, so swapping two matches that are in the
    same order never helps.
    """
    return int(np.maximum(0, np.sort(needed)[::-1] - np.sort(have)[::-1][: needed.size]).sum())


def carry(needed: Ints, shafts: Ints, have: Ints) -> tuple[tuple[Move, ...], list[int]]:
    """Heddle moves from shafts with spare ones to shafts that are short, the nearest first; and what is left
    over."""
    surplus = have.astype(np.int64).copy()
    surplus[shafts] -= needed
    moves = []
    for to in np.flatnonzero(surplus < 0).tolist():
        for source in sorted(
            np.flatnonzero(surplus > 0).tolist(), key=lambda shaft: (abs(shaft - to), shaft)
        ):
            count = min(int(surplus[source]), int(-surplus[to]))
            if count:
                moves.append(Move(source + 1, to + 1, count))
                surplus[source] -= count
                surplus[to] += count
            if surplus[to] == 0:
                break
    return tuple(moves), [max(0, extra) for extra in surplus.tolist()]


def _named(chosen: Ints, used: Ints, shafts: int) -> tuple[int | None, ...]:
    named: list[int | None] = [None] * shafts
    for shaft, column in zip(used.tolist(), chosen.tolist(), strict=True):
        named[shaft] = column + 1
    return tuple(named)

"""Which shafts and picks a search tries, round by round."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count as counting
from itertools import cycle

from loomready.choose.drafts.batch import MOST_PICKS
from loomready.choose.drafts.wish import Wish


def groups(wish: Wish) -> Iterator[tuple[int, int]]:
    """Shafts and picks of each round, without end: mostly the whole loom, sometimes a part of it."""
    if wish.threading is not None:
        options = [len(set(wish.threading))]
    else:
        loom = wish.setting.shafts
        parts = [part for part in dict.fromkeys((loom // 2, loom * 3 // 4, min(loom, 8))) if part >= 2]
        options = [each for part in parts for each in (loom, loom, loom, part)]
    turns = {shafts: counting() for shafts in set(options)}
    for number in counting():
        shafts = options[number % len(options)]
        sizes = _sizes(shafts, wish.picks)
        yield shafts, sizes[next(turns[shafts]) % len(sizes)]


def small_groups(wish: Wish) -> Iterator[tuple[int, int]]:
    """The same with few shafts and all short repeats, where the limits are tight."""
    if wish.threading is not None:
        yield from groups(wish)
    most = min(wish.setting.shafts, 8)
    for picks in cycle(range(min(2, wish.picks), min(wish.picks, 12) + 1)):
        yield from ((shafts, picks) for shafts in range(2, most + 1))


def _sizes(shafts: int, picks: int) -> list[int]:
    """Pick repeats to try, the most likely first: the limit, multiples of the shafts, common divisors."""
    most = min(picks, MOST_PICKS)
    wanted = [most, 8 * (most // 8), shafts, 2 * (shafts - 1), 5 * (most // 5), 4 * (most // 4), 2 * shafts]
    wanted += [6 * (most // 6), most - 1, most // 2, shafts // 2, *range(most, 1, -1)]
    return [size for size in dict.fromkeys(wanted) if 2 <= size <= most][:24] or [1]

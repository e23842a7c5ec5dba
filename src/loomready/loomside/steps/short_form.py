"""A treadling in the short form that weavers write: repeats once, in brackets, with how often.

Common practice, no source: "4 x (3, 4)" for eight picks; "tabby" where every second pick is one of two
tabby sheds in turn, and only the pattern picks are listed.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

LONGEST = 480  # the shortest form is searched up to this many picks; longer treadlings are split
FEWEST_WITH_TABBY = 8  # picks: fewer are not worth a bracket


@dataclass(frozen=True, slots=True)
class Part:
    """Picks written one after the other and woven ``times`` over. ``first``: its first pick, from 0.

    ``inside``: the picks (as places in the treadling) or, where there are brackets inside, parts.
    """

    first: int
    times: int
    inside: tuple[int | Part, ...]

    @property
    def picks(self) -> int:
        """How many picks it weaves."""
        return self.times * sum(each.picks if isinstance(each, Part) else 1 for each in self.inside)


@dataclass(frozen=True, slots=True)
class TabbyPicks:
    """Every second pick is tabby. ``begins``: the first pick is one; ``sheds``: the first two, from 0."""

    begins: bool
    sheds: tuple[int, int]


def short_form(picks: Sequence[Hashable]) -> tuple[Part, ...]:
    """The picks as parts, so that as few picks as can be are written.

    :param picks: what is woven, pick by pick; equal picks are woven alike
    """
    number: dict[Hashable, int] = {}
    ids = np.array([number.setdefault(pick, len(number)) for pick in picks], dtype=np.int64)
    parts: list[Part] = []
    for start in range(0, len(ids), LONGEST):
        parts += _parts(ids[start : start + LONGEST], start)
    return tuple(parts)


def expanded(parts: Sequence[int | Part]) -> Iterator[int]:
    """The picks that the parts weave, each as the place of its first writing in the treadling.

    >>> list(expanded(short_form("abababc")))
    [0, 1, 0, 1, 0, 1, 6]
    """
    for part in parts:
        if isinstance(part, int):
            yield part
        else:
            for _ in range(part.times):
                yield from expanded(part.inside)


def written(parts: Sequence[int | Part]) -> int:
    """How many picks are written.

    >>> written(short_form("abababc"))
    3
    """
    return sum(written(each.inside) if isinstance(each, Part) else 1 for each in parts)


def tabby_picks(
    lifts: Sequence[frozenset[int]], yarns: Sequence[Hashable], plain: frozenset[frozenset[int]]
) -> TabbyPicks | None:
    """Whether every second pick is tabby: the two sheds in turn, in one yarn, from the first to the last.

    The other picks are pattern: not all of them tabby too. None: no such order.

    :param lifts: for each pick the shafts that are up
    :param plain: the two tabby sheds of the threading
    """
    if len(lifts) < FEWEST_WITH_TABBY or len(lifts) % 4:
        return None
    for begins in (True, False):
        tabby = slice(0 if begins else 1, None, 2)
        pattern = slice(1 if begins else 0, None, 2)
        one, other = lifts[tabby][:2]
        in_turn = list(lifts[tabby]) == [one, other] * (len(lifts) // 4)
        one_yarn = len(set(yarns[tabby])) == 1
        if in_turn and one_yarn and {one, other} == plain and not plain.issuperset(lifts[pattern]):
            return TabbyPicks(begins, (tabby.start, tabby.start + 2))
    return None


def _parts(ids: np.ndarray, offset: int) -> list[Part]:
    """The parts of one stretch by dynamic programming over all its runs of picks."""
    n = len(ids)
    cost = np.zeros((n + 1, n + 1), dtype=np.int64)  # of the picks from i up to, not with, j
    cut = np.zeros((n + 1, n + 1), dtype=np.int64)  # after which pick the run is cut; 0: it repeats
    period = np.zeros((n + 1, n + 1), dtype=np.int64)
    for i in range(n - 1, -1, -1):
        alike = _alike(ids, i)
        cost[i, i + 1] = 1
        for j in range(i + 2, n + 1):
            middle = np.arange(i + 1, j)
            costs = cost[i, middle] + cost[middle, j]
            # Of equal ways the one that is cut last: single picks stay together.
            best = len(middle) - 1 - int(costs[::-1].argmin())
            cost[i, j], cut[i, j] = costs[best], middle[best]
            length = j - i
            for size in alike:
                if size > length // 2:
                    break
                if length % size == 0 and alike[size] >= length - size and cost[i, i + size] < cost[i, j]:
                    cost[i, j], cut[i, j], period[i, j] = cost[i, i + size], 0, size
                    break
    return _gathered(list(_walk(cut, period, 0, n, offset)))


def _alike(ids: np.ndarray, start: int) -> dict[int, int]:
    """For each period how many picks from ``start`` on equal the pick one period later."""
    found = {}
    for size in range(1, (len(ids) - start) // 2 + 1):
        same = ids[start + size :] == ids[start : len(ids) - size]
        count = int(same.argmin()) if not same.all() else len(same)
        if count >= size:
            found[size] = count
    return found


def _walk(cut: np.ndarray, period: np.ndarray, i: int, j: int, offset: int) -> Iterator[int | Part]:
    stack = [(i, j)]
    while stack:
        first, last = stack.pop()
        if last - first == 1:
            yield first + offset
        elif period[first, last]:
            size = int(period[first, last])
            inside = tuple(_walk(cut, period, first, first + size, offset))
            yield Part(first + offset, (last - first) // size, inside)
        elif last > first:
            middle = int(cut[first, last])
            stack += [(middle, last), (first, middle)]


def _gathered(found: list[int | Part]) -> list[Part]:
    """Single picks between two repeats stand together as a part that is woven once."""
    parts: list[Part] = []
    single: list[int] = []
    for each in [*found, None]:
        if isinstance(each, int):
            single.append(each)
            continue
        if single:
            parts.append(Part(single[0], 1, tuple(single)))
            single = []
        if each is not None:
            parts.append(each)
    return parts

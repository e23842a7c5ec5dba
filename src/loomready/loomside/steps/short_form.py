"""A treadling in the short form that weavers write: repeats once, in brackets, with how often.

Common practice, no source: "4 x (3, 4)" for eight picks; "tabby" where every second pick is one of two
tabby sheds in turn, and only the pattern picks are listed.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

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
        parts += _parts(ids[start : start + LONGEST].tobytes(), start)
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


@lru_cache(maxsize=256)
def _parts(picks: bytes, offset: int) -> tuple[Part, ...]:
    """The parts of one stretch by dynamic programming over all its runs of picks, the shortest runs first.

    :param picks: numbers of 64 bits, equal where picks are woven alike
    """
    ids = np.frombuffer(picks, dtype=np.int64)
    n = len(ids)
    alike = _alike(ids)
    # By length and first pick; cost also by length and the place after the last pick.
    cost, up_to = np.zeros((2, n + 1, n + 1), dtype=np.int64)
    cut = np.zeros((n + 1, n + 1), dtype=np.int64)  # after how many picks the run is cut; 0: it repeats
    period = np.zeros((n + 1, n + 1), dtype=np.int64)
    cost[1, :n] = up_to[1, 1:] = 1
    for length in range(2, n + 1):
        starts = n - length + 1
        costs = cost[1:length, :starts] + up_to[length - 1 : 0 : -1, length:]
        # Of equal ways the one that is cut last: single picks stay together.
        cut[length, :starts] = length - 1 - costs[::-1].argmin(axis=0)
        least = costs.min(axis=0)
        open_still = np.ones(starts, dtype=bool)
        for size in _shares(length):
            repeats = open_still & (alike[size, :starts] >= length - size) & (cost[size, :starts] < least)
            period[length, :starts][repeats] = size
            open_still &= ~repeats
        sizes = period[length, :starts]
        least = np.where(sizes > 0, cost[sizes, np.arange(starts)], least)
        cost[length, :starts] = up_to[length, length:] = least
    return tuple(_gathered(list(_walk(cut, period, 0, n, offset))))


def _shares(length: int) -> Iterator[int]:
    """Lengths of which a run of this length holds two or more, whole, the shortest first."""
    return (size for size in range(1, length // 2 + 1) if length % size == 0)


def _alike(ids: np.ndarray) -> np.ndarray:
    """For each period and first pick how many picks from there on equal the pick one period later."""
    n = len(ids)
    found = np.zeros((n + 1, n + 1), dtype=np.int64)
    for size in range(1, n // 2 + 1):
        places = np.arange(n - size)
        differs = np.where(ids[size:] == ids[:-size], n - size, places)
        found[size, : n - size] = np.minimum.accumulate(differs[::-1])[::-1] - places
    return found


def _walk(cut: np.ndarray, period: np.ndarray, first: int, length: int, offset: int) -> Iterator[int | Part]:
    stack = [(first, length)]
    while stack:
        first, length = stack.pop()
        if length == 1:
            yield first + offset
        elif size := int(period[length, first]):
            inside = tuple(_walk(cut, period, first, size, offset))
            yield Part(first + offset, length // size, inside)
        elif length:
            before = int(cut[length, first])
            stack += [(first + before, length - before), (first, before)]


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

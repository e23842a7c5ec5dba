"""Cuts a threading where its own structure changes: straight runs and blocks stay together.

A unit is what a weaver threads in one breath: a straight run (1 to 24), an alternation (1, 2, 1, 2), a short
pattern that repeats (1, 3, 2, 3). Groups are units, small ones joined, long ones cut between repeats of their
pattern. Common practice, no source; the sizes are our choice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

MOST = 20  # ends in a group that can be kept in view (common practice, no source)
LONGEST_RUN = 24  # a straight run of so many stays together
FEWEST = 4  # ends in a group, where there are more
BLOCK = 8  # ends from which a unit is a group of its own
_PATTERNS = range(3, 9)  # ends of a pattern that repeats
_FEW, _JOINED, _UNEVEN = 3.0, 0.6, 0.001  # what spoils a group, against 1 for each group more
_EVEN = 16


@dataclass(frozen=True, slots=True)
class Unit:
    """``turn``: ends after which it may be cut if it must; 0: it is a straight run."""

    size: int
    turn: int


def cut(shafts: Sequence[int]) -> list[int]:
    """Sizes of groups, in order: 4 to 20 ends, a straight run up to 24, fewer only where there are no more.

    >>> cut([1, 2, 3, 4] * 6), cut(list(range(1, 25)) + list(range(23, 1, -1)))
    ([12, 12], [24, 22])
    >>> cut([1, 2] * 4 + [3, 2] * 4 + [3, 4] * 4)
    [8, 8, 8]
    """
    return list(_cut(tuple(shafts)))


@lru_cache(maxsize=256)
def _cut(shafts: tuple[int, ...]) -> tuple[int, ...]:
    cuts = [Unit(size, unit.turn) for unit in units(shafts) for size in parts_of(unit)]
    sizes = [unit.size for unit in cuts]
    cost, start = [0.0], [0]
    for stop in range(1, len(cuts) + 1):
        ways = [(cost[first] + _spoiled(cuts[first:stop]), first) for first in _firsts(sizes, stop)]
        best, first = min(ways)
        cost.append(best)
        start.append(first)
    found: list[int] = []
    at = len(sizes)
    while at:
        found.append(sum(sizes[start[at] : at]))
        at = start[at]
    return tuple(found[::-1])


def _firsts(sizes: list[int], stop: int) -> list[int]:
    """Units from which a group up to ``stop`` may begin: itself, and what is joined stays in view."""
    firsts, size = [stop - 1], sizes[stop - 1]
    for first in range(stop - 2, -1, -1):
        size += sizes[first]
        if size > MOST:
            break
        firsts.append(first)
    return firsts


def _spoiled(cuts: list[Unit]) -> float:
    size = sum(unit.size for unit in cuts)
    blocks = sum(unit.size >= BLOCK and unit.turn > 0 for unit in cuts) if len(cuts) > 1 else 0
    return 1 + _FEW * (size < FEWEST) + _JOINED * blocks + _UNEVEN * (size - _EVEN) ** 2


def parts_of(unit: Unit) -> list[int]:
    """A unit that is too long, cut into about equal parts, between repeats of its pattern.

    >>> parts_of(Unit(50, 2)), parts_of(Unit(30, 3)), parts_of(Unit(24, 0)), parts_of(Unit(32, 0))
    ([18, 18, 14], [15, 15], [24], [16, 16])
    """
    if unit.size <= (MOST if unit.turn else LONGEST_RUN):
        return [unit.size]
    turn = unit.turn or 4
    number = math.ceil(unit.size / (MOST // turn * turn))
    step = math.ceil(unit.size / number / turn) * turn
    cuts = [step] * (unit.size // step)
    return [*cuts, unit.size % step] if unit.size % step else cuts


def units(shafts: Sequence[int]) -> list[Unit]:
    """The threading in units, the longest from each place on.

    >>> units([1, 2, 3, 4, 1, 2, 3, 4, 5, 6, 5, 6, 5])
    [Unit(size=8, turn=4), Unit(size=5, turn=2)]
    """
    found, at = [], 0
    while at < len(shafts):
        unit = max(_units_from(shafts, at), key=lambda unit: (unit.size, -unit.turn))
        if unit.turn == 2 and unit.size % 2 and _again(shafts, at + unit.size - 1, 2) >= FEWEST:
            unit = Unit(unit.size - 1, 2)  # the end that two blocks share begins the next
        found.append(unit)
        at += unit.size
    return found


def _units_from(shafts: Sequence[int], at: int) -> list[Unit]:
    found = [Unit(_straight(shafts, at), 0)]
    for turn in (1, 2, *_PATTERNS):
        size = _again(shafts, at, turn)
        if size >= max(FEWEST, 2 * turn):
            found.append(Unit(size if turn < _PATTERNS.start else size // turn * turn, turn))
    return found


def _straight(shafts: Sequence[int], at: int) -> int:
    """Ends from ``at`` on that go up, or down, shaft by shaft; 1 where none do."""
    if at + 2 >= len(shafts) or abs(step := shafts[at + 1] - shafts[at]) != 1:
        return 1
    stop = at + 1
    while stop < len(shafts) and shafts[stop] - shafts[stop - 1] == step:
        stop += 1
    return stop - at if stop - at > 2 else 1


def _again(shafts: Sequence[int], at: int, turn: int) -> int:
    """Ends from ``at`` on that repeat after ``turn`` ends."""
    stop = at + turn
    while stop < len(shafts) and shafts[stop] == shafts[stop - turn]:
        stop += 1
    return min(stop, len(shafts)) - at

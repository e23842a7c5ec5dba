"""Which reed, how many ends in each dent, and where in the reed the web begins."""

from __future__ import annotations

import math
from collections.abc import Iterator

from loomready.model.guild import Reed
from loomready.warp.result import Sley
from loomready.warp.rounding import SLACK, at_most, whole_down

LONGEST_CYCLE = 4  # dents; longer ones are not kept in the head (common practice, no source)
NEAR_ENOUGH = 0.03  # of the sett asked for
CROWDING = 0.15  # closer than asked for, at most, to get a web into a reed that is narrow for it (ours)


def cycles(mean: float) -> Iterator[tuple[int, ...]]:
    """The dent cycles whose mean lies next to ``mean`` on either side, for each length up to the longest.

    Counts differ by at most one; each cycle is its own smallest rotation and no repetition of a shorter one.

    >>> list(cycles(1.6))
    [(1,), (2,), (1, 2), (1, 1, 2), (1, 2, 2), (1, 2, 2, 2)]
    """
    seen = set()
    for length in range(1, LONGEST_CYCLE + 1):
        for total in (math.floor(mean * length), math.floor(mean * length) + 1):
            low, more = divmod(total, length)
            cycle = (low,) * (length - more) + (low + 1,) * more
            if total > 0 and math.gcd(total, length) == 1 and cycle not in seen:
                seen.add(cycle)
                yield cycle


def dents_for(ends: int, cycle: tuple[int, ...]) -> int:
    """Dents that hold so many ends when the cycle is sleyed over and over, the last one perhaps partly.

    >>> dents_for(7, (1, 2)), dents_for(6, (1, 2)), dents_for(3, (0, 1))
    (5, 4, 6)
    """
    whole, left = divmod(ends, sum(cycle))
    dents = whole * len(cycle)
    for count in cycle:
        if left <= 0:
            break
        left -= count
        dents += 1
    return dents


def choose_sley(ends: int, floating: int, sett_per_cm: float, reeds: tuple[Reed, ...]) -> Sley | None:
    """The reed and cycle for ``ends`` (``floating`` of them floating selvedges) at the sett asked for.

    Among the reeds wide enough for the web: within 3 % the shortest cycle, then the nearest sett, then file
    order; empty dents only if nothing else comes within 3 %. Nothing within 3 %: the nearest. None is wide
    enough: None.
    """
    found: list[tuple[tuple[int, float, int, float], int, Sley]] = []
    for order, reed in enumerate(reeds):
        have = whole_down(reed.dents_per_cm * reed.width_mm / 10)
        narrow = not at_most(ends / sett_per_cm * 10, reed.width_mm)
        for cycle in cycles(sett_per_cm / reed.dents_per_cm):
            sett = reed.dents_per_cm * sum(cycle) / len(cycle)
            used = dents_for(ends - floating, cycle) + floating
            if used > have or not at_most(ends / sett * 10, reed.width_mm):
                continue
            if narrow and not at_most(sett, sett_per_cm * (1 + CROWDING)):
                continue  # a reed too narrow for the web as asked is not made wide by crowding it far
            off = abs(sett - sett_per_cm) / sett_per_cm
            within = off <= NEAR_ENOUGH + SLACK
            near = round(off, 10)
            rank = (0 if cycle[0] else 1, float(len(cycle)), 0, near) if within else (2, near, 0, len(cycle))
            first = (have - used) // 2 + 1
            found.append((rank, order, Sley(reed, cycle, sett, first, used, have, within)))
    return min(found, key=lambda one: one[:2])[2] if found else None

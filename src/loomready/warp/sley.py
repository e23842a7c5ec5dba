"""Which reed, how many ends in each dent, and in which dent the web begins."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from loomready.model.guild import Loom, Reed, WarpOrder
from loomready.warp.free_reeds import Reeds
from loomready.warp.result import Sley
from loomready.warp.rounding import SLACK, at_most, whole_down
from loomready.warp.width import Span

LONGEST_CYCLE = 4  # dents; longer cycles are hard to remember (common practice, no source)
NEAR_ENOUGH = 0.03  # of the sett asked for
EASY = 3  # ends per dent that any yarn passes through; 4 is for smooth ones (common practice, no source)


def cycles(mean: float) -> Iterator[tuple[int, ...]]:
    """The dent cycles whose mean is nearest to ``mean`` on either side, for each length up to the longest.

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


def heddle_cycles(mean: float, heddles: int) -> Iterator[tuple[int, ...]]:
    """The cycles of a rigid heddle: an end in each hole and slot, with several heddles up to one for each.

    The cycle is at most a hole and a slot long (common practice, no source).

    >>> list(heddle_cycles(2.3, 1)), list(heddle_cycles(1.4, 2))
    ([(1,)], [(1,), (2,), (1, 2)])
    """
    for cycle in cycles(min(max(mean, 1.0), float(heddles))):
        if len(cycle) <= 2 and len(cycle) <= sum(cycle) <= heddles * len(cycle):
            yield cycle


def dents_for(ends: int, cycle: tuple[int, ...]) -> int:
    """Dents that hold so many ends when the sleying cycle repeats, the last cycle perhaps in part.

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


def _smallest(cycle: tuple[int, ...]) -> tuple[int, ...]:
    """The cycle as its smallest rotation, without repetitions of a shorter one."""
    size, count = len(cycle), range(1, len(cycle) + 1)
    once = next(cycle[:n] for n in count if size % n == 0 and cycle == cycle[:n] * (size // n))
    return min(once[n:] + once[:n] for n in range(len(once)))


def choose_sley(
    ends_at: Callable[[float], int],
    floating: int,
    sett_per_cm: float,
    reeds: Sequence[Reed],
    loom: Loom,
    *,
    asked_mm: float = 0.0,
    reed: str | None = None,
    sley: tuple[int, ...] | None = None,
    heddles: int | None = None,
) -> Sley | None:
    """The reed and cycle for a web at the sett asked for; None: no reed that the loom takes.

    ``ends_at`` gives the web's ends at a sett, ``floating`` of them floating selvedges; ``asked_mm`` is the
    width in the reed that was asked for, 0 where the ends alone are given. Those whose web
    fits reed and loom come first, then those within 3 %, and of these: no empty dents; at most 3 ends per
    dent, then 4, then more; the shortest cycle; the nearest sett; nearest to 2 ends per dent; file order.
    Nothing
    within 3 %: the nearest that fits. A web is never crowded to fit: the best then has ``fits`` False.
    ``reed``, the key of one, and ``sley``, a cycle, leave only theirs to choose from. ``heddles``: of a
    rigid heddle loom, whose holes and slots are the dents; see :func:`heddle_cycles`.
    """
    found: list[tuple[tuple[float, ...], Sley]] = []
    for order, each in enumerate(reeds):
        if not at_most(each.width_mm, loom.takes_reed_mm) or reed not in (None, each.key):
            continue
        have = whole_down(each.dents_per_cm * each.width_mm / 10)
        room_mm = min(each.width_mm, loom.weaving_width_mm)
        wanted = sett_per_cm / each.dents_per_cm
        ways = cycles(wanted) if heddles is None else heddle_cycles(wanted, heddles)
        for cycle in [_smallest(sley)] if sley else ways:
            mean = sum(cycle) / len(cycle)
            sett = each.dents_per_cm * mean
            ends = ends_at(sett)
            used = dents_for(ends - floating, cycle) + floating
            off = abs(sett - sett_per_cm) / sett_per_cm
            within = _near(sett, sett_per_cm)
            fits = used <= have and at_most(ends / sett * 10, room_mm)
            if not within and sett > sett_per_cm:
                fits = fits and at_most(asked_mm, room_mm)  # never crowd the web to fit
            near = round(off, 10)
            comfort = (cycle[0] == 0, min(max((*cycle, EASY)), EASY + 2), len(cycle))
            rank = (not fits, not within, *((0.0, *comfort) if within else (near, *comfort)), near)
            first = max(1, (have - used) // 2 + 1)
            made = Sley(each, cycle, sett, first, used, have, within, fits)
            found.append(((*rank, round(abs(mean - 2), 10), order), made))
    return min(found, key=lambda one: one[0])[1] if found else None


def _near(sett_per_cm: float, asked_per_cm: float) -> bool:
    return abs(sett_per_cm - asked_per_cm) / asked_per_cm <= NEAR_ENOUGH + SLACK


def _gives(reed: Reed, sett_per_cm: float) -> bool:
    """Whether some cycle in this reed comes close to a sett."""
    wanted = sett_per_cm / reed.dents_per_cm
    return any(_near(reed.dents_per_cm * sum(cycle) / len(cycle), sett_per_cm) for cycle in cycles(wanted))


def sley_of(
    order: WarpOrder, span: Span, asked_per_cm: float, reeds: Reeds, loom: Loom, repeats: int | None = None
) -> Sley | None:
    """The sley of an order: each candidate has its own sett, and so its own repeats of the ``span``.

    A reed that another warp holds is taken only if no other is left. On a rigid heddle loom of known gauge
    the heddle is the only reed, whatever the order sets.

    :param repeats: hold them to this number instead
    """

    def ends_at(sett_per_cm: float) -> int:
        return span.ends(span.repeats_at(order, sett_per_cm) if repeats is None else repeats)

    heddles = loom.shafts if loom.is_rigid_heddle else None
    own = heddles is not None and loom.gauge_per_cm is not None

    def best(candidates: Sequence[Reed]) -> Sley | None:
        # That many repeats are as wide as the sett makes them: crowded only where that sett could be sleyed.
        crowds = repeats is None or any(_gives(each, asked_per_cm) for each in candidates)
        return choose_sley(
            ends_at,
            2 * span.floating,
            asked_per_cm,
            candidates,
            loom,
            asked_mm=ends_at(asked_per_cm) / asked_per_cm * 10 if crowds else 0.0,
            reed=None if own else order.set_reed,
            sley=None if heddles is not None else order.set_sley,
            heddles=heddles,
        )

    return best(reeds.free) or best([reed for reed, _ in reeds.held])

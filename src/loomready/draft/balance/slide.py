"""The fewest whole runs of ends to slide, so that a repeat balances.

A run slides when all its ends, neighbors of one another, go the same number of shafts up or down, from
the last shaft on to the first. For an axis let d be the shaft numbers of one side less those of the
other, pair by pair from one end of the axis to the other, modulo the number of shafts, with a 0 before
and after. A slide adds the same to a run of d: it changes two of its steps, one by what it takes from the
other. Steps that sum to zero are undone by one slide fewer than they are, and by no fewer unless they
part into two such groups: the fewest slides are the steps that are not zero less the greatest number of
groups, each with sum zero, that they can be put into. A step and its opposite may always be a group: of
two groups that hold one each, the rest sums to zero as well.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise, product
from math import prod

import numpy as np

from loomready.draft.balance.mirror import pairs
from loomready.draft.structure.periods import Numbers

_MOST_STATES = 20_000  # beyond that many the last groups are found in threes: seldom, and few too many


@dataclass(frozen=True, slots=True)
class Slide:
    """Pairs ``first`` to ``last`` (from 0, outward from the axis) go ``step`` shafts up on their one side."""

    first: int
    last: int
    step: int


@dataclass(frozen=True, slots=True)
class Slid:
    """The slides that balance a threading about an axis."""

    axis: int
    slides: tuple[Slide, ...]


def fewest_slides(threading: Numbers, shafts: int) -> list[Slid]:
    """The axes about which int64[E] on shafts 0 to ``shafts`` - 1 balances with the fewest slides.

    Ends in no heddle (-1) stay as they are: where one meets an end on a shaft, no slide helps.
    """
    count = len(threading)
    bounds = _bounds(threading, shafts)
    best: list[Slid] = []
    fewest = count + 1
    for axis in np.argsort(bounds, kind="stable").tolist():
        if bounds[axis] > fewest:
            break
        steps = _steps(threading, axis, shafts)
        if steps is None:
            continue
        places = np.flatnonzero(steps)
        left_over = _unpaired(steps[places], shafts)
        if (len(places) - left_over) // 2 + left_over - left_over // 3 > fewest:
            continue
        slides = tuple(_slides(steps, shafts))
        if len(slides) < fewest:
            fewest, best = len(slides), []
        if len(slides) == fewest:
            best.append(Slid(axis, slides))
    return best


def _bounds(threading: Numbers, shafts: int) -> Numbers:
    """At least so many slides for each axis, int64[E]: half its steps that are not zero.

    The steps of d are differences of neighbors, g[j] + g[b + 1 - j], so that all axes are counted at once.
    """
    count = len(threading)
    if int(threading.min()) < 0:
        return np.zeros(count, dtype=np.int64)
    rise = (threading - np.roll(threading, 1)) % shafts
    size = 1 << (2 * count - 1).bit_length()
    spectrum = np.zeros(size // 2 + 1, dtype=np.complex128)
    for step in np.unique(rise):
        spectrum += np.fft.rfft(rise == step, size) * np.fft.rfft(rise == -step % shafts, size)
    folded = np.rint(np.fft.irfft(spectrum, size)).astype(np.int64)
    level = folded[:count] + folded[count : 2 * count]
    # Each step is met from both sides; the one or two on the axis itself may be missed: no matter.
    nonzero = (count - np.roll(level, -1)) // 2
    return (nonzero + 1) // 2


def _steps(threading: Numbers, axis: int, shafts: int) -> Numbers | None:
    """The steps of d, int64[pairs + 1]; 0 where both ends are in no heddle; None where only one is."""
    one, other = pairs(len(threading), axis)
    right, left = threading[one], threading[other]
    free = (right < 0) & (left < 0)
    if ((right < 0) != (left < 0)).any():
        return None
    d = (left - right) % shafts
    if free.any():  # slides pass over them: they take on what their neighbor has
        known = np.maximum.accumulate(np.where(free, -1, np.arange(len(d))))
        d = np.where(known < 0, 0, d[known])
    return np.diff(d, prepend=0, append=0) % shafts


def _unpaired(steps: Numbers, shafts: int) -> int:
    counts = np.bincount(steps, minlength=shafts)
    opposite = np.roll(counts[::-1], 1)
    own = np.arange(shafts) * 2 % shafts == 0
    return int(np.where(own, counts % 2 * 2, np.abs(counts - opposite)).sum()) // 2


def _slides(steps: Numbers, shafts: int) -> list[Slide]:
    """The fewest slides that undo the steps."""
    where: dict[int, list[int]] = {}
    for place in np.flatnonzero(steps).tolist():
        where.setdefault(int(steps[place]), []).append(place)
    groups: list[list[int]] = []
    for step in sorted(where):
        opposite = -step % shafts
        while where[step] and where.get(opposite) and (step != opposite or len(where[step]) > 1):
            groups.append([where[step].pop(0), where[opposite].pop(0)])
    left_over = {step: places for step, places in where.items() if places}
    for residues in _groups({step: len(places) for step, places in left_over.items()}, shafts):
        groups.append([left_over[step].pop(0) for step in residues])
    found = []
    for group in groups:
        amount = 0
        for place, following in pairwise(sorted(group)):
            amount = (amount + int(steps[place])) % shafts
            if amount:
                found.append(Slide(place, following - 1, amount))
    return sorted(found, key=lambda slide: (slide.first, slide.last))


def _groups(counts: dict[int, int], shafts: int) -> list[list[int]]:
    """Put the steps (how many of each) into the greatest number of groups that sum to zero.

    As many groups as an order of the steps has beginnings that sum to zero; the best order, by all the
    multisets that can be taken first.
    """
    if not counts:
        return []
    kinds = sorted(counts)
    if prod(count + 1 for count in counts.values()) > _MOST_STATES:
        return _in_threes(counts, shafts)
    best: dict[tuple[int, ...], tuple[int, int]] = {}
    for taken in product(*(range(counts[kind] + 1) for kind in kinds)):
        most, last = 0, -1
        for place, amount in enumerate(taken):
            if amount:
                before = best[(*taken[:place], amount - 1, *taken[place + 1 :])][0]
                if last < 0 or before > most:
                    most, last = before, place
        zero = sum(kind * amount for kind, amount in zip(kinds, taken, strict=True)) % shafts == 0
        best[taken] = most + (zero and any(taken)), last
    groups: list[list[int]] = []
    taken = tuple(counts[kind] for kind in kinds)
    while any(taken):
        if sum(kind * amount for kind, amount in zip(kinds, taken, strict=True)) % shafts == 0:
            groups.append([])
        last = best[taken][1]
        groups[-1].append(kinds[last])
        taken = (*taken[:last], taken[last] - 1, *taken[last + 1 :])
    return groups


def _in_threes(counts: dict[int, int], shafts: int) -> list[list[int]]:
    left, groups = dict(counts), []
    for one in sorted(left):
        for two in sorted(left):
            three = -(one + two) % shafts
            group = [one, two, three]
            while three in left and all(left[step] >= group.count(step) for step in group):
                groups.append(group)
                for step in group:
                    left[step] -= 1
    rest = [step for step, count in left.items() for _ in range(count)]
    return [*groups, rest] if rest else groups

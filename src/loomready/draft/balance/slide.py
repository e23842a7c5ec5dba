"""The fewest whole runs of ends to slide, so that a repeat balances.

A run slides when all its ends, neighbors of one another, go the same number of shafts up or down, from
the last shaft on to the first. For an axis let d be the shaft numbers of one side less those of the
other, pair by pair from one end of the axis to the other, modulo the number of shafts, with a 0 before
and after. A slide adds the same to a run of d: it changes two of its steps, one by what it takes from the
other. For d = 0 2 2 0 the steps are 2 0 -2, and one slide of -2 over the middle makes them all 0. Steps
that sum to zero are undone by one slide fewer than they are, and by no fewer unless they part into two such
groups: the fewest slides are the steps that are not zero less the greatest number of groups, each with sum
zero, that they can be put into. A step and its opposite may always be a group: of two groups that hold one
each, the rest sums to zero as well.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby, product
from math import gcd, prod

import numpy as np

from loomready.draft.balance.mirror import pairs
from loomready.draft.structure.periods import Numbers

_Counted = list[tuple[tuple[int, ...], int]]
_MOST_STATES = 20_000  # beyond that many the last groups are found in threes: seldom, and few too many


@dataclass(frozen=True, slots=True)
class Slide:
    """Pairs ``first`` to ``last`` (from 0, outward from the axis) go ``step`` shafts up on their one side."""

    first: int
    last: int
    step: int


@dataclass(frozen=True, slots=True)
class Slid:
    """The slides that balance a threading about an axis, and how many pairs they move at all."""

    axis: int
    slides: tuple[Slide, ...]
    moved: int


@dataclass(frozen=True, slots=True, eq=False)
class _Groups:
    """Steps of an axis put into groups that sum to zero.

    members  for groups of one size each int64[N, size], the places of each group in order
    """

    steps: Numbers
    members: tuple[Numbers, ...]

    def slides(self, shafts: int) -> Numbers:
        """int64[M, 3]: first place, the place behind the last, and the step of each slide."""
        made = [np.zeros((0, 3), dtype=np.int64)]
        for places in self.members:
            amounts = np.cumsum(self.steps[places], axis=1)[:, :-1] % shafts
            rows = np.stack([places[:, :-1], places[:, 1:], amounts], axis=-1)
            made.append(rows[amounts > 0])
        return np.concatenate(made)


def fewest_slides(threading: Numbers, shafts: int, most: int | None = None) -> list[Slid]:
    """The axes about which int64[E] on shafts 0 to ``shafts`` - 1 balances with the fewest slides.

    Those that move the fewest pairs come first. Ends not threaded (-1) stay as they are: where one meets an
    end on a shaft, no slide helps.

    :param most: how many to return at most
    """
    bounds = _bounds(threading, shafts)
    fewest = len(threading) + 1
    looked: list[tuple[int, int, Numbers]] = []  # at least so many slides, about that axis, by these steps
    for axis in range(len(threading)):
        steps = _steps(threading, axis, shafts)
        if steps is not None:
            looked.append((_at_least(steps, shafts), axis, steps))
    looked.sort(key=lambda each: (each[0], each[1]))
    known: dict[bytes, _Groups | None] = {}  # a repeat of a repeat has axes with the same steps
    best: list[tuple[int, int, _Groups, Numbers]] = []
    for least, axis, steps in looked:
        if least > fewest:
            break
        same = steps.tobytes()
        if same not in known:
            known[same] = _groups_of(steps, shafts, fewest)
        groups = known[same]
        if groups is None:
            continue
        slides = groups.slides(shafts)
        if len(slides) < fewest:
            fewest, best = len(slides), []
        if len(slides) == fewest:
            best.append((_moved(slides, len(steps)), axis, groups, slides))
    best.sort(key=lambda each: (each[0], bounds[each[1]], each[1]))
    return [Slid(axis, _as_slides(slides), moved) for moved, axis, _groups, slides in best[:most]]


def _moved(slides: Numbers, places: int) -> int:
    """How many pairs lie in one slide or more."""
    edges = np.zeros(places + 1, dtype=np.int64)
    np.add.at(edges, slides[:, 0], 1)
    np.add.at(edges, slides[:, 1], -1)
    return int(np.count_nonzero(np.cumsum(edges)))


def _as_slides(slides: Numbers) -> tuple[Slide, ...]:
    rows = sorted((first, stop - 1, step) for first, stop, step in slides.tolist())
    return tuple(Slide(*row) for row in rows)


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
    """The steps of d, int64[pairs + 1]; 0 where both ends are not threaded; None where only one is."""
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


def _at_least(steps: Numbers, shafts: int) -> int:
    """No fewer slides than this undo the steps.

    Of the steps without their opposite each group has three at least; and whatever number all of them are
    taken times, each group sums to one round of the shafts or more.
    """
    counts = np.bincount(steps, minlength=shafts)
    counts[0] = 0
    opposite = np.roll(counts[::-1], 1)
    alone = np.where(np.arange(shafts) * 2 % shafts == 0, counts % 2, np.maximum(counts - opposite, 0))
    left_over = int(alone.sum())
    pairs = (int(counts.sum()) - left_over) // 2
    rounds = int((_multiples(shafts) @ alone).min()) // shafts
    return pairs + left_over - min(left_over // 3, rounds)


@lru_cache(maxsize=64)
def _multiples(shafts: int) -> Numbers:
    """Each step taken each number of times that has no divisor with the shafts, int64[K, shafts]."""
    times = [each for each in range(1, shafts + 1) if gcd(each, shafts) == 1]
    made: Numbers = np.outer(times, np.arange(shafts)) % shafts
    return made


def _groups_of(steps: Numbers, shafts: int, most: int) -> _Groups | None:
    """The steps in the most groups; None where they are seen to take more than ``most`` slides."""
    places = np.flatnonzero(steps)
    kinds = steps[places]
    places = places[np.argsort(kinds, kind="stable")]
    ends = np.cumsum(np.bincount(kinds, minlength=shafts))
    members: list[Numbers] = []
    rest: dict[int, Numbers] = {}
    for step in np.unique(kinds).tolist():
        found = places[ends[step - 1] : ends[step]]
        opposite = -step % shafts
        if step == opposite:
            paired = len(found) // 2 * 2
            members.append(found[:paired].reshape(-1, 2))
        else:
            others = places[ends[opposite - 1] : ends[opposite]]
            paired = min(len(found), len(others))
            if step < opposite:
                members.append(np.column_stack([found[:paired], others[:paired]]))
        if len(found) > paired:
            rest[step] = found[paired:]
    made, exact = _groups(tuple((step, len(found)) for step, found in rest.items()), shafts)
    count = sum(map(len, members)) + sum(map(len, rest.values())) - sum(times for _group, times in made)
    if exact and count > most:
        return None
    for group, times in made:
        columns = []
        for step in dict.fromkeys(group):
            taken = times * group.count(step)
            columns.append(rest[step][:taken].reshape(times, -1))
            rest[step] = rest[step][taken:]
        members.append(np.concatenate(columns, axis=1))
    return _Groups(steps, tuple(np.sort(each, axis=1) for each in members))


@lru_cache(maxsize=256)
def _groups(steps: tuple[tuple[int, int], ...], shafts: int) -> tuple[_Counted, bool]:
    """Put the steps (how many of each) into the greatest number of groups that sum to zero.

    :returns: the groups and how many of each follow one another, and whether no other grouping has more

    As many groups as an order of the steps has beginnings that sum to zero; the best order, by all the
    multisets that can be taken first.
    """
    counts = dict(steps)
    kinds = sorted(counts)
    if prod(count + 1 for count in counts.values()) > _MOST_STATES:
        return _counted(_in_threes(counts, shafts)), False
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
    return _counted(groups), True


def _counted(groups: list[list[int]]) -> _Counted:
    return [(group, len(list(same))) for group, same in groupby(map(tuple, groups))]


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

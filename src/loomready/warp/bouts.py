"""The bouts to wind: few enough ends for one hand, divided where the color or the repeat changes."""

from __future__ import annotations

import itertools
from bisect import bisect
from collections.abc import Sequence

import numpy as np

from loomready.draft.structure import periods
from loomready.warp.result import Bout, Ints

SHIFT = 5  # ends by which a cut may move to a color change or the end of a repeat


def cuts(
    ends: int,
    most: int,
    good: set[int],
    never: frozenset[int] = frozenset(),
    edges: frozenset[int] = frozenset(),
    every: Ints | None = None,
) -> list[int]:
    """Where the web is cut into bouts: positions from 0 to ``ends``, the fewest bouts of at most ``most``.

    Bouts are as equal as they can be; each inner cut then moves by up to 5 ends out of a pair, and to a good
    place, as many as can, by as little as can. At edges of stripes there may be a quarter more bouts than
    the fewest, so that fewer stripes are cut.

    :param good: numbers of ends before a color change or a repeat's end
    :param never: numbers of ends inside a pair; a cut stays there only where no other place is near
    :param edges: good places that are edges of stripes: a cut goes as far as half a bout to one
    :param every: int[ends + 1], ends of yarn before each position, which ``most`` counts; None: one each

    >>> cuts(100, 40, {30, 66})
    [0, 30, 66, 100]
    >>> cuts(100, 60, {40}), cuts(100, 60, {40}, edges=frozenset({40}))
    ([0, 50, 100], [0, 40, 100])
    """
    before = np.arange(ends + 1) if every is None else every
    full = _filled(before, most)
    fewest = len(full) - 1
    more = max(1, fewest // 4) if edges else 0
    by_place = sorted(edges)
    tried = [
        (*found[0][:2], number, found[1])
        for number in range(fewest, min(fewest + more, ends) + 1)
        if (found := _cut(before, most, number, good, never, by_place)) is not None
    ]
    return min(tried)[-1] if tried else full


def _filled(every: Ints, most: int) -> list[int]:
    """Cuts that fill each bout before the next: the fewest bouts. Ends that work as one stay together."""
    made = [0]
    while made[-1] < len(every) - 1:
        fits = int(np.searchsorted(every, every[made[-1]] + most, side="right")) - 1
        made.append(max(fits, made[-1] + 1))
    return made


def _cut(
    every: Ints, most: int, number: int, good: set[int], never: frozenset[int], by_place: list[int]
) -> tuple[tuple[int, int, int], list[int]] | None:
    """The best cuts into so many bouts: (pairs parted, cuts in no good place, ends shifted), and the cuts.

    None: so many bouts do not hold all ends.
    """
    ends, weight = len(every) - 1, int(every[-1])
    equal = [round(weight * j / number) for j in range(number + 1)]
    if weight != ends:
        equal = np.searchsorted(every, equal).tolist()
    # For each position of the last cut: ((pairs split, cuts at no good place, ends shifted), the cuts so
    # far).
    reached: dict[int, tuple[tuple[int, int, int], list[int]]] = {0: ((0, 0, 0), [0])}
    for j in range(1, number + 1):
        shifts = range(-SHIFT, SHIFT + 1) if j < number else (0,)
        first, last = (bisect(by_place, equal[j] + way * most // 2) for way in (-1, 1))
        far = by_place[first:last] if j < number else []
        onward: dict[int, tuple[tuple[int, int, int], list[int]]] = {}
        for place in dict.fromkeys([*(equal[j] + shift for shift in shifts), *far]):
            if not 0 < place <= ends:
                continue
            shifted = abs(place - equal[j])
            parts = int(j < number and place in never)
            bad = int(j < number and place not in good)
            if bad and shifted and (parts or not never):
                continue  # a cut moves only to a better position
            options = [
                ((parted + parts, missed + bad, moved + shifted), [*path, place])
                for before, ((parted, missed, moved), path) in reached.items()
                if place - before == 1 or 0 < int(every[place] - every[before]) <= most
            ]
            if options:
                onward[place] = min(options)
        reached = onward
    return min(reached.values(), default=None)


def plan_bouts(
    yarn_of_end: Ints,
    cone_of_end: Ints,
    yarns: tuple[str, ...],
    cones: tuple[str, ...],
    most: int,
    repeat_starts: tuple[int, ...],
    never: frozenset[int] = frozenset(),
    *,
    striped: bool = False,
    as_one: Ints | None = None,
) -> tuple[Bout, ...]:
    """The bouts of a web, end 1 first. ``cone_of_end`` is -1 for an end that no cone gives.

    Where ends work as one, ``cone_of_end`` has an entry for each of them, the others for each working end;
    ``most`` counts ends of yarn, for they all go through the hand.

    :param never: places inside a pair of ends, as for :func:`cuts`
    :param striped: the web is laid in stripes; none is cut where there is a way around it
    :param as_one: ends of yarn that work as one at each place; None: one everywhere
    """
    ends = int(yarn_of_end.size)
    changes = (np.flatnonzero(np.diff(yarn_of_end)) + 1).tolist()
    edges = frozenset(changes) - never if striped else frozenset()
    good = edges if striped else {*changes, *repeat_starts} - never
    places = cuts(ends, most, set(good), never, edges, _ends_of_yarn_before(ends, as_one))
    return bouts_between(places, yarn_of_end, cone_of_end, yarns, cones, as_one)


def bouts_between(
    places: Sequence[int],
    yarn_of_end: Ints,
    cone_of_end: Ints,
    yarns: tuple[str, ...],
    cones: tuple[str, ...],
    as_one: Ints | None = None,
) -> tuple[Bout, ...]:
    """The bouts of a web that is cut at these places, its edges among them."""
    every = _ends_of_yarn_before(len(yarn_of_end), as_one)
    made = []
    for number, (first, last) in enumerate(itertools.pairwise(places), start=1):
        colors = tuple((yarns[which], count) for which, count in runs(yarn_of_end[first:last]))
        given: dict[str, int] = {}
        for which, count in runs(cone_of_end[every[first] : every[last]]):
            if which >= 0:
                given[cones[which]] = given.get(cones[which], 0) + count
        more = int(every[last] - every[first]) - (last - first)
        made.append(Bout(number, first + 1, last - first, colors, tuple(given.items()), more))
    return tuple(made)


def _ends_of_yarn_before(ends: int, as_one: Ints | None) -> Ints:
    """int[ends + 1], ends of yarn before each place of the web, and all of them."""
    return np.arange(ends + 1) if as_one is None else np.concatenate([[0], np.cumsum(as_one)])


def runs(values: Ints) -> list[tuple[int, int]]:
    """Runs of equal values, in order, as (value, length)."""
    return [(int(values[start]), length) for start, length in periods.runs(values)]

"""Winding: bout by bout in groups that fill a space of the raddle, with colors, cones and counting ties."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loomready.warp.bouts import runs
from loomready.warp.result import Bout, Ints, RaddleSpread, WarpPlan

_STRIPES = 4  # stripes of a band that are wound at a glance
_FEW = 6  # fewer ends than this are no group worth a counting tie: take the wider raddle then


@dataclass(frozen=True, slots=True)
class Turn:
    """Ends wound without a stop. ``first``, ``last`` from 1 in web order.

    runs  (place in the order's warp yarns, ends), in order
    cones (cone, ends), in order; fewer ends than the group where no cone gives them
    tie   a counting tie comes after it: a space of the raddle is full
    every ends of yarn, each of those that work as one counted, as ``cones`` counts them
    """

    first: int
    last: int
    bout: int
    runs: tuple[tuple[int, int], ...]
    cones: tuple[tuple[str, int], ...]
    tie: bool
    every: int


def winding(plan: WarpPlan) -> tuple[Turn, ...]:
    """Every end in one group, end 1 first; no group goes on from one bout to the next."""
    keys = plan.order.warp_yarns
    if plan.sections is not None:
        return tuple(_section(plan, bout) for bout in plan.bouts)
    if plan.loom.kind == "inkle":
        return tuple(_on_inkle_loom(plan))
    first_place = np.asarray([keys.index(key) for key in keys])
    yarn = first_place[plan.web.role[plan.wound_order]]
    ties = _ties(plan)
    yarn_of = {cone.key: cone.yarn for cone in plan.guild.cones}
    made = []
    for bout, sizes in zip(plan.bouts, groups_wound(plan), strict=True):
        waiting = [[cone, yarn_of[cone], ends] for cone, ends in bout.cones]
        first = bout.first_end
        for size in sizes:
            last = first + size - 1
            found = tuple(runs(yarn[first - 1 : last]))
            cones = tuple(_from_cones(waiting, _every_end(plan, first, found)))
            every = _counted(plan, first, last)
            made.append(Turn(first, last, bout.number, found, cones, last in ties, every))
            first = last + 1
    return tuple(made)


def _cycle(plan: WarpPlan) -> tuple[int, ...]:
    """Ends in each space of the raddle in turn; without a raddle, of the largest bout."""
    spread = counting_spread(plan.raddle)
    return spread.cycle if spread else (max((bout.ends for bout in plan.bouts), default=1),)


def groups_wound(plan: WarpPlan) -> list[list[int]]:
    """For each bout its groups between counting ties.

    Of two warps each fills its own part of a space of the raddle: spaces where it has no end are left out.
    """
    if plan.second is None:
        return list(counting_ties(plan.bouts, _cycle(plan)))
    space = _space_of_end(plan)[plan.wound_order]
    return [[size for _, size in runs(space[bout.first_end - 1 : bout.last_end])] for bout in plan.bouts]


def cuts_a_group(plan: WarpPlan) -> bool:
    """Whether a bout ends inside a group that fills a space of the raddle, so that the next one goes on."""
    ties = _ties(plan)
    return any(bout.last_end not in ties for bout in plan.bouts[:-1])


def groups_told(plan: WarpPlan) -> list[list[int]]:
    """The groups of :func:`groups_wound`; of two warps with a 0 for each space without an end of the warp."""
    found = groups_wound(plan)
    if plan.second is None:
        return found
    space, made = _space_of_end(plan)[plan.wound_order].tolist(), []
    before, of_second = -1, False
    for bout, sizes in zip(plan.bouts, found, strict=True):
        if bout.second != of_second:
            before, of_second = -1, bout.second
        groups, at = [], bout.first_end - 1
        for size in sizes:
            groups += [0] * (space[at] - before - 1) + [size]
            before, at = space[at], at + size
        made.append(groups)
    return made


def _ties(plan: WarpPlan) -> frozenset[int]:
    """After which ends, in the order of winding, a counting tie comes."""
    if plan.second is None:
        return tie_places(plan.web.ends, _cycle(plan))
    space = _space_of_end(plan)[plan.wound_order]
    full = np.flatnonzero(np.diff(space, append=-1)) + 1
    return frozenset(full.tolist())


def _space_of_end(plan: WarpPlan) -> Ints:
    """int[ends], the space of the raddle, from 0, in which an end of the web lies."""
    until = sorted(tie_places(plan.web.ends, _cycle(plan)))
    return np.asarray(np.searchsorted(until, np.arange(plan.web.ends), side="right"))


def _counted(plan: WarpPlan, first: int, last: int) -> int:
    """Ends of yarn from end ``first`` to end ``last``."""
    return int(plan.web.as_one[first - 1 : last].sum())


def _section(plan: WarpPlan, bout: Bout) -> Turn:
    """A section of the beam, wound in one go. Its ends come from as many cones or spools: none is named."""
    keys = plan.order.warp_yarns
    found = tuple((keys.index(key), ends) for key, ends in bout.colors)
    every = _counted(plan, bout.first_end, bout.last_end)
    return Turn(bout.first_end, bout.last_end, bout.number, found, (), False, every)


def _on_inkle_loom(plan: WarpPlan) -> Iterator[Turn]:
    """A few stripes at a time, wound on the loom itself: no counting ties."""
    keys = plan.order.warp_yarns
    for bout in plan.bouts:
        first = bout.first_end
        for at in range(0, len(bout.colors), _STRIPES):
            found = tuple((keys.index(key), ends) for key, ends in bout.colors[at : at + _STRIPES])
            last = first + sum(ends for _, ends in found) - 1
            yield Turn(first, last, bout.number, found, (), False, _counted(plan, first, last))
            first = last + 1


def _every_end(plan: WarpPlan, first: int, found: tuple[tuple[int, int], ...]) -> list[tuple[str, int]]:
    """The yarn of each run from that end on, and its ends of yarn."""
    made, at = [], first - 1
    for which, ends in found:
        made.append((plan.order.warp_yarns[which], int(plan.web.as_one[at : at + ends].sum())))
        at += ends
    return made


def tie_places(ends: int, cycle: tuple[int, ...]) -> frozenset[int]:
    """After which ends a space of the raddle is full: the counting ties.

    >>> sorted(tie_places(30, (10, 11)))
    [10, 21]
    """
    found, at, place = [], 0, 0
    while at < ends:
        at, place = at + cycle[place % len(cycle)], place + 1
        found.append(at)
    return frozenset(each for each in found if each <= ends)


def _from_cones(waiting: list[list[object]], wanted: list[tuple[str, int]]) -> Iterator[tuple[str, int]]:
    """Take the ends from the cones of the bout, each yarn's cones one after the other."""
    taken: dict[str, int] = {}
    for key, ends in wanted:
        for each in waiting:
            cone, yarn, left = str(each[0]), each[1], int(str(each[2]))
            if yarn == key and left and ends:
                part = min(left, ends)
                each[2], ends = left - part, ends - part
                taken[cone] = taken.get(cone, 0) + part
    yield from taken.items()


def signs(plan: WarpPlan) -> list[str]:
    """For each end, in the order of winding, its yarn and how long it is wound."""
    wound = plan.wound_order
    keys = [plan.order.warp_yarns[role] for role in plan.web.role[wound].tolist()]
    lengths = {key: f"{plan.length_of(key):.2f}" for key in plan.order.warp_yarns}
    return [
        f"{key} {lengths[key]}" if as_one == 1 else f"{as_one} × {key} {lengths[key]}"
        for key, as_one in zip(keys, plan.web.as_one[wound].tolist(), strict=True)
    ]


def counting_spread(raddle: tuple[RaddleSpread, ...]) -> RaddleSpread | None:
    """The raddle whose spaces set the counting ties: the finest with groups worth a tie."""
    for spread in raddle:
        if min(spread.cycle) >= _FEW:
            return spread
    return raddle[-1] if raddle else None


def counting_ties(bouts: tuple[Bout, ...], cycle: tuple[int, ...]) -> Iterator[list[int]]:
    """For each bout its groups between counting ties, so that a group fills a space of the raddle.

    The cycle runs on over the whole web: where a bout ends inside a space, the next begins with the rest.

    >>> bouts = (Bout(1, 1, 25, (), ()), Bout(2, 26, 25, (), ()))
    >>> list(counting_ties(bouts, (10,)))
    [[10, 10, 5], [5, 10, 10]]
    """
    place, left = 0, cycle[0]
    for bout in bouts:
        groups, ends = [], bout.ends
        while ends > 0:
            group = min(ends, left)
            if group:
                groups.append(group)
            ends, left = ends - group, left - group
            while left == 0:
                place += 1
                left = cycle[place % len(cycle)]
        yield groups

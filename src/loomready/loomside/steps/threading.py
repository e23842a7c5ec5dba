"""Threading: groups of the repeat, cut into parts that one glance holds, each end with its shaft and yarn."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loomready.loomside.steps.groups import Group, groups
from loomready.warp.result import Ints, WarpPlan

GLANCE = 8  # ends whose shafts are read in one glance (common practice, no source)


@dataclass(frozen=True, slots=True)
class Part:
    """A few ends of one group. ``first``, ``last`` from 1; ``shafts`` of the loom, 0: not threaded.

    ``yarns``: for each end the place of its yarn in the order's warp yarns.
    """

    first: int
    last: int
    group: int
    shafts: tuple[int, ...]
    yarns: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Threading:
    """Every end of the web in one part, end 1 first. ``used``: the loom shafts that hold ends."""

    ends: int
    used: tuple[int, ...]
    groups: tuple[Group, ...]
    parts: tuple[Part, ...]


def threading(plan: WarpPlan) -> Threading:
    shafts, role = shaft_of_end(plan).tolist(), plan.web.role.tolist()
    made = groups(plan.web)
    parts = []
    for number, group in enumerate(made):
        first = group.first
        for size in glances(group.size):
            stop = first + size
            here = tuple(shafts[first:stop])
            parts.append(Part(first + 1, stop, number, here, tuple(role[first:stop])))
            first = stop
    return Threading(plan.web.ends, tuple(shafts_used(plan)), made, tuple(parts))


def glances(size: int) -> list[int]:
    """A group cut into parts of at most 8 ends: in fours as far as it goes, no crumb at the end.

    >>> glances(8), glances(13), glances(9), glances(20)
    ([8], [8, 5], [5, 4], [8, 8, 4])
    """
    number = math.ceil(size / GLANCE)
    if number <= 1:
        return [size] if size else []
    step = min(GLANCE, math.ceil(size / number / 4) * 4)
    cut = [step] * (size // step) + ([size % step] if size % step else [])
    if cut[-1] >= 3:
        return cut
    low, more = divmod(size, number)
    return [low + 1] * more + [low] * (number - more)


def signs(plan: WarpPlan) -> list[str]:
    """For each end what a threaded heddle is about: shaft and yarn."""
    keys = plan.order.warp_yarns
    pairs = zip(shaft_of_end(plan).tolist(), plan.web.role.tolist(), strict=True)
    return [f"{shaft} {keys[role]}" for shaft, role in pairs]


def loom_shaft(plan: WarpPlan) -> list[int | None]:
    """Loom shaft (from 1) of each draft shaft; the draft's own numbers where the loom has too few shafts."""
    if any(shaft is not None for shaft in plan.heddles.assignment):
        return list(plan.heddles.assignment)
    return [number if needed else None for number, needed in enumerate(plan.heddles.needed, start=1)]


def shafts_used(plan: WarpPlan) -> list[int]:
    """The loom shafts (from 1) that hold ends, in order."""
    return sorted(shaft for shaft in loom_shaft(plan) if shaft is not None)


def shaft_totals(plan: WarpPlan) -> dict[int, int]:
    """Ends on each loom shaft that holds any."""
    pairs = zip(loom_shaft(plan), plan.heddles.needed, strict=True)
    return {shaft: needed for shaft, needed in pairs if shaft is not None}


def shaft_of_end(plan: WarpPlan) -> Ints:
    """Loom shaft (from 1) of each end, int[ends]; 0: not threaded."""
    on_loom = np.asarray([*(shaft or 0 for shaft in loom_shaft(plan)), 0])
    return np.asarray(on_loom[plan.web.shaft], dtype=np.int64)


def running(shafts: Ints, made: tuple[Group, ...], used: list[int]) -> Ints:
    """Ends on each used shaft after each group, int[groups, shafts used]."""
    sums = np.zeros((len(made), len(used)), dtype=np.int64)
    if made:
        stops = np.asarray([group.stop for group in made])
        for column, shaft in enumerate(used):
            sums[:, column] = np.cumsum(shafts == shaft)[stops - 1]
    return sums

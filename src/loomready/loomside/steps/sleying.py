"""Sleying: which ends go in which dents, in groups that keep the rhythm of the sley."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from loomready.warp.result import Sley, WarpPlan

GLANCE = 8  # dents that are read in one glance (common practice, no source)


@dataclass(frozen=True, slots=True)
class Dents:
    """A few dents side by side. ``counts``: ends in each, 0 for an empty one; ends and dents from 1."""

    first: int
    last: int
    first_dent: int
    counts: tuple[int, ...]
    floating: bool


def sleying(plan: WarpPlan) -> tuple[Dents, ...]:
    """Every end in one group, end 1 first; nothing where no reed serves."""
    sley = plan.sley
    if sley is None:
        return ()
    dents, edge = ends_of_dents(plan, sley), plan.web.floating // 2
    size = len(sley.cycle) * max(1, GLANCE // len(sley.cycle))
    body = range(edge, len(dents) - edge, size)
    cuts = [*([0] if edge else []), *body, *([len(dents) - 1] if edge else []), len(dents)]
    made = []
    for start, stop in itertools.pairwise(cuts):
        counts = tuple(last - first + 1 for first, last in dents[start:stop])
        alone = bool(edge) and start in (0, len(dents) - 1)
        made.append(Dents(dents[start][0], dents[stop - 1][1], sley.first_dent + start, counts, alone))
    return tuple(made)


def signs(plan: WarpPlan) -> list[str]:
    """For each end its reed and dent."""
    sley = plan.sley
    if sley is None:
        return []
    return [
        f"{sley.reed.key} {sley.first_dent + place}"
        for place, (first, last) in enumerate(ends_of_dents(plan, sley))
        for _ in range(first, last + 1)
    ]


def ends_of_dents(plan: WarpPlan, sley: Sley) -> list[tuple[int, int]]:
    """For each dent used, its first and last end (from 1); empty dents have last < first."""
    edge = plan.web.floating // 2
    dents = [(1, 1)] if edge else []
    end, last, place = 1 + edge, plan.web.ends - edge, 0
    while end <= last:
        count = min(sley.cycle[place % len(sley.cycle)], last - end + 1)
        dents.append((end, end + count - 1))
        end, place = end + count, place + 1
    if edge:
        dents.append((plan.web.ends, plan.web.ends))
    return dents

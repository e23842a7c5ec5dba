"""Sleying: which ends go in which dents, in groups that keep the rhythm of the sley."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from loomready.warp.denting import Part, dents_filled, parts_of
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
    body = _glances(plan, sley, edge, len(dents) - edge)
    cuts = [*([0] if edge else []), *body, *([len(dents) - 1] if edge else []), len(dents)]
    made = []
    for start, stop in itertools.pairwise(cuts):
        counts = tuple(last - first + 1 for first, last in dents[start:stop])
        alone = bool(edge) and start in (0, len(dents) - 1)
        made.append(Dents(dents[start][0], dents[stop - 1][1], sley.first_dent + start, counts, alone))
    return tuple(made)


def _glances(plan: WarpPlan, sley: Sley, start: int, stop: int) -> Iterator[int]:
    """Where groups of dents begin: whole cycles, and of a crammed and spaced web no group beyond its part."""
    parts = parts_of_plan(plan)
    if not parts:
        yield from range(start, stop, _glance(sley.cycle))
    for part in parts:
        if part.ends:  # empty dents stand in the group before them
            yield from range(start, start + len(part.counts), _glance(part.cycle))
        start += len(part.counts)


def _glance(cycle: tuple[int, ...]) -> int:
    return len(cycle) * max(1, GLANCE // len(cycle))


def parts_of_plan(plan: WarpPlan) -> tuple[Part, ...]:
    """The parts of a crammed and spaced web; nothing where it is sleyed evenly."""
    sley, edge = plan.sley, plan.web.floating // 2
    if sley is None or not sley.denting:
        return ()
    return parts_of(plan.order, plan.web.shaft[edge : plan.web.ends - edge] >= 0, sley.cycle)


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
    end = 1 + edge
    for count in dents_filled(sley, plan.web.ends - 2 * edge):
        dents.append((end, end + count - 1))
        end += count
    if edge:
        dents.append((plan.web.ends, plan.web.ends))
    return dents

"""How the ends lie in a raddle, for the usual spacings."""

from __future__ import annotations

import numpy as np

from loomready.warp.result import RaddleSpread, Sley
from loomready.warp.rounding import cycle_near, whole_up
from loomready.warp.sley import dents_for

# Common practice, no source.
_SAME = 1e-9  # of a space: less is the rounding of sums
SPACINGS = {"us": ((12.7, "1/2 in"), (25.4, "1 in")), "metric": ((10.0, "1 cm"), (20.0, "2 cm"))}


def raddle_spreads(
    ends: int, width_in_reed_mm: float, units: str, sley: Sley | None = None
) -> tuple[RaddleSpread, ...]:
    """Ends per space, as a repeating cycle, so that the web lies in the raddle as wide as in the reed.

    The cycle is of at most four spaces and comes nearest to the sett; ``spaces`` is what the web fills. A
    crammed and spaced web has the ends that lie over each space in the reed.
    """
    if sley is not None and sley.denting:
        return tuple(_as_in_reed(sley, spacing_mm, name) for spacing_mm, name in SPACINGS[units])
    made = []
    for spacing_mm, name in SPACINGS[units]:
        cycle = cycle_near(ends * spacing_mm / width_in_reed_mm)
        spaces = dents_for(ends, cycle)
        made.append(RaddleSpread(spacing_mm, name, cycle, spaces, whole_up(spaces / 2)))
    return tuple(made)


def _as_in_reed(sley: Sley, spacing_mm: float, name: str) -> RaddleSpread:
    """Each space with the ends of the dents that lie over it when the web is centered in both."""
    inside = [count for count, dents in sley.denting for _ in range(dents)]
    edge = [1] * ((sley.dents - len(inside)) // 2)
    counts = np.asarray([*edge, *inside, *edge])
    pitch_mm = 10 / sley.reed.dents_per_cm
    spaces = whole_up(counts.size * pitch_mm / spacing_mm)
    before_mm = (spaces * spacing_mm - counts.size * pitch_mm) / 2
    at = ((np.arange(counts.size) + 0.5) * pitch_mm + before_mm) / spacing_mm
    at = np.floor(at + _SAME)  # a dent over the edge of two spaces lies in the second, whatever the rounding
    ends = np.bincount(at.astype(np.int64), weights=counts, minlength=spaces)
    cycle = tuple(int(each) for each in ends.tolist())
    return RaddleSpread(spacing_mm, name, cycle, spaces, whole_up(spaces / 2), repeats=False)

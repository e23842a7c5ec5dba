"""How the ends lie in a raddle, for the usual spacings."""

from __future__ import annotations

from loomready.warp.result import RaddleSpread
from loomready.warp.rounding import cycle_near, whole_up
from loomready.warp.sley import dents_for

# Common practice, no source.
SPACINGS = {"us": ((12.7, "1/2 in"), (25.4, "1 in")), "metric": ((10.0, "1 cm"), (20.0, "2 cm"))}


def raddle_spreads(ends: int, width_in_reed_mm: float, units: str) -> tuple[RaddleSpread, ...]:
    """Ends per space, as a repeating cycle, so that the web lies in the raddle as wide as in the reed.

    The cycle is of at most four spaces and comes nearest to the sett; ``spaces`` is what the web fills.
    """
    made = []
    for spacing_mm, name in SPACINGS[units]:
        cycle = cycle_near(ends * spacing_mm / width_in_reed_mm)
        spaces = dents_for(ends, cycle)
        made.append(RaddleSpread(spacing_mm, name, cycle, spaces, whole_up(spaces / 2)))
    return tuple(made)

"""Where the ends of a crammed and spaced web lie, dent by dent."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.warp.denting import dents_filled
from loomready.warp.result import WarpPlan

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """What lies side by side across the web, end 1 first: ends, and dents without one.

    share  of the web's width, float[columns]
    gap    a dent without an end, bool[columns]
    """

    share: Floats
    gap: Bools


def columns(plan: WarpPlan) -> Columns | None:
    """The web column by column; None where its ends lie evenly."""
    sley, edge = plan.sley, plan.web.floating // 2
    if sley is None or not sley.denting:
        return None
    counts = np.asarray([*[1] * edge, *dents_filled(sley, plan.web.ends), *[1] * edge])
    in_dent = np.maximum(counts, 1)
    share = np.repeat(1 / (in_dent * counts.size), in_dent)
    return Columns(share, np.repeat(counts == 0, in_dent))


def places(plan: WarpPlan) -> Floats | None:
    """Near and far edge of each end as shares of the web's width, float[ends, 2]; None: evenly."""
    found = columns(plan)
    if found is None:
        return None
    far = np.cumsum(found.share)
    return np.column_stack([far - found.share, far])[~found.gap]


def up_to(found: Columns, share: float) -> tuple[Columns, int]:
    """The columns from end 1 on within a share of the width, at least one end, and their number of ends."""
    inside = np.cumsum(found.share) <= share + 1e-9
    inside[: int(np.argmin(found.gap)) + 1] = True
    return Columns(found.share[inside], found.gap[inside]), int((~found.gap[inside]).sum())

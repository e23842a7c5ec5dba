"""Drafts that the pictures are tried on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from loomready.draft.draft import RGB, Draft, lift_plan

BLUE: RGB = (44, 79, 114)
OAT: RGB = (232, 222, 200)
RED: RGB = (160, 58, 43)


def with_treadles(draft: Draft, *, rising: bool = True) -> Draft:
    """The same cloth with a treadle for each distinct lift."""
    lifts, treadle = np.unique(draft.lifts, axis=0, return_inverse=True)
    treadling = np.zeros((draft.picks, len(lifts)), dtype=np.bool_)
    treadling[np.arange(draft.picks), treadle.reshape(-1)] = True
    tied = lifts.T if rising else ~lifts.T
    return replace(draft, tieup=np.ascontiguousarray(tied), treadling=treadling, rising=rising)


def striped_twill() -> Draft:
    """A 2/2 twill of blue and red on oat, end 1 alone in red."""
    return lift_plan(
        [1, 2, 3, 4] * 3,
        [[1, 2], [2, 3], [3, 4], [1, 4]] * 2,
        palette=(BLUE, OAT, RED),
        warp_colors=[2] + [0] * 11,
        weft_colors=[1] * 8,
        title="Two stripes",
    )

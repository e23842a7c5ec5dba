"""Waffle. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

import numpy as np

from loomready.draft.draft import Draft
from loomready.draft.families.draft_making import treadled
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import WholeNumber
from loomready.draft.families.point import there_and_back
from loomready.phrases import phrase


def waffle(shafts: int) -> Draft:
    """A point draw, treadled as drawn in. Treadles of four shafts: 1; 2; 1 3; 1 2 4.

    Each treadle lifts its own shaft and all that lie two or more below it: diamonds of weft floats and
    diamonds of warp floats, which draw the cloth into cells.
    """
    shaft, treadle = np.indices((shafts, shafts))
    tieup = (shaft == treadle) | (shaft <= treadle - 2)
    order = there_and_back(shafts - 1, shafts)
    return treadled(order, tieup, order, title=phrase("Waffle on {shafts} shafts", shafts=shafts))


WAFFLE = Family(
    name="waffle",
    title=phrase("Waffle"),
    group=phrase("block weaves"),
    says=phrase("a point draw that floats in warp and weft by turns: square cells"),
    build=waffle,
    own=(
        WholeNumber(
            name="shafts",
            meaning=phrase("shafts of the point: more make deeper cells"),
            default="5",
            lowest=4,
            highest=12,
        ),
    ),
    repeats=2,
)

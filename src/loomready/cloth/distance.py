"""Cloth as an eye sees it from a distance: light of neighboring threads mixed, as :mod:`contrast` has it."""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
from PIL import Image

from loomready.cloth.color import to_code, to_light
from loomready.cloth.contrast import blur_mm
from loomready.cloth.picture import cloth_array
from loomready.draft.draft import Draft
from loomready.model.guild import Side

_QUALITY = 88  # of the JPEG, 0-100: what is blurred needs no more


def seen_jpeg(
    draft: Draft,
    cell: int,
    *,
    mm_per_end: float,
    mm_per_pick: float,
    distance_m: float,
    ends: Sequence[int],
    picks: Sequence[int],
    end_1: Side,
) -> bytes:
    """These ends and picks at ``cell`` pixels each, blurred in linear light as an eye blurs them."""
    from scipy.ndimage import gaussian_filter  # slow to load

    light = to_light(cloth_array(draft, cell, picks=picks, ends=ends, end_1=end_1))
    sigma = blur_mm(distance_m)
    blurred = gaussian_filter(
        light, (cell * sigma / mm_per_pick, cell * sigma / mm_per_end, 0), mode="nearest"
    )
    out = io.BytesIO()
    Image.fromarray(to_code(np.asarray(blurred))).save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()

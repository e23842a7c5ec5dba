"""Cloth whose ends lie at unequal distances: crammed, spaced, with stretches that have weft alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
from PIL import Image

from loomready.cloth.picture import ClothImage, cloth_array, png_bytes
from loomready.draft.draft import Draft
from loomready.model.guild import Side

_THREAD_PX = 9  # each end is drawn this wide, then pressed or spread to its own width


def spaced_image(
    draft: Draft,
    widths_mm: npt.NDArray[np.float64],
    gaps: npt.NDArray[np.bool_],
    *,
    mm_per_pick: float,
    width_px: int,
    picks: Sequence[int],
    end_1: Side = "right",
) -> ClothImage:
    """The cloth true to scale, its columns as wide as they are told.

    :param widths_mm: of each column, end 1 first; columns are the draft's ends and the gaps among them
    :param gaps: which columns have no end: there weft lies alone
    """
    columns = int(gaps.size)
    where = np.maximum(np.cumsum(~gaps) - 1, 0)
    with_gaps = replace(
        draft,
        threading=np.where(gaps, -1, draft.threading[where]).astype(np.int16),
        warp_colors=draft.warp_colors[where],
    )
    total_mm = float(widths_mm.sum())
    height = max(2, min(24, round(mm_per_pick * width_px / total_mm)))
    pixels = cloth_array(with_gaps, (_THREAD_PX, height), picks=picks, ends=range(columns), end_1=end_1)
    widths = widths_mm[::-1] if end_1 == "right" else widths_mm
    edges = np.concatenate([[0.0], np.cumsum(widths)])
    at_mm = (np.arange(width_px) + 0.5) * total_mm / width_px
    column = np.minimum(np.searchsorted(edges, at_mm, side="right") - 1, columns - 1)
    inside = (at_mm - edges[column]) / widths[column]
    source = column * _THREAD_PX + np.minimum((inside * _THREAD_PX).astype(int), _THREAD_PX - 1)
    image = Image.fromarray(np.ascontiguousarray(pixels[:, source]))
    return ClothImage(
        png=png_bytes(image),
        width_px=width_px,
        height_px=image.height,
        width_mm=total_mm,
        height_mm=len(picks) * mm_per_pick,
    )

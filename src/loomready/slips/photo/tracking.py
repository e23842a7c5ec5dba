"""Picks and ends followed across a strip: they bend, drift, and are beaten unevenly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.slips.photo import filters as ndimage
from loomready.slips.photo.rectify import ABOVE, SCALE

Array = npt.NDArray[np.float64]

_MOVES = np.arange(-5, 6)  # pixels by which a place is tried
_STIFF = 0.02  # what a move costs, for each cell and squared pixel


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Where cells lie: ``y`` float[P, T] of each pick, ``x`` at that pick, for each pixel across."""

    x: Array
    y: Array

    def sample(self, maps: Array) -> Array:
        """float[P, T, K] of maps float[K, H, W]."""
        return np.stack(
            [ndimage.map_coordinates(each, [self.y, self.x], order=1, mode="nearest") for each in maps],
            axis=-1,
        )


def even(picks: int, lean: Array) -> Grid:
    """Picks at equal distances, ends as they lean: ``lean`` float[H, W]."""
    wide = lean.shape[1]
    y = np.repeat((ABOVE + np.arange(picks, dtype=np.float64))[:, None] * SCALE, wide, axis=1)
    rows = np.clip(np.round(y[:, 0]).astype(int), 0, len(lean) - 1)
    return Grid(np.arange(wide)[None, :] + lean[rows], y)


def followed(grid: Grid, told: Array, columns: npt.NDArray[np.int64], up: npt.NDArray[np.bool_]) -> Grid:
    """The grid moved to where the cells fit best.

    :param told: float[H, W], logarithm of the odds of warp on top
    :param columns: pixels of the ends, and ``up`` bool[P, C], their cells
    """
    sign = np.where(up, 1.0, -1.0)
    told = np.clip(told, -3.0, 3.0)
    y, x = grid.y[:, columns], grid.x[:, columns]
    by_y = _best(told, y, x, sign, (1.0, 0.0), (0.5, 7.0))
    y = y + by_y
    by_x = _best(told, y, x, sign, (0.0, 1.0), (2.5, 5.0))
    place = np.arange(grid.y.shape[1])
    return Grid(grid.x + _spread(by_x, columns, place), grid.y + _spread(by_y, columns, place))


def _best(
    told: Array, y: Array, x: Array, sign: Array, move: tuple[float, float], size: tuple[float, float]
) -> Array:
    """float[P, C]: pixels by which cells move to fit best, smoothly from cell to cell."""
    fits = np.stack(
        [
            ndimage.gaussian_filter(
                sign
                * ndimage.map_coordinates(
                    told, [y + move[0] * step, x + move[1] * step], order=1, mode="nearest"
                ),
                size,
                mode="nearest",
            )
            - _STIFF * step**2
            for step in _MOVES
        ]
    )
    strong = np.exp(4.0 * (fits - fits.max(axis=0)))
    moved: Array = (strong * _MOVES[:, None, None]).sum(axis=0) / strong.sum(axis=0)
    return np.asarray(ndimage.gaussian_filter(moved, (size[0] / 2, size[1] / 2), mode="nearest"))


def _spread(moved: Array, columns: npt.NDArray[np.int64], place: npt.NDArray[np.int64]) -> Array:
    return np.stack([np.interp(place, columns, row) for row in moved])

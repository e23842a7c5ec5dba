"""What tells warp on top from weft on top, for each pixel of a strip."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from loomready.slips.photo import filters as ndimage
from loomready.slips.photo.rectify import ABOVE, BESIDE, SCALE

Array = npt.NDArray[np.float64]

_AROUND = 10 * SCALE  # over which the light is evened out
LIGHT = 0  # place of the light among the features
LEAN = 12.0  # pixels by which one side may be off between first and last pick
_LEANS = 25


def features(flat: Array) -> Array:
    """float[K, H, W]: light, two chromas, curvatures, which way lines run; each with standard deviation 1.

    :param flat: float[3, H, W], :func:`even_light`
    """
    red, green, blue = flat
    gray = (red + green + blue) / 3
    maps = [
        ndimage.gaussian_filter(gray, 1.0),
        ndimage.gaussian_filter(red - green, 1.5),
        ndimage.gaussian_filter((red + green) / 2 - blue, 1.5),
        ndimage.gaussian_filter(gray, (1.5, 1.8), order=(0, 2)),
        ndimage.gaussian_filter(gray, (1.8, 1.5), order=(2, 0)),
        ndimage.gaussian_filter(gray, (2.0, 1.0), order=(0, 2)),
        ndimage.gaussian_filter(
            np.abs(ndimage.gaussian_filter(gray, 1.0, order=(0, 1)))
            - np.abs(ndimage.gaussian_filter(gray, 1.0, order=(1, 0))),
            1.8,
        ),
    ]
    made = np.stack(maps)
    inner = made[:, ABOVE * SCALE : -ABOVE * SCALE, BESIDE * SCALE : -BESIDE * SCALE]
    center = inner.mean(axis=(1, 2), keepdims=True)
    spread = np.maximum(inner.std(axis=(1, 2), keepdims=True), 1e-6)
    scaled: Array = (made - center) / spread
    return scaled


def even_light(light: Array) -> Array:
    """float[3, H, W], the light without what is darker on one side, judged between the taps only."""
    inside = np.zeros(light.shape[1:])
    inside[(ABOVE - 1) * SCALE : -(ABOVE - 1) * SCALE, (BESIDE - 1) * SCALE : -(BESIDE - 1) * SCALE] = 1.0
    size = (_AROUND / 2, _AROUND)
    weight = np.maximum(ndimage.gaussian_filter(inside, size, mode="constant"), 1e-6)
    made = np.empty_like(light)
    for channel in range(3):
        around = ndimage.gaussian_filter(light[channel] * inside, size, mode="constant") / weight
        made[channel] = light[channel] - around
    return made


def lean(flat: Array) -> Array:
    """float[H, W]: pixels by which each point lies to the right of its end at the middle pick.

    Taps may be an end apart at first and last pick: of all leans of the left and of the right side the one is
    taken that makes the columns' profile sharpest.
    """
    gray = ndimage.gaussian_filter(flat.mean(axis=0), (1.0, 0.7))
    rows = np.arange(ABOVE * SCALE - SCALE // 2, gray.shape[0] - ABOVE * SCALE + SCALE // 2, 2)
    from_middle = (rows - rows.mean()) / (rows[-1] - rows[0])
    high, wide = gray.shape
    windows = 6
    edges = np.linspace(0, wide, windows + 1).astype(int)
    leans = np.linspace(-LEAN, LEAN, _LEANS)
    scores = np.empty((windows, _LEANS))
    place = np.arange(wide)
    for number, slope in enumerate(leans):
        moved = np.zeros(wide)
        for row, share in zip(rows, from_middle, strict=True):
            moved += np.interp(place + slope * share, place, gray[row])
        fine = moved - ndimage.uniform_filter1d(moved, 2 * SCALE + 1)
        for window in range(windows):
            scores[window, number] = fine[edges[window] : edges[window + 1]].var()
    scores /= np.maximum(scores.mean(axis=1, keepdims=True), 1e-12)
    middles = (np.arange(windows) + 0.5) / windows
    best, slopes = -np.inf, (0.0, 0.0)
    for left in leans[::1]:
        for right in leans[np.abs(leans - left) <= SCALE]:
            at = left + (right - left) * middles
            score = sum(np.interp(at[w], leans, scores[w]) for w in range(windows)) - 0.002 * (
                left**2 + right**2
            )
            if score > best:
                best, slopes = score, (float(left), float(right))
    across = np.linspace(slopes[0], slopes[1], wide)
    down = (np.arange(high) - rows.mean()) / (rows[-1] - rows[0])
    shift: Array = down[:, None] * across[None, :]
    return shift

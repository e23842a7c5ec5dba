"""The stretch between four taps, pulled straight: eight pixels for each end and each pick.

Between the taps points are mapped bilinearly. A homography would fit perspective, but on a strip that is long
and narrow a tap that is a little off makes it a wild change of spacing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.slips.photo import filters as ndimage
from loomready.slips.photo.picture import Picture

Array = npt.NDArray[np.float64]
Point = tuple[float, float]
Corners = tuple[Point, Point, Point, Point]

SCALE = 8  # pixels for an end and for a pick
BESIDE = 4  # ends shown beyond the first and last tap
ABOVE = 3  # picks shown beyond them
LEAST_PX = 4.5  # of the photograph for an end and a pick
_DARK, _BRIGHT = 0.10, 0.985  # of full brightness
_FLAT = 0.01  # brightness of the darkest and the brightest part are so near
NO_CONTRAST = phrase(
    "there is no contrast between warp and weft; weave the test with a smooth weft that is much "
    "lighter or darker than every warp yarn"
)


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """A straight stretch: end n (from 0) is about x = (BESIDE + n) SCALE, pick n about y = (ABOVE + n) SCALE.

    light    float[3, H, W], logarithm of the brightness of red, green and blue
    corners  of the taps, in pixels of the upright photograph
    """

    light: Array
    corners: Corners
    ends: int
    picks: int

    def to_photo(self, x: Array, y: Array) -> tuple[Array, Array]:
        """Points of the strip in pixels of the upright photograph."""
        return _bilinear(self.corners, self.ends, self.picks, x, y)


def rectify(picture: Picture, corners: Corners, ends: int, picks: int) -> Strip:
    """Pull the stretch straight.

    :param corners: centers of (first end, first pick), (last end, first pick), (first, last), (last, last)
    :raises BadInput: taps that span no stretch, or a stretch that is too small, too dark or too bright
    """
    _check(picture, corners, ends, picks)
    across, along = _spacing(corners, ends, picks)
    scale = picture.image.width / picture.full[0]
    fine = max(1, round(scale * across / SCALE)), max(1, round(scale * along / SCALE))
    wide, high = (ends - 1 + 2 * BESIDE) * SCALE, (picks - 1 + 2 * ABOVE) * SCALE
    x = (np.arange(wide * fine[0]) + 0.5) / fine[0] - 0.5
    y = (np.arange(high * fine[1]) + 0.5) / fine[1] - 0.5
    at_x, at_y = _bilinear(corners, ends, picks, x[None, :], y[:, None])
    at_x, at_y = (at_x + 0.5) * scale - 0.5, (at_y + 0.5) * scale - 0.5
    left, top = max(int(at_x.min()) - 2, 0), max(int(at_y.min()) - 2, 0)
    right, bottom = int(at_x.max()) + 3, int(at_y.max()) + 3
    box = (left, top, min(right, picture.image.width), min(bottom, picture.image.height))
    part = np.asarray(picture.image.crop(box))
    light = np.empty((3, high, wide))
    for channel in range(3):
        plane = part[..., channel].astype(np.float32)
        sampled = ndimage.map_coordinates(plane, [at_y - top, at_x - left], order=1, mode="nearest")
        light[channel] = sampled.reshape(high, fine[1], wide, fine[0]).mean(axis=(1, 3))
    light /= 255
    inside = light[:, ABOVE * SCALE : -ABOVE * SCALE, BESIDE * SCALE : -BESIDE * SCALE].max(axis=0)
    if np.quantile(inside, 0.9) < _DARK:
        raise BadInput(phrase("the photograph is too dark there; take it in even daylight, without a flash"))
    if np.quantile(inside, 0.4) > _BRIGHT:
        raise BadInput(
            phrase("the photograph is too bright there; take it without sun or a flash on the cloth")
        )
    if np.ptp(np.quantile(inside, [0.05, 0.95])) < _FLAT:
        raise BadInput(NO_CONTRAST)
    return Strip(np.log(light + 0.02), corners, ends, picks)


def _spacing(corners: Corners, ends: int, picks: int) -> tuple[float, float]:
    """Pixels of the photograph for an end and for a pick, each on the shorter of two sides."""
    points = np.array(corners)
    across = min(np.hypot(*(points[1] - points[0])), np.hypot(*(points[3] - points[2])))
    along = min(np.hypot(*(points[2] - points[0])), np.hypot(*(points[3] - points[1])))
    return float(across) / (ends - 1), float(along) / (picks - 1)


def _check(picture: Picture, corners: Corners, ends: int, picks: int) -> None:
    wide, high = picture.full
    for x, y in corners:
        if not (0 <= x <= wide and 0 <= y <= high):
            raise BadInput(
                phrase(
                    "a corner is outside the photograph of {wide} x {high} pixels; expected all inside",
                    wide=wide,
                    high=high,
                )
            )
    points = np.array(corners)
    around = points[[0, 1, 3, 2]]
    turns = [
        float(np.cross(np.append(b - a, 0), np.append(c - b, 0))[2])
        for a, b, c in zip(around, np.roll(around, -1, axis=0), np.roll(around, -2, axis=0), strict=True)
    ]
    if not (all(turn > 0 for turn in turns) or all(turn < 0 for turn in turns)):
        raise BadInput(
            phrase(
                "the corners span no stretch of cloth; expected first and last end at the first pick, then "
                "first and last end at the last pick"
            )
        )
    across, along = _spacing(corners, ends, picks)
    if across < LEAST_PX or along < LEAST_PX:
        raise BadInput(
            phrase(
                "the photograph is too small: an end has {across:.1f} pixels there, a pick {along:.1f}, and "
                "8 are needed to read well; take it closer, or fewer ends at a time",
                across=across,
                along=along,
            )
        )


def _bilinear(corners: Corners, ends: int, picks: int, x: Array, y: Array) -> tuple[Array, Array]:
    u = (x / SCALE - BESIDE) / (ends - 1)
    v = (y / SCALE - ABOVE) / (picks - 1)
    made = []
    for axis in (0, 1):
        a, b, c, d = (corner[axis] for corner in corners)
        made.append((1 - u) * (1 - v) * a + u * (1 - v) * b + (1 - u) * v * c + u * v * d)
    return made[0], made[1]

"""Simulated photographs of a test weave: yarns with shade, twist and hairs, in perspective, light and noise.

Shares no code with the reader: the cloth is drawn yarn by yarn from its crossings, then seen by a camera.
Lengths are in spaces between ends. No photograph of a real test weave was at hand; how far these resemble
one is a judgment.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, replace

import numpy as np
from coloraide import Color
from PIL import Image, ImageDraw
from scipy import ndimage

Random = np.random.Generator
Corners = tuple[tuple[float, float], ...]

_FINE = 14  # pixels of the drawn cloth in a space
_MARGIN = 4.0  # spaces of the drawn cloth beyond its edge ends
_HEADER = 4  # picks woven before the first test pick
_BEYOND = 5.0  # spaces of bare warp shown beyond the last pick


@dataclass(frozen=True, slots=True)
class Grade:
    """How good a photograph is.

    px        pixels of the photograph in a space
    drift     ends beside their place, standard deviation in spaces (never more than half a space)
    beat      spacing of the picks, standard deviation as a share
    tilt      how much smaller the far edge is than the near one; turn in radians
    lens      bend of straight lines toward the corners
    light     how much darker the darkest side is
    blur      standard deviation in pixels of the photograph
    noise     standard deviation on a scale from 0 to 1
    quality   of the JPEG
    hairs     on each end
    taps      how far a tap is off, standard deviation in spaces
    contrast  CIEDE2000 between warp and weft
    """

    px: float
    drift: float
    beat: float
    tilt: float
    turn: float
    lens: float
    light: float
    blur: float
    noise: float
    quality: int
    hairs: float
    taps: float
    contrast: float = 20.0


GRADES = {
    "easy": Grade(8, 0.08, 0.05, 0.02, 0.01, 0.0, 0.10, 0.6, 0.010, 92, 0.3, 0.15),
    "usual": Grade(8, 0.16, 0.10, 0.06, 0.03, 0.01, 0.25, 0.9, 0.022, 82, 1.0, 0.30),
    "hard": Grade(8, 0.26, 0.17, 0.12, 0.06, 0.03, 0.45, 1.3, 0.045, 62, 2.0, 0.50),
}


@dataclass(frozen=True, slots=True, eq=False)
class Photograph:
    """``corners``: taps at (first end, first pick), (last, first), (first, last), (last, last), in pixels."""

    data: bytes
    corners: Corners


def photograph(
    up: np.ndarray,
    grade: Grade,
    random: Random,
    *,
    crowded: tuple[int, ...] = (),
    gaps: tuple[int, ...] = (),
    warp_colors: int = 1,
    end_1: str = "right",
) -> Photograph:
    """Draw the cloth of the crossings ``up`` bool[P, C] and photograph it.

    :param crowded: columns for which there is no room: five ends stand in that of four
    :param gaps: columns before which a space is empty
    """
    ends = up.shape[1]
    colors, weft = _colors(random, grade.contrast, warp_colors)
    stripes = np.arange(ends) // int(random.integers(4, 13)) % warp_colors
    places = _places(ends, grade, random, crowded, gaps)
    beat = 1.0 / random.uniform(0.8, 1.2)
    picks = np.cumsum(np.maximum(random.normal(beat, beat * grade.beat, len(up) + _HEADER), 0.55 * beat))
    header = np.stack([(np.arange(ends) + row) % 2 == 0 for row in range(_HEADER)])
    cloth = _cloth(np.concatenate([header, up]), places, picks, colors[stripes], weft, grade, random)
    lift = picks[-1] + _BEYOND
    taps = np.array(
        [[x, y] for y in (picks[_HEADER], picks[-1]) for x in (places[0], places[-1])]
    ) + random.normal(0, grade.taps, (4, 2)) * [1.0, 0.7]
    return _seen(cloth, (places[-1] + _MARGIN, lift), taps, grade, random, mirrored=end_1 == "right")


def _places(
    ends: int, grade: Grade, random: Random, crowded: tuple[int, ...], gaps: tuple[int, ...]
) -> np.ndarray:
    step = np.ones(ends)
    for column in crowded:
        step[max(column - 2, 0) : column + 3] = 4 / 5  # one too many in a dent pushes its neighbors aside
    for column in gaps:
        step[column] = 2.0
    paired = random.uniform(0, 0.12) * (1 if random.random() < 0.5 else 0)  # two in a dent draw together
    step += np.where(np.arange(ends) % 2 == 0, paired, -paired)
    edge = np.minimum(np.arange(ends), np.arange(ends)[::-1])
    step *= 1 - 0.12 * np.exp(-edge / 4)  # draw-in crowds the selvedges
    return _MARGIN + np.cumsum(step) + np.clip(random.normal(0, grade.drift, ends), -0.5, 0.5) * 0.6


def _colors(random: Random, contrast: float, count: int) -> tuple[np.ndarray, np.ndarray]:
    """``count`` warp colors and a weft lighter or darker than each, so far from the nearest; linear sRGB."""
    while True:
        lightness = np.sort(random.uniform(25, 85, count))
        labs = [[each, *random.normal(0, 14, 2)] for each in lightness]
        sign = 1 if random.random() < 0.5 else -1
        nearest = labs[-1] if sign > 0 else labs[0]
        hue = random.normal(0, 0.4, 2)
        for far in np.arange(0.0, 90.0, 0.5):
            lab = [nearest[0] + sign * far, *(np.array(nearest[1:]) + hue * far)]
            weft = Color("lab", lab)
            if weft.delta_e(Color("lab", nearest), method="2000") >= contrast:
                break
        if 8 < lab[0] < 97 and all(Color("lab", each).in_gamut("srgb") for each in [lab, *labs]):
            linear = [Color("lab", each).convert("srgb-linear").coords() for each in [*labs, lab]]
            order = random.permutation(count)
            return np.array(linear[:-1])[order], np.array(linear[-1])


def _smooth(random: Random, count: int, size: float) -> np.ndarray:
    """A slow random line with standard deviation 1."""
    line = ndimage.gaussian_filter1d(random.normal(0, 1, count + 8 * int(size) + 8), size)[
        4 * int(size) : 4 * int(size) + count
    ]
    return line / max(line.std(), 1e-9)


def _cloth(
    up: np.ndarray,
    places: np.ndarray,
    picks: np.ndarray,
    colors: np.ndarray,
    weft: np.ndarray,
    grade: Grade,
    random: Random,
) -> np.ndarray:
    """Linear light of the cloth, float[H, W, 3], first pick at the top, end 1 at the left."""
    width = int((places[-1] + _MARGIN) * _FINE)
    height = int((picks[-1] + _BEYOND) * _FINE)
    x = (np.arange(width) + 0.5) / _FINE
    y = (np.arange(height) + 0.5) / _FINE
    end, u = _nearest_ends(places, x, y, grade, random)
    pick, v, past = _nearest_picks(picks, x, y, grade, random)
    room = np.gradient(places)[end]
    thick_warp, thick_weft = random.uniform(0.38, 0.47), random.uniform(0.40, 0.5)
    slub = 1 + 0.08 * np.stack([_smooth(random, height, _FINE * 0.8) for _ in places], axis=1)
    u = u / (thick_warp * np.minimum(room, 1.05) * slub[np.arange(height)[:, None], end])
    v = v / (thick_weft * np.gradient(picks)[pick])
    is_up = up[pick, end] | past
    warp_top = is_up & (np.abs(u) < 1)
    weft_top = ~is_up & (np.abs(v) < 1) & ~past
    warp_under = ~is_up & ~weft_top & (np.abs(u) < 1)
    weft_under = is_up & ~warp_top & (np.abs(v) < 1) & ~past
    dive_warp = np.where(past, 1.0, _dive(up, pick, end, v * thick_weft, axis=0))
    dive_weft = _dive(up, pick, end, u * thick_warp, axis=1)
    period = random.uniform(0.25, 0.45)
    lay = random.choice([-1, 1])
    twist_warp = np.sin(2 * np.pi * (y[:, None] / period + lay * 0.8 * u + 7.3 * end))
    twist_weft = np.sin(2 * np.pi * (x[None, :] / period + lay * 0.8 * v + 3.1 * pick))
    strength = random.uniform(0.02, 0.12)
    round_warp = 0.5 + 0.5 * np.sqrt(np.maximum(1 - u**2, 0))
    round_weft = 0.5 + 0.5 * np.sqrt(np.maximum(1 - v**2, 0))
    light_warp = round_warp * dive_warp * (1 + strength * twist_warp)
    light_weft = round_weft * dive_weft * (1 + 0.6 * strength * twist_weft)
    dyed = colors * np.exp(random.normal(0, 0.04, (len(places), 1)))
    shade = np.zeros((height, width))
    shade[warp_top], shade[weft_top] = light_warp[warp_top], light_weft[weft_top]
    shade[warp_under] = 0.45 * round_warp[warp_under]
    in_gap = np.clip((np.abs(u) - 1) / 0.6, 0, 1)  # in an empty space nothing shades the weft
    shade[weft_under] = ((0.45 + 0.4 * in_gap) * round_weft)[weft_under]
    of_warp = warp_top | warp_under
    cloth = np.where(of_warp[..., None], dyed[end], weft) * np.maximum(shade, 0.03)[..., None]
    beyond = (x < places[0] - 0.9) | (x > places[-1] + 0.9)
    gap = ~(of_warp | weft_top | weft_under) | beyond
    cloth[gap] = 0.06 * (dyed.mean(axis=0) + weft) / 2
    return _hairs(cloth, places, dyed, grade, random)


def _nearest_ends(
    places: np.ndarray, x: np.ndarray, y: np.ndarray, grade: Grade, random: Random
) -> tuple[np.ndarray, np.ndarray]:
    """The nearest end of each point and how far to the right of its middle the point is."""
    lean = random.normal(0, grade.drift * 0.25, len(places))
    sway = 0.4 * grade.drift * _smooth(random, len(y), 3.0 * _FINE)
    end = np.empty((len(y), len(x)), dtype=np.int64)
    away = np.empty((len(y), len(x)))
    for row, depth in enumerate(y):
        middle = np.maximum.accumulate(places + lean * (depth / y[-1] - 0.5) + sway[row])
        end[row] = np.searchsorted((middle[:-1] + middle[1:]) / 2, x)
        away[row] = x - middle[end[row]]
    return end, away


def _nearest_picks(
    picks: np.ndarray, x: np.ndarray, y: np.ndarray, grade: Grade, random: Random
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The nearest pick of each point, how far above it, and whether no weft is there any more."""
    common = grade.beat * 1.2 * _smooth(random, len(x), 18.0 * _FINE)
    own = np.stack([grade.beat * 0.35 * _smooth(random, len(x), 4.0 * _FINE) for _ in picks])
    pick = np.empty((len(y), len(x)), dtype=np.int64)
    away = np.empty((len(y), len(x)))
    past = np.empty((len(y), len(x)), dtype=np.bool_)
    last = (picks[-1] - picks[-2]) * 0.55
    for column in range(len(x)):
        middle = np.maximum.accumulate(picks + common[column] + own[:, column])
        pick[:, column] = np.searchsorted((middle[:-1] + middle[1:]) / 2, y)
        away[:, column] = y - middle[pick[:, column]]
        past[:, column] = y > middle[-1] + last
    return pick, away, past


def _dive(up: np.ndarray, pick: np.ndarray, end: np.ndarray, along: np.ndarray, axis: int) -> np.ndarray:
    """How much darker a yarn is where it goes under its neighbor."""
    after = np.roll(up, -1, axis=axis) != up
    before = np.roll(up, 1, axis=axis) != up
    dives = np.where(along > 0, after[pick, end], before[pick, end])
    return np.where(dives, 1 - 0.5 * np.clip(2 * np.abs(along), 0, 1) ** 2, 1.0)


def _hairs(
    cloth: np.ndarray, places: np.ndarray, colors: np.ndarray, grade: Grade, random: Random
) -> np.ndarray:
    height, width = cloth.shape[:2]
    for end in np.flatnonzero(random.random(len(places)) < grade.hairs / (1 + grade.hairs)):
        mask = Image.new("L", (width, height), 0)
        at = np.array([places[end] * _FINE, random.uniform(0, height)])
        turn, path = random.uniform(0, 2 * np.pi), []
        for _ in range(int(random.integers(4, 14))):
            path.append(tuple(at))
            turn += random.normal(0, 0.5)
            at = at + _FINE * 0.3 * np.array([np.cos(turn), np.sin(turn)])
        box = ImageDraw.Draw(mask)
        box.line(path, fill=int(random.uniform(60, 150)), width=2)
        left, top, right, bottom = mask.getbbox() or (0, 0, 0, 0)
        part = np.asarray(mask.crop((left, top, right, bottom)), dtype=float)[..., None] / 255
        patch = cloth[top:bottom, left:right]
        cloth[top:bottom, left:right] = patch * (1 - part) + part * colors[end] * 0.9
    return cloth


def _seen(
    cloth: np.ndarray,
    size: tuple[float, float],
    taps: np.ndarray,
    grade: Grade,
    random: Random,
    *,
    mirrored: bool,
) -> Photograph:
    """The cloth through a camera, with the taps in pixels of the photograph."""
    wide, high = size
    corners = np.array([[0.0, 0.0], [wide, 0.0], [0.0, high], [wide, high]])
    to = corners.copy()
    to[:, 1] = high - to[:, 1]  # later picks are farther from the weaver: higher in the picture
    if mirrored:
        to[:, 0] = wide - to[:, 0]
    shrink = 1 - random.uniform(0, grade.tilt)
    far = to[:, 1] < high / 2
    to[far, 0] = wide / 2 + (to[far, 0] - wide / 2) * shrink
    to[far, 1] += (1 - shrink) * high
    to[:, 1] += random.uniform(-1, 1) * grade.tilt * 0.3 * (to[:, 0] - wide / 2) * high / wide
    turn = random.uniform(-grade.turn, grade.turn)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    to = to @ spin.T * grade.px
    to -= to.min(axis=0) - 10
    across, down = (int(each) for each in to.max(axis=0) + 10)
    back = _homography(to, corners)
    lens = random.uniform(-grade.lens, grade.lens)
    middle, reach = np.array([across, down]) / 2, np.hypot(across, down) / 2

    def straight(points: np.ndarray) -> np.ndarray:
        away = (points - middle) / reach
        return middle + reach * away * (1 + lens * (away**2).sum(axis=-1, keepdims=True))

    fine = 2
    grid = np.stack(
        np.meshgrid((np.arange(across * fine) + 0.5) / fine, (np.arange(down * fine) + 0.5) / fine), -1
    )
    on = _through(back, straight(grid)) * _FINE - 0.5
    soft = ndimage.gaussian_filter(cloth, (_FINE / grade.px / 2 / 2.5,) * 2 + (0,))
    inside = (
        (on[..., 0] > 0)
        & (on[..., 0] < cloth.shape[1] - 1)
        & (on[..., 1] > 0)
        & (on[..., 1] < cloth.shape[0] - 1)
    )
    table = 0.18 + 0.05 * random.random(3)
    light = np.empty((*on.shape[:2], 3))
    for channel in range(3):
        part = ndimage.map_coordinates(soft[..., channel], [on[..., 1], on[..., 0]], order=1, mode="nearest")
        light[..., channel] = np.where(inside, part, table[channel])
    light = light.reshape(down, fine, across, fine, 3).mean(axis=(1, 3))
    light *= _lamp(down, across, grade, random)[..., None] * np.exp(random.normal(0, 0.05, 3))
    light = ndimage.gaussian_filter(
        light, (grade.blur * random.uniform(0.7, 1.2), grade.blur * random.uniform(0.7, 1.2), 0)
    )
    light *= 0.75 / np.quantile(light, 0.995)
    srgb = np.where(light < 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    srgb += random.normal(0, grade.noise, (*srgb.shape[:2], 1)) + random.normal(
        0, grade.noise * 0.6, srgb.shape
    )
    image = Image.fromarray((np.clip(srgb, 0, 1) * 255 + 0.5).astype(np.uint8))
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=grade.quality)
    flat = _through(_homography(corners, to), taps)
    bent = flat.copy()
    for _ in range(20):
        bent += flat - straight(bent)
    return Photograph(stream.getvalue(), tuple((float(x), float(y)) for x, y in bent))


def _lamp(height: int, width: int, grade: Grade, random: Random) -> np.ndarray:
    """Light from one side, and a soft darker patch."""
    y, x = np.mgrid[0:height, 0:width] / np.array([height, width]).reshape(2, 1, 1)
    turn = random.uniform(0, 2 * np.pi)
    side = (np.cos(turn) * (x - 0.5) + np.sin(turn) * (y - 0.5)) / 1.4 + 0.5
    patch = np.exp(-(((x - random.random()) / 0.25) ** 2) - ((y - random.random()) / 0.6) ** 2)
    return np.asarray((1 - grade.light * side) * (1 - 0.4 * grade.light * patch))


def _homography(here: np.ndarray, there: np.ndarray) -> np.ndarray:
    rows, right = [], []
    for (x, y), (u, v) in zip(here, there, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)


def _through(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    moved = points @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(moved[..., :2] / moved[..., 2:])


def easier(grade: str, **changed: float) -> Grade:
    """A grade with some of its figures changed."""
    return replace(GRADES[grade], **changed)

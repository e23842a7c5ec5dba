"""One crossing of the cloth as it looks: a round thread that lies on top, lit from above left.

A tile says for each of its pixels which thread is seen (the one on top, or in the gap beside it the one
below) and at which level of shade. There are eight, numbered ``4 up + 2 before + after``: ``up`` the warp
is on top; ``before`` the thread on top dives under at its upper (warp) or left (weft) end of the cell,
``after`` at its lower or right end. Where it does not dive it runs straight on into the next cell.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.cloth.color import to_code, to_light
from loomready.colors import RGB

Mask = npt.NDArray[np.bool_]
Levels = npt.NDArray[np.uint8]

_LIGHT = (-0.42, -0.52, 0.74)  # towards the light: x to the right, y down, z to the eye
_FINE = 4  # samples a pixel, each way
_DARKEST, _BRIGHTEST = 0.34, 1.10  # square roots of the share of light
_MOST_LEVELS, _FEWEST_LEVELS = 40, 9


@dataclass(frozen=True, slots=True)
class Tiles:
    """top: bool[8, h, w], the thread on top is seen; level: uint8[8, h, w], an index into the shades."""

    top: Mask
    level: Levels


def level_count(colors: int, cell: tuple[int, int]) -> int:
    """How many levels of shade: as many as let all colors fit one palette of 256, or 40 if none do."""
    if cell == (1, 1):
        return 1
    fit = 256 // max(1, colors)
    return min(_MOST_LEVELS, fit) if fit >= _FEWEST_LEVELS else _MOST_LEVELS


@functools.cache
def _roots(count: int) -> npt.NDArray[np.float64]:
    """Square roots of the shades, rising; one of them is just 1, the thread's own color."""
    if count == 1:
        return np.ones(1)
    above = max(1, count // 8)
    below = np.linspace(_DARKEST, 1.0, count - above)
    return np.concatenate([below, np.linspace(1.0, _BRIGHTEST, above + 1)[1:]])


def shade_table(colors: tuple[RGB, ...], levels: int) -> npt.NDArray[np.uint8]:
    """Every color at every level, uint8[colors * levels, 3]; color ``c`` at level ``k``: c * levels + k."""
    roots = _roots(levels)
    gleam = 0.25 * np.clip(roots - 1.0, 0.0, None)  # so that a black thread is round too
    light = to_light(np.array(colors).reshape(-1, 3))
    return to_code(light[:, None, :] * (roots**2)[:, None] + gleam[:, None]).reshape(-1, 3)


@functools.lru_cache(maxsize=64)
def thread_tiles(width: int, height: int, levels: int) -> Tiles:
    """The eight tiles for a cell of ``width`` x ``height`` pixels."""
    if (width, height) == (1, 1):
        return Tiles(np.ones((8, 1, 1), np.bool_), np.zeros((8, 1, 1), np.uint8))
    drawn = [
        _draw(width, height, bool(number & 4), bool(number & 2), bool(number & 1)) for number in range(8)
    ]
    top = np.stack([seen for seen, _ in drawn])
    share = np.stack([shade for _, shade in drawn])
    roots = _roots(levels)
    middles = (roots[1:] + roots[:-1]) / 2
    level = np.searchsorted(middles, np.sqrt(share)).astype(np.uint8)
    top.flags.writeable = level.flags.writeable = False
    return Tiles(top, level)


def _draw(
    width: int, height: int, up: bool, before: bool, after: bool
) -> tuple[Mask, npt.NDArray[np.float64]]:
    """Which pixels show the thread on top, and the share of light of each."""
    across_px, along_px = (width, height) if up else (height, width)
    across = _centers(across_px)[:, None]
    along = _centers(along_px)[None, :]
    half = 0.95 if across_px >= 6 else 1.0
    bend = 0.8
    rise = np.clip((-along - (1 - bend)) / bend, 0, 1) * before
    fall = np.clip((along - (1 - bend)) / bend, 0, 1) * after
    dive = np.maximum(rise, fall)
    u = across / half
    # The outline of a float: straight sides, ends rounded like a grain of rice.
    inside = (np.abs(u) ** 3 + (0.96 * dive) ** 3 <= 1) if min(width, height) >= 4 else np.abs(u) < 2 + dive
    tilt_across = 0.93 * np.clip(u, -1, 1)
    tilt_along = 0.66 * (fall - rise)
    to_eye = np.sqrt(np.clip(1 - tilt_across**2 - tilt_along**2, 0.03, None))
    x, y = (tilt_across, tilt_along) if up else (tilt_along, tilt_across)
    lit = np.clip(_LIGHT[0] * x + _LIGHT[1] * y + _LIGHT[2] * to_eye, 0, None)
    shade = 0.34 + 0.66 * lit / _LIGHT[2]
    # The thread that lies over this one's end throws its shadow down and to the right.
    shade = shade * (1 - 0.55 * rise**2) * (1 - 0.30 * fall**2)
    if min(width, height) >= 10:  # room to see the ply
        shade = shade * (1 + 0.055 * np.sin(2 * np.pi * (along + 0.55 * u)) * (1 - dive))
    gap = np.full_like(shade, 0.16)
    seen = _pool(inside.astype(np.float64), across_px, along_px) >= 0.5
    own = _pool(np.where(inside, shade, 0), across_px, along_px)
    own = own / np.clip(_pool(inside.astype(np.float64), across_px, along_px), 1e-9, None)
    share = np.where(seen, own, _pool(gap, across_px, along_px))
    # Rows are across so far; a warp thread's across is x.
    return (seen.T, share.T) if up else (seen, share)


def _centers(pixels: int) -> npt.NDArray[np.float64]:
    """Sample places from -1 to 1."""
    fine = pixels * _FINE
    return (np.arange(fine) + 0.5) / fine * 2 - 1


def _pool(samples: npt.NDArray[np.float64], rows: int, columns: int) -> npt.NDArray[np.float64]:
    pooled: npt.NDArray[np.float64] = samples.reshape(rows, _FINE, columns, _FINE).mean(axis=(1, 3))
    return pooled

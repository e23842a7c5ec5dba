"""How different two cloths are, and a gallery that covers the whole range.

Each cloth is a point: its columns and its picture, each on a fixed scale, so that the points of one search do
not move while more are added. The picture is the spectrum of the drawdown in a few bands of
direction and fineness, which a move, a mirror or the other face hardly change. The gallery next takes the
cloth farthest from all that it shows (max-min distance, T. F. Gonzalez 1985; title from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools

Points = npt.NDArray[np.float64]

_WINDOW = 48  # threads each way that a picture is taken of


def points(figures: Mapping[str, Points], pictures: Points) -> Points:
    """The cloths as points: float64[n, d].

    figures   arrays [n] by name, as ``search.FIGURES`` names them
    pictures  float64[n, 13], a :func:`picture` each
    """
    of = figures
    columns = [
        np.log2(of["picks"]) / 4,
        np.log2(of["lifts"]) / 4,
        of["moves"] / of["shafts"] / 1.5,
        np.log2(of["steps"]) / 5,
        of["share"] / 2,
        np.log2(of["threads"]) / 4,
        of["contrast"],
        0.2 * of["mirror_ends"],
        0.2 * of["mirror_picks"],
        0.15 * of["plain"],
        np.log2(of["ends"]) / 8,
    ]
    return np.concatenate([np.stack(columns, axis=1), pictures], axis=1)


def picture(drawdown: Bools) -> Points:
    """The looks of a drawdown bool[P, E]: bands of its spectrum (fineness by direction) and its balance."""
    picks, ends = drawdown.shape
    rows, columns = np.arange(_WINDOW) % picks, np.arange(_WINDOW) % ends
    tile = drawdown[np.ix_(rows, columns)].astype(np.float64)
    share = tile.mean()
    seen = (tile - share) * _FADE
    power = np.abs(np.fft.rfft2(seen)) ** 2
    bands = np.bincount(_BAND.ravel(), power.ravel(), 12)
    total = bands.sum()
    spectrum = np.sqrt(bands / total) if total > 0 else bands
    return np.concatenate([0.9 * spectrum, [1.5 * abs(share - 0.5)]])


def _bands() -> npt.NDArray[np.int64]:
    along = np.abs(np.fft.fftfreq(_WINDOW))[:, None]
    across = np.fft.rfftfreq(_WINDOW)[None, :]
    fine = np.hypot(along, across)
    ring = np.digitize(fine, [0.09, 0.18, 0.32])
    sector = np.digitize(np.arctan2(along, across), [math.radians(25), math.radians(65)])
    return np.asarray(3 * ring + sector, np.int64)


CONTRAST = 6  # its coordinates in a point
_BAND = _bands()
_FADE = np.outer(np.hanning(_WINDOW), np.hanning(_WINDOW))


class Spread:
    """A growing set of points, and those taken of it."""

    def __init__(self) -> None:
        self.points: Points = np.empty((0, 0))
        self._nearest = np.empty(0)  # distance of each point to what was taken
        self._taken: list[int] = []

    def add(self, points: Points) -> None:
        """More points, float64[n, d]."""
        if not len(points):
            return
        near = np.full(len(points), np.inf)
        for taken in self._taken:
            near = np.minimum(near, _apart(points, self.points[taken]))
        self.points = np.concatenate([self.points, points]) if len(self.points) else points
        self._nearest = np.concatenate([self._nearest, near])

    def farthest(self, allowed: Bools) -> int | None:
        """The allowed point farthest from all that was taken; first of all the one that carries farthest."""
        places = np.flatnonzero(allowed & (self._nearest >= 0))
        if not len(places):
            return None
        if not self._taken:
            return int(places[self.points[places, CONTRAST].argmax()])
        return int(places[self._nearest[places].argmax()])

    def take(self, place: int) -> None:
        self._taken.append(place)
        self._nearest = np.minimum(self._nearest, _apart(self.points, self.points[place]))
        self.drop(place)

    def drop(self, place: int) -> None:
        """Never return this point."""
        self._nearest[place] = -1.0


def _apart(points: Points, one: Points) -> Points:
    distance: Points = np.sqrt(((points - one) ** 2).sum(axis=-1))
    return distance

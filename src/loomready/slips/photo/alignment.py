"""Where each end lies across a strip, on which shaft, and with which slips: the likeliest of all ways.

Columns stand at whole pixels, each some pixels to the right of the one before; a column is the next planned
end, and may be on another shaft, change places with its neighbor, or be one too many; an end may have no
column, a space may be empty. The path of least cost is found by dynamic programming over ends and pixels (a
semi-Markov chain). K. P. Murphy, Hidden semi-Markov models, 2002 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from loomready.slips.align import Kind
from loomready.slips.photo.rectify import SCALE

Array = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]

CLIP = 3.5  # what one cell may cost at most
SHARE = 0.8  # cells of an end err together: each counts less than if it were alone
_SLIP = {"wrong shaft": 7.0, "crossed": 7.0, "skipped": 7.5, "extra": 7.5}  # logarithms of how rare
_EMPTY = 7.0  # an empty space
_OFF_BY_AN_END = 2.5  # a tap on the next end
_TAP = 6.0  # pixels by which a tap is off
_REACH = 14  # pixels to each side at which the tapped end is looked for
_LEAST_SPREAD, _MOST_SPREAD = 0.9, 1.8  # pixels, of the distance to the next end
_WIDE_SPREAD, _TIGHT_SPREAD = 1.8, 1.2
_NEVER = 1e9
_UNTOLD = 3.0  # what an end costs whose cells say nothing

_CLIP_BORDER, _SHARE_BORDER = 3.0, 0.7  # likewise for borders
_BAND, _BAND_GROWS = 7, 40  # ends to each side, and one more for so many

_WIDTH = 5  # pixels across an end that its cells are judged by
_NEAREST, _OPEN, _FARTHEST = 3, 12, 20
_EDGE = 3 * _FARTHEST


@dataclass(frozen=True, slots=True, eq=False)
class Distances:
    """Costs of the distances to the next column, the farthest first; ``back``: from it to the border.

    ``open``: a space lies between, in which there is only weft.
    """

    cost: Array
    farthest: int
    back: Ints
    open: Bools

    @classmethod
    def of(cls, spread: float, farthest: int, *others: tuple[float, float, float]) -> Distances:
        """Usual distances; ``others``: a distance, its spread, and how rare it is."""
        d = np.arange(farthest, _NEAREST - 1, -1)
        cost = 0.5 * ((d - SCALE) / spread) ** 2
        for distance, spread, rare in others:
            cost = np.minimum(cost, rare + 0.5 * ((d - distance) / spread) ** 2)
        return cls(cost, farthest, (d + 1) // 2, d > _OPEN)


_OK, _WRONG, _CROSSED, _SKIPPED, _FROM_EXTRA, _START, _BEGUN_WRONG = range(7)


@dataclass(frozen=True, slots=True)
class Column:
    """A column at pixel ``x``: the planned ``end`` (place in the stretch; -1: one too many), on ``shaft``."""

    x: int
    end: int
    shaft: int


@dataclass(frozen=True, slots=True)
class Claim:
    """A slip on the path, at ``end`` (a place in the stretch, ``planned`` there) and ``column``.

    ``column`` is the one after a skipped end; ``shaft`` is where the column is (skipped: -1).
    """

    kind: Kind
    end: int
    column: int
    shaft: int
    planned: int


@dataclass(frozen=True, slots=True, eq=False)
class Aligned:
    cost: float
    columns: tuple[Column, ...]
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """What should stand there.

    shaft  int[J] in 0...S: the stretch and up to two ends beyond it on each side, where the web has them
    free   bool[J], ends whose cells say nothing
    first  place of the end that was tapped first, and ``last`` of the one tapped last
    up     bool[P, S + 1], lifts; the last shaft, not threaded, is always down
    """

    shaft: Ints
    free: Bools
    first: int
    last: int
    up: Bools


def cell_costs(told: Array) -> tuple[Array, Array]:
    """What warp on top and what weft on top costs, of logarithms of odds."""
    up = np.minimum(np.logaddexp(0.0, -told), CLIP)
    down = np.minimum(np.logaddexp(0.0, told), CLIP)
    return up, down


def column_costs(told: Array, up: Bools) -> Array:
    """float[T, S + 1]: a column at each pixel on each shaft. ``told``: float[P, T], logarithms of odds."""
    is_up, is_down = (ndimage.uniform_filter1d(each, _WIDTH, axis=1) for each in cell_costs(told))
    lifted = up.astype(np.float64)
    costs: Array = SHARE * (is_up.T @ lifted + is_down.T @ (1 - lifted))
    return costs


def border_costs(between_up: Array, between_down: Array, up: Bools) -> Array:
    """float[S + 1, S + 1, T]: a border at each pixel between an end on one shaft and the next on another.

    :param between_up: float[P, T], logarithm of the odds that there is a border and no end, both ends being
        up; ``between_down``: both being down. Nothing is said of other borders.
    """
    lifted = up.astype(np.float64)
    count = lifted.shape[1]
    both_up = (lifted[:, :, None] * lifted[:, None, :]).reshape(len(up), -1)
    both_down = ((1 - lifted)[:, :, None] * (1 - lifted)[:, None, :]).reshape(len(up), -1)
    of_up, of_down = (
        np.minimum(np.logaddexp(0.0, -told), _CLIP_BORDER) for told in (between_up, between_down)
    )
    costs: Array = _SHARE_BORDER * (both_up.T @ of_up + both_down.T @ of_down)
    return costs.reshape(count, count, -1)


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What the search weighs.

    costs    float[T, S + 1] of columns, :func:`column_costs`
    borders  float[S + 1, S + 1, T], :func:`border_costs`
    taps     pixels at which the first and the last end were tapped
    spread   standard deviation of the distance between ends, in pixels
    """

    costs: Array
    borders: Array
    taps: tuple[float, float]
    spread: float


def spread_of(made: Aligned) -> float:
    """Standard deviation of the distances of neighboring ends, as they were aligned."""
    apart = np.diff([each.x for each in made.columns])
    usual = apart[(apart > SCALE / 2) & (apart < 1.5 * SCALE)]
    return float(np.clip(1.1 * usual.std(), _LEAST_SPREAD, _MOST_SPREAD)) if usual.size else _MOST_SPREAD


def align(evidence: Evidence, stretch: Stretch, barred: Bools | None = None) -> Aligned:
    """The way of least cost.

    :param barred: bool[J], ends at which no slip may be
    """
    return _Search(evidence, stretch, barred).run()


class _Search:
    """The search looks at a band of pixels about where each end should be.

    Arrays are [J, W]: pixel ``start[j] + o`` of the padded strip for each end j and offset o.
    """

    def __init__(self, evidence: Evidence, stretch: Stretch, barred: Bools | None) -> None:
        self.stretch, self.ends = stretch, len(stretch.shaft)
        half = int(SCALE * (_BAND + self.ends / _BAND_GROWS))
        self.wide = 2 * half + 1
        self.pad = half + 4 * _FARTHEST
        self.costs = np.pad(evidence.costs, ((self.pad, self.pad), (0, 0)), constant_values=_NEVER)
        self.borders = np.pad(evidence.borders, ((0, 0), (0, 0), (self.pad, self.pad)))
        taps, spread = evidence.taps, evidence.spread
        self.usual = Distances.of(spread, _FARTHEST, (2 * SCALE, _WIDE_SPREAD, _EMPTY))
        self.after_missing = Distances.of(spread, _FARTHEST, (2 * SCALE, _WIDE_SPREAD, 0.7))
        self.beside_extra = Distances.of(spread, _OPEN, (0.8 * SCALE, _TIGHT_SPREAD, 0.3))
        place = (taps[1] - taps[0]) / max(stretch.last - stretch.first, 1)
        middle = taps[0] + place * (np.arange(self.ends) - stretch.first)
        self.start = np.round(middle).astype(np.int64) - half + self.pad
        self.taps = taps[0] + self.pad, taps[1] + self.pad
        self.shut = np.zeros(self.ends, dtype=np.bool_) if barred is None else barred
        shape = (self.ends, self.wide)
        self.best, self.swapped = np.full(shape, _NEVER), np.full(shape, _NEVER)
        self.how = np.full(shape, _START, dtype=np.int8)
        self.came, self.swap_came = np.zeros(shape, dtype=np.int64), np.zeros(shape, dtype=np.int64)
        self.shafts = self.costs.shape[1] - 1
        self.extra = np.full((self.ends, self.shafts, self.wide), _NEVER)
        self.extra_came = np.zeros((self.ends, self.shafts, self.wide), dtype=np.int64)
        self.extra_on = np.zeros(shape, dtype=np.int64)
        order = np.argsort(self.costs[:, :-1], axis=1)[:, :2]
        if order.shape[1] == 1:
            order = np.repeat(order, 2, axis=1)
        self.two = order, np.take_along_axis(self.costs, order, axis=1)

    def _at(self, end: int) -> slice:
        return slice(int(self.start[end]), int(self.start[end]) + self.wide)

    def _slip(self, kind: str, end: int) -> float:
        return _NEVER if self.shut[end] else _SLIP[kind]

    def _on(self, end: int) -> Array:
        if self.stretch.free[end]:
            return np.full(self.wide, _UNTOLD)
        on: Array = self.costs[self._at(end), self.stretch.shaft[end]]
        return on

    def _other(self, shaft: int, at: slice) -> tuple[Array, Ints]:
        """The best shaft but this one, for each pixel."""
        order, cost = self.two[0][at], self.two[1][at]
        second = order[:, 0] == shaft
        return np.where(second, cost[:, 1], cost[:, 0]), np.where(second, order[:, 1], order[:, 0])

    def _border(self, left: int, right: int) -> Array | None:
        """float[T]: what a border between these ends costs."""
        if self.stretch.free[left] or self.stretch.free[right]:
            return None
        told: Array = self.borders[self.stretch.shaft[left], self.stretch.shaft[right]]
        return told

    def _step(
        self, before: Array, distance: Distances, origin: int, at: int, border: Array | None = None
    ) -> tuple[Array, Ints]:
        """Best way to a next column at each pixel of the band ``at``, and its offset in the band ``origin``.

        ``before``: float[..., W]; ``border``: float[..., T].
        """
        shift = int(self.start[at] - self.start[origin])
        edge = [(0, 0)] * (before.ndim - 1) + [(_EDGE, _EDGE)]
        padded = np.pad(before, edge, constant_values=_NEVER)
        windows = np.lib.stride_tricks.sliding_window_view(padded, len(distance.cost), axis=-1)
        first = _EDGE + shift - distance.farthest
        ways = windows[..., first : first + self.wide, :] + distance.cost
        if border is not None:
            size = distance.farthest // 2 + 1
            band = border[..., int(self.start[at]) - size : int(self.start[at]) + self.wide]
            middle = np.arange(self.wide)[:, None] + size - distance.back
            ways = ways + np.where(distance.open, 0.0, band[..., middle])
        if distance.open.any():
            at_gap = np.arange(self.wide)[:, None] + int(self.start[at]) - distance.back
            ways = ways + np.where(distance.open, self.costs[:, -1][at_gap], 0.0)
        least = ways.argmin(axis=-1)
        offset = np.arange(self.wide) + shift - distance.farthest + least
        return np.take_along_axis(ways, least[..., None], axis=-1)[..., 0], offset

    def run(self) -> Aligned:
        shaft, free = self.stretch.shaft, self.stretch.free
        for end in range(self.ends):
            at = self._at(end)
            on = self._on(end)
            other, _ = self._other(int(shaft[end]), at)
            other = other + (_NEVER if free[end] else self._slip("wrong shaft", end))
            here = np.minimum(on, other)
            wrong = np.where(other < on, _WRONG, _OK)
            begun = self._tapped(end, 0) + _OFF_BY_AN_END * abs(end - self.stretch.first)
            self._offer(end, begun + here, np.where(other < on, _BEGUN_WRONG, _START), np.arange(self.wide))
            if end:
                border = self._border(end - 1, end)
                reach, came = self._step(self.best[end - 1], self.usual, end - 1, end, border)
                self._offer(end, reach + here, wrong, came)
                self._after_extra(end, on)
            if end > 1:
                border = self._border(end - 2, end)
                reach, came = self._step(self.best[end - 2], self.after_missing, end - 2, end, border)
                self._offer(end, reach + on + self._slip("skipped", end - 1), _SKIPPED, came)
                self._crossed(end)
            self._extra(end)
        finish = np.stack(
            [
                self.best[end] + self._tapped(end, 1) + _OFF_BY_AN_END * abs(end - self.stretch.last)
                for end in range(self.ends)
            ]
        )
        end, offset = divmod(int(finish.argmin()), self.wide)
        return self._traced(end, offset, float(finish[end, offset]))

    def _tapped(self, end: int, which: int) -> Array:
        """What it costs that the tap meant this end, for each pixel."""
        away = np.arange(self.wide) + self.start[end] - self.taps[which]
        cost: Array = np.where(np.abs(away) <= _REACH, 0.5 * (away / _TAP) ** 2, _NEVER)
        return cost

    def _extra(self, end: int) -> None:
        """One end too many after ``end``, on each shaft."""
        rare = self._slip("extra", min(end + 1, self.ends - 1))
        if rare >= _NEVER:
            return
        border = None if self.stretch.free[end] else self.borders[self.stretch.shaft[end], : self.shafts]
        before = np.broadcast_to(self.best[end], (self.shafts, self.wide))
        reach, self.extra_came[end] = self._step(before, self.beside_extra, end, end, border)
        self.extra[end] = reach + self.costs[self._at(end), : self.shafts].T + rare

    def _after_extra(self, end: int, on: Array) -> None:
        if self.extra[end - 1].min() >= _NEVER:
            return
        border = None if self.stretch.free[end] else self.borders[: self.shafts, self.stretch.shaft[end]]
        reach, came = self._step(self.extra[end - 1], self.beside_extra, end - 1, end, border)
        which = reach.argmin(axis=0)
        place = np.arange(self.wide)
        cost = reach[which, place] + on
        better = cost < self.best[end]
        self.extra_on[end] = np.where(better, which, self.extra_on[end])
        self._offer(end, cost, _FROM_EXTRA, came[which, place])

    def _crossed(self, end: int) -> None:
        """Ends ``end`` - 1 and ``end`` in each other's place."""
        free, shaft = self.stretch.free, self.stretch.shaft
        one, other = int(shaft[end - 1]), int(shaft[end])
        if one == other or free[end - 1] or free[end] or self.shut[end - 1] or self.shut[end]:
            return
        border = None if free[end - 2] else self.borders[shaft[end - 2], other]
        reach, came = self._step(self.best[end - 2], self.usual, end - 2, end - 1, border)
        self.swapped[end], self.swap_came[end] = reach + self.costs[self._at(end - 1), other], came
        reach, came = self._step(self.swapped[end], self.usual, end - 1, end, self.borders[other, one])
        self._offer(end, reach + self.costs[self._at(end), one] + _SLIP["crossed"], _CROSSED, came)

    def _offer(self, end: int, cost: Array, how: npt.ArrayLike, came: Ints) -> None:
        better = cost < self.best[end]
        self.best[end] = np.where(better, cost, self.best[end])
        self.how[end] = np.where(better, how, self.how[end])
        self.came[end] = np.where(better, came, self.came[end])

    def _traced(self, end: int, offset: int, cost: float) -> Aligned:
        shaft = self.stretch.shaft
        columns: list[Column] = []
        claims: list[tuple[Kind, int, int, int]] = []  # with the number of columns after it

        def place(band: int, at: int, which: int, on: int) -> None:
            columns.append(Column(int(self.start[band]) + at - self.pad, which, on))

        while True:
            how, came = int(self.how[end, offset]), int(self.came[end, offset])
            if how == _CROSSED:
                place(end, offset, end, int(shaft[end - 1]))
                place(end - 1, came, end - 1, int(shaft[end]))
                claims.append(("crossed", end - 1, len(columns), int(shaft[end])))
                end, offset = end - 2, int(self.swap_came[end, came])
                continue
            on = int(shaft[end])
            if how in (_WRONG, _BEGUN_WRONG):
                at = slice(int(self.start[end]) + offset, int(self.start[end]) + offset + 1)
                on = int(self._other(on, at)[1][0])
            place(end, offset, end, on)
            if on != shaft[end]:
                claims.append(("wrong shaft", end, len(columns), on))
            if how in (_START, _BEGUN_WRONG):
                break
            if how == _SKIPPED:
                claims.append(("skipped", end - 1, len(columns), -1))
                end, offset = end - 2, came
            elif how == _FROM_EXTRA:
                on = int(self.extra_on[end, offset])
                place(end - 1, came, -1, on)
                claims.append(("extra", end, len(columns), on))
                end, offset = end - 1, int(self.extra_came[end - 1, on, came])
            else:
                end, offset = end - 1, came
        count = len(columns)
        made = tuple(
            Claim(kind, at, count - after, on, int(shaft[at])) for kind, at, after, on in reversed(claims)
        )
        return Aligned(cost, tuple(reversed(columns)), made)

"""Where each end lies across a strip, on which shaft, and with which slips: the likeliest of all ways.

Columns stand at whole pixels, each some pixels to the right of the one before; a column is the next planned
end, and may be on another shaft, change places with its neighbor, or be one too many; an end may have no
column, a space may be empty. The path of least cost is found by dynamic programming over ends and pixels (a
semi-Markov chain). K. P. Murphy, Hidden semi-Markov models, 2002 (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.slips.align import Kind
from loomready.slips.photo import filters as ndimage
from loomready.slips.photo.rectify import SCALE

Array = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]

CLIP = 3.5  # what one cell may cost at most
SHARE = 0.8  # cells of an end err together: each counts less than if it were alone
_SLIP: dict[Kind, float] = {
    "wrong shaft": 7.0,
    "crossed": 7.0,
    "skipped": 7.5,
    "extra": 5.5,
}  # logarithms of how rare
_EMPTY = 7.0  # an empty space
_OFF_BY_AN_END = 2.5  # a tap on the next end
_TAP = 6.0  # pixels by which a tap is off
_REACH = 14  # pixels to each side at which the tapped end is looked for
_LEAST_SPREAD, _MOST_SPREAD = 0.9, 1.8  # pixels, of the distance to the next end
_OUT_OF_LINE, _OUT_SPREAD = 1.2, 2.2  # some ends stand farther off: how rare, and how far
_WIDE_SPREAD, _TIGHT_SPREAD = 1.8, 1.2
_NEVER = 1e9
_UNTOLD = 3.0  # what an end costs whose cells say nothing

_CLIP_PLACE, _SHARE_BORDER, _SHARE_CENTER = 3.0, 0.7, 0.4  # likewise for borders, and for centers of ends
_BAND, _BAND_GROWS = 7, 40  # ends to each side, and one more for so many

_WIDTH = 5  # pixels across an end that its cells are judged by
_NEAREST, _OPEN, _FARTHEST = 3, 12, 20
# What a column midway between two ends costs at most, if no end hides there; if they are but a pixel farther
# apart than usual.
_AT_BORDER, _AT_CLOSE_BORDER = 8.0, 9.0
_EDGE = 3 * _FARTHEST


@dataclass(frozen=True, slots=True, eq=False)
class Distances:
    """Costs of the distances to the next column, the farthest first; ``back``: from it to the border.

    In ``opens`` of the farthest there is a space between, with nothing but weft; in ``far`` of the farthest
    an end could hide: a column in the middle costs more than ``at_border`` then.
    """

    cost: Array
    farthest: int
    back: Ints
    opens: int
    far: int
    at_border: Array

    @classmethod
    def of(cls, spread: float, farthest: int, *others: tuple[float, float, float]) -> Distances:
        """Usual distances; ``others``: a distance, its spread, and how rare it is."""
        d = np.arange(farthest, _NEAREST - 1, -1)
        cost = np.minimum(
            0.5 * ((d - SCALE) / spread) ** 2, _OUT_OF_LINE + 0.5 * ((d - SCALE) / _OUT_SPREAD) ** 2
        )
        for distance, spread, rare in others:
            cost = np.minimum(cost, rare + 0.5 * ((d - distance) / spread) ** 2)
        opens, far = int((d > _OPEN).sum()), int((d > SCALE).sum())
        at_border = np.where(d[opens:far] > SCALE + 1, _AT_BORDER, _AT_CLOSE_BORDER)
        return cls(cost, farthest, (d + 1) // 2, opens, far, at_border)


@dataclass(frozen=True, slots=True, eq=False)
class Between:
    """float[..., T]: a border at each pixel, and columns there on the shafts of the two ends beside it."""

    border: Array
    left: Array
    right: Array


_OK, _CROSSED, _SKIPPED, _FROM_EXTRA, _FROM_WRONG, _START = range(6)
_NONE = -1


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


def _place_costs(told: Array) -> Array:
    costs: Array = np.minimum(np.logaddexp(0.0, -told), _CLIP_PLACE)
    return costs


def center_costs(is_up: Array, is_down: Array, up: Bools) -> Array:
    """float[T, S + 1]: what speaks against an end's center; logarithms of odds as in :func:`pair_costs`."""
    lifted = up.astype(np.float64)
    of_up, of_down = _place_costs(is_up), _place_costs(is_down)
    costs: Array = _SHARE_CENTER * (of_up.T @ lifted + of_down.T @ (1 - lifted))
    return costs


def pair_costs(both_up: Array, both_down: Array, up: Bools) -> Array:
    """float[S + 1, S + 1, T]: what a border costs between two ends side by side, on each two shafts.

    :param both_up: float[P, T], logarithm of the odds of a border where both ends are up; ``both_down``:
        where both are down. Other picks do not count.
    """
    lifted = up.astype(np.float64)
    count = lifted.shape[1]
    ups = (lifted[:, :, None] * lifted[:, None, :]).reshape(len(up), -1)
    downs = ((1 - lifted)[:, :, None] * (1 - lifted)[:, None, :]).reshape(len(up), -1)
    of_up, of_down = _place_costs(both_up), _place_costs(both_down)
    costs: Array = _SHARE_BORDER * (ups.T @ of_up + downs.T @ of_down)
    return costs.reshape(count, count, -1)


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What the search weighs.

    costs    float[T, S + 1] of columns, :func:`column_costs`
    borders  float[S + 1, S + 1, T], :func:`pair_costs` of a border between two ends
    centers  float[T, S + 1], what speaks against the center of an end at each pixel, on each shaft
    taps     pixels at which the first and the last end were tapped
    spread   standard deviation of the distance between ends, in pixels
    """

    costs: Array
    borders: Array
    centers: Array
    taps: tuple[float, float]
    spread: float


Barred = Mapping[Kind, Bools]  # for kinds of slips bool[J], the ends at which there is none


def spread_of(made: Aligned) -> float:
    """Standard deviation of the distances of neighboring ends, as they were aligned."""
    apart = np.diff([each.x for each in made.columns])
    usual = apart[(apart > SCALE / 2) & (apart < 1.5 * SCALE)]
    return float(np.clip(1.1 * usual.std(), _LEAST_SPREAD, _MOST_SPREAD)) if usual.size else _MOST_SPREAD


def align(evidence: Evidence, stretch: Stretch, barred: Barred | None = None) -> Aligned:
    """The way of least cost.

    :param barred: slips that may not be
    """
    return _Search(evidence, stretch, barred).run()


class _Search:
    """The search looks at a band of pixels about where each end should be.

    Arrays are [J, W]: pixel ``start[j] + o`` of the padded strip for each end j and offset o.
    """

    def __init__(self, evidence: Evidence, stretch: Stretch, barred: Barred | None) -> None:
        self.stretch, self.ends = stretch, len(stretch.shaft)
        half = int(SCALE * (_BAND + self.ends / _BAND_GROWS))
        self.wide = 2 * half + 1
        self.pad = half + 4 * _FARTHEST
        self.costs = np.pad(evidence.costs, ((self.pad, self.pad), (0, 0)), constant_values=_NEVER)
        self.borders = np.pad(evidence.borders, ((0, 0), (0, 0), (self.pad, self.pad)))
        self.ends_there = self.costs + np.pad(evidence.centers, ((self.pad, self.pad), (0, 0)))
        taps, spread = evidence.taps, evidence.spread
        self.usual = Distances.of(spread, _FARTHEST, (2 * SCALE, _WIDE_SPREAD, _EMPTY))
        self.after_missing = Distances.of(spread, _FARTHEST, (2 * SCALE, _WIDE_SPREAD, 0.7))
        self.beside_extra = Distances.of(spread, _OPEN, (0.8 * SCALE, _TIGHT_SPREAD, 0.3))
        place = (taps[1] - taps[0]) / max(stretch.last - stretch.first, 1)
        middle = taps[0] + place * (np.arange(self.ends) - stretch.first)
        self.start = np.round(middle).astype(np.int64) - half + self.pad
        self.taps = taps[0] + self.pad, taps[1] + self.pad
        self.barred = barred or {}
        shape = (self.ends, self.wide)
        edged = (self.ends, self.wide + 2 * _EDGE)  # beyond the band nothing is reached
        self.best_edged, self.swapped_edged = np.full(edged, _NEVER), np.full(edged, _NEVER)
        self.best = self.best_edged[:, _EDGE : _EDGE + self.wide]
        self.swapped = self.swapped_edged[:, _EDGE : _EDGE + self.wide]
        self.how = np.full(shape, _START, dtype=np.int8)
        self.came, self.swap_came = np.zeros(shape, dtype=np.int64), np.zeros(shape, dtype=np.int64)
        self.shafts = self.costs.shape[1] - 1
        self.via = np.zeros(shape, dtype=np.int64)  # the shaft of the column before, where that is a slip's
        odd = (self.ends, self.shafts, self.wide + 2 * _EDGE)
        self.extra_edged, self.wrong_edged = np.full(odd, _NEVER), np.full(odd, _NEVER)
        self.extra = self.extra_edged[..., _EDGE : _EDGE + self.wide]
        self.wrong = self.wrong_edged[..., _EDGE : _EDGE + self.wide]
        self.extra_came = np.zeros(self.extra.shape, dtype=np.int64)
        self.wrong_came = np.zeros(self.extra.shape, dtype=np.int64)
        self.wrong_via = np.full(self.extra.shape, _NONE)  # likewise; _NONE: the column before is as planned
        self.place = np.arange(self.wide)
        self.gap = ndimage.maximum_filter1d(self.costs[:, -1], _WIDTH)  # nothing but weft there
        # An end that no pick lifts looks like a missing one: it is never taken for a slip's shaft.
        self.able = np.where(stretch.up[:, :-1].any(axis=0), 0.0, _NEVER).reshape(-1, 1)

    def _at(self, end: int) -> slice:
        return slice(int(self.start[end]), int(self.start[end]) + self.wide)

    def _slip(self, kind: Kind, end: int) -> float:
        shut = self.barred.get(kind)
        return _NEVER if shut is not None and shut[end] else _SLIP[kind]

    def _on(self, end: int) -> Array:
        if self.stretch.free[end]:
            return np.full(self.wide, _UNTOLD)
        on: Array = self.ends_there[self._at(end), self.stretch.shaft[end]]
        return on

    def _between(self, left: int | slice, right: int | slice, free: bool) -> Between | None:
        """What lies between ends on these shafts; nothing is known beside an end whose cells say nothing."""
        if free:
            return None
        return Between(self.borders[left, right], self.costs.T[left], self.costs.T[right])

    def _planned(self, left: int, right: int) -> Between | None:
        shaft, free = self.stretch.shaft, self.stretch.free
        return self._between(int(shaft[left]), int(shaft[right]), bool(free[left] or free[right]))

    def _step(
        self, before: Array, distance: Distances, origin: int, at: int, between: Between | None
    ) -> tuple[Array, Ints]:
        """Best way to a next column at each pixel of the band ``at``, and its offset in the band ``origin``.

        ``before``: float[..., W], with edges.
        """
        here = int(self.start[at])
        shift = here - int(self.start[origin])
        from_column = self.place[:, None] + (shift - distance.farthest + np.arange(len(distance.cost)))
        ways = np.take(before, from_column + _EDGE, axis=-1) + distance.cost
        back, opens = self.place[:, None] + here - distance.back, distance.opens
        if opens:
            ways[..., :opens] += np.take(self.gap, back[:, :opens])
        if between is not None:
            told = np.take(between.border, back[:, opens:], axis=-1)
            if distance.far > opens:
                middle = back[:, opens : distance.far]
                one, other = (np.take(each, middle, axis=-1) for each in (between.left, between.right))
                hidden = np.maximum(np.minimum(one, other) - distance.at_border, 0.0)
                told[..., : distance.far - opens] += hidden
            if told.ndim > ways.ndim:
                ways = np.repeat(ways[None], len(told), axis=0)
            ways[..., opens:] += told
        least = ways.argmin(axis=-1)
        cost = np.take_along_axis(ways, least[..., None], axis=-1)[..., 0]
        return cost, self.place + (shift - distance.farthest) + least

    def run(self) -> Aligned:
        for end in range(self.ends):
            on = self._on(end)
            begun = self._tapped(end, 0) + _OFF_BY_AN_END * abs(end - self.stretch.first)
            self._offer(end, begun + on, _START, self.place)
            if end:
                between = self._planned(end - 1, end)
                reach, came = self._step(self.best_edged[end - 1], self.usual, end - 1, end, between)
                self._offer(end, reach + on, _OK, came)
                self._after(self.extra_edged, self.beside_extra, end, on, _FROM_EXTRA)
                self._after(self.wrong_edged, self.usual, end, on, _FROM_WRONG)
            if end > 1:
                between = self._planned(end - 2, end)
                reach, came = self._step(self.best_edged[end - 2], self.after_missing, end - 2, end, between)
                self._offer(end, reach + on + self._slip("skipped", end - 1), _SKIPPED, came)
                self._crossed(end)
            self._wrong(end, begun)
            self._extra(end)
        return self._finish()

    def _finish(self) -> Aligned:
        ends = range(self.ends)
        tapped = np.stack(
            [self._tapped(end, 1) + _OFF_BY_AN_END * abs(end - self.stretch.last) for end in ends]
        )
        usual, wrong = self.best + tapped, self.wrong + tapped[:, None]
        if wrong.min() < usual.min():
            end, shaft, offset = (int(each) for each in np.unravel_index(wrong.argmin(), wrong.shape))
            return self._traced(end, offset, shaft, float(wrong.min()))
        end, offset = divmod(int(usual.argmin()), self.wide)
        return self._traced(end, offset, _NONE, float(usual.min()))

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
        between = self._between(
            int(self.stretch.shaft[end]), slice(0, self.shafts), bool(self.stretch.free[end])
        )
        reach, self.extra_came[end] = self._step(self.best_edged[end], self.beside_extra, end, end, between)
        self.extra[end] = reach + self.ends_there[self._at(end), : self.shafts].T + rare + self.able

    def _wrong(self, end: int, begun: Array) -> None:
        """``end`` on each shaft but its own; ``begun``: what it costs to begin here."""
        rare = self._slip("wrong shaft", end)
        if self.stretch.free[end] or rare >= _NEVER:
            return
        shaft = int(self.stretch.shaft[end])
        reach = np.repeat(begun[None], self.shafts, axis=0)
        came = np.full(reach.shape, _NONE)
        if end:
            free = bool(self.stretch.free[end - 1])
            between = self._between(int(self.stretch.shaft[end - 1]), slice(0, self.shafts), free)
            way, at = self._step(self.best_edged[end - 1], self.usual, end - 1, end, between)
            better = way < reach
            reach, came = np.where(better, way, reach), np.where(better, at, came)
            which = self.wrong_edged[end - 1].argmin(axis=0)
            way, at = self._step(self.wrong_edged[end - 1].min(axis=0), self.usual, end - 1, end, None)
            better = way < reach
            reach, came = np.where(better, way, reach), np.where(better, at, came)
            self.wrong_via[end] = np.where(better, np.take(which, at + _EDGE), _NONE)
        self.wrong[end] = reach + self.ends_there[self._at(end), : self.shafts].T + rare + self.able
        if shaft < self.shafts:
            self.wrong[end, shaft] = _NEVER
        self.wrong_came[end] = came

    def _after(self, states: Array, distance: Distances, end: int, on: Array, how: int) -> None:
        """``end`` as planned after a column of a slip, float[J, S, W] with edges."""
        if states[end - 1].min() >= _NEVER:
            return
        between = self._between(
            slice(0, self.shafts), int(self.stretch.shaft[end]), bool(self.stretch.free[end])
        )
        reach, came = self._step(states[end - 1], distance, end - 1, end, between)
        which = reach.argmin(axis=0)
        cost = reach[which, self.place] + on
        self.via[end] = np.where(cost < self.best[end], which, self.via[end])
        self._offer(end, cost, how, came[which, self.place])

    def _crossed(self, end: int) -> None:
        """Ends ``end`` - 1 and ``end`` in each other's place."""
        free, shaft = self.stretch.free, self.stretch.shaft
        one, other = int(shaft[end - 1]), int(shaft[end])
        rare = self._slip("crossed", end - 1)
        if one == other or free[end - 1] or free[end] or rare >= _NEVER:
            return
        between = self._between(int(shaft[end - 2]), other, bool(free[end - 2]))
        reach, came = self._step(self.best_edged[end - 2], self.usual, end - 2, end - 1, between)
        self.swapped[end], self.swap_came[end] = reach + self.ends_there[self._at(end - 1), other], came
        reach, came = self._step(
            self.swapped_edged[end], self.usual, end - 1, end, self._between(other, one, False)
        )
        self._offer(end, reach + self.ends_there[self._at(end), one] + rare, _CROSSED, came)

    def _offer(self, end: int, cost: Array, how: npt.ArrayLike, came: Ints) -> None:
        better = cost < self.best[end]
        self.best[end] = np.where(better, cost, self.best[end])
        self.how[end] = np.where(better, how, self.how[end])
        self.came[end] = np.where(better, came, self.came[end])

    def _traced(self, end: int, offset: int, on: int, cost: float) -> Aligned:
        """The columns back from the last one; ``on``: the shaft of a wrong one, else _NONE."""
        shaft = self.stretch.shaft
        columns: list[Column] = []
        claims: list[tuple[Kind, int, int, int]] = []  # with the number of columns after it

        def place(band: int, at: int, which: int, on: int) -> None:
            columns.append(Column(int(self.start[band]) + at - self.pad, which, on))

        while True:
            if on != _NONE:
                place(end, offset, end, on)
                claims.append(("wrong shaft", end, len(columns), on))
                came, on = int(self.wrong_came[end, on, offset]), int(self.wrong_via[end, on, offset])
                if came == _NONE:
                    break
                end, offset = end - 1, came
                continue
            how, came = int(self.how[end, offset]), int(self.came[end, offset])
            via = int(self.via[end, offset])
            if how == _CROSSED:
                place(end, offset, end, int(shaft[end - 1]))
                place(end - 1, came, end - 1, int(shaft[end]))
                claims.append(("crossed", end - 1, len(columns), int(shaft[end])))
                end, offset = end - 2, int(self.swap_came[end, came])
                continue
            place(end, offset, end, int(shaft[end]))
            if how == _START:
                break
            if how == _SKIPPED:
                claims.append(("skipped", end - 1, len(columns), -1))
                end, offset = end - 2, came
            elif how == _FROM_EXTRA:
                place(end - 1, came, -1, via)
                claims.append(("extra", end, len(columns), via))
                end, offset = end - 1, int(self.extra_came[end - 1, via, came])
            else:
                end, offset, on = end - 1, came, via if how == _FROM_WRONG else _NONE
        count = len(columns)
        made = tuple(
            Claim(kind, at, count - after, on, int(shaft[at])) for kind, at, after, on in reversed(claims)
        )
        return Aligned(cost, tuple(reversed(columns)), made)

"""Ends that were seen, aligned with the planned threading: the likeliest slips, and how likely each is.

The lattice has a node for each number of columns seen and each offset (ends of the plan used up, less columns
seen), and moves that use a column, an end, or both:

    ok           the column is the end's, on its shaft        wrong      on another shaft
    crossed      two columns, two ends, each on the other's   skipped    an end without a column
    extra        a column without an end

A skipped end next to an extra one is not a path of its own: it weaves the same as an end on a wrong shaft.

A misread cell costs ln((1 - e) / e), a slip the logarithm of how rare it is; unseen cells cost nothing. The
best path is found by dynamic programming over offsets within a band (Viterbi), the probability of each move
by adding up all paths (forward and backward sums). A. J. Viterbi, IEEE Trans. Inf. Theory 13 (1967) 260-269;
L. R. Rabiner, Proc. IEEE 77 (1989) 257-286 (both from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
AnyInts = npt.NDArray[np.integer]

Kind = Literal["wrong shaft", "crossed", "skipped", "extra"]

SLACK = 5  # ends that skipped and extra ones may drift apart, beyond what the numbers of ends say
NEVER = -1e9
_SAME = 1e-9
_A_WEB = 2.0  # slips of each kind that a test weave may well show: nobody looks at one without some doubt
_LEAST_ENDS = 24  # fewer ends do not make a slip more frequent
_NEIGHBOR = 4.0  # a thread one shaft off is so much likelier than on any other (common practice, no source)
_RARE = 0.05  # likewise not threaded, or on a shaft that the plan does not use


@dataclass(frozen=True, slots=True)
class Move:
    """A slip on the path, at planned ``end`` and ``column``, both from 0; on ``shaft`` (S: not threaded)."""

    kind: Kind
    end: int
    column: int
    shaft: int


@dataclass(frozen=True, slots=True, eq=False)
class Costs:
    """Logarithms of how rare each slip is; ``shaft``: float[S + 1, S + 1], [planned, found]."""

    slip: float
    shaft: Array
    any_shaft: Array


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """The likeliest path and its logarithm. ``end``: int[C], planned end of each column, -1: an extra one."""

    score: float
    moves: tuple[Move, ...]
    end: npt.NDArray[np.int64]


def costs(ends: int, used: AnyInts, shafts: int) -> Costs:
    """A few slips of each kind to a web; a wrong shaft is a neighbor's more often than another."""
    weight = np.full(shafts + 1, _RARE)
    weight[used] = 1.0
    table = np.tile(weight, (shafts + 1, 1))
    place = np.arange(shafts)
    table[place[:-1], place[1:]] *= _NEIGHBOR
    table[place[1:], place[:-1]] *= _NEIGHBOR
    np.fill_diagonal(table, 0.0)
    table /= np.maximum(table.sum(axis=1, keepdims=True), _RARE)
    with np.errstate(divide="ignore"):
        logs = np.maximum(np.log(table), NEVER)
        return Costs(-float(np.log(max(ends, _LEAST_ENDS) / _A_WEB)), logs, np.log(weight / weight.sum()))


@dataclass(frozen=True, slots=True, eq=False)
class _Ways:
    """Scores of the best ways to each node, float[C + 1, W]."""

    reached: Array
    skipped: Array
    by_extra: Array
    settled: Array


class Lattice:
    """All ways to align C columns with E ends.

    :param fits: float[C, S + 1], log-likelihood of each column on each shaft (the last: not threaded)
    :param loose: float[C], the same for an end whose cells say nothing
    :param planned: int[E] in 0...S
    :param free: bool[E], ends whose cells say nothing (floating selvedges)
    """

    def __init__(
        self, fits: Array, loose: Array, planned: AnyInts, free: npt.NDArray[np.bool_], rare: Costs
    ) -> None:
        self.fits, self.planned, self.rare = fits, planned, rare
        self.columns, self.ends = len(fits), len(planned)
        gap = self.ends - self.columns
        self.low, self.high = min(0, gap) - SLACK, max(0, gap) + SLACK
        self.width = self.high - self.low + 1
        self.last = gap - self.low
        place = np.arange(self.columns)[:, None] + np.arange(self.low, self.high + 1)[None, :]
        self.inside = (place >= 0) & (place < self.ends)
        self.at = np.clip(place, 0, self.ends - 1)
        shaft = planned[self.at]
        row = np.arange(self.columns)[:, None]
        self.ok = np.where(free[self.at], loose[:, None], fits[row, shaft])
        self.ok[~self.inside] = NEVER
        self.shaft = shaft
        self.open = np.where(
            np.arange(self.columns + 1)[:, None] + np.arange(self.low, self.high + 1) > self.ends, NEVER, 0.0
        )
        self.fixed = free
        self._crossed(free)

    def _crossed(self, free: npt.NDArray[np.bool_]) -> None:
        after = np.clip(self.at + 1, 0, self.ends - 1)
        other = self.planned[after]
        row = np.arange(self.columns)[:, None]
        follow = np.clip(row + 1, 0, self.columns - 1)
        score = self.fits[row, other] + self.fits[follow, self.shaft] + self.rare.slip
        able = self.inside & (self.at + 1 < self.ends) & (row + 1 < self.columns) & (other != self.shaft)
        able &= ~free[self.at] & ~free[after]
        self.cross = np.where(able, score, NEVER)

    def wrong_by_shaft(self) -> tuple[Array, npt.NDArray[np.int64]]:
        """float[C, S + 1] and int[C, S + 1]: the best other shaft for a column of an end planned on each."""
        best = np.empty_like(self.fits)
        which = np.empty(self.fits.shape, dtype=np.int64)
        for shaft in range(self.fits.shape[1]):
            scores = self.fits + self.rare.shaft[shaft]
            which[:, shaft] = scores.argmax(axis=1)
            best[:, shaft] = scores[np.arange(self.columns), which[:, shaft]]
        return best + self.rare.slip, which

    def best(self) -> Path:
        """The likeliest path."""
        row = np.arange(self.columns)[:, None]
        by_shaft, which = self.wrong_by_shaft()
        wrong = by_shaft[row, self.shaft]
        wrong[~self.inside | self.fixed[self.at]] = NEVER
        one = np.maximum(self.ok, wrong)
        extras = self.fits + self.rare.any_shaft
        extra = extras.max(axis=1) + self.rare.slip
        slope = self.rare.slip * np.arange(self.width)
        # Best ways to each node: arrived by a column with its end; then by skipping ends; arrived by an extra
        # column; and by any of these.
        reached = np.full((self.columns + 1, self.width), NEVER)
        skipped, by_extra, settled = (
            np.empty_like(reached),
            np.full_like(reached, NEVER),
            np.empty_like(reached),
        )
        reached[0, -self.low] = 0.0
        for column in range(self.columns + 1):
            skipped[column] = np.maximum.accumulate(reached[column] - slope) + slope + self.open[column]
            settled[column] = np.maximum(skipped[column], by_extra[column])
            if column == self.columns:
                break
            np.add(settled[column], one[column], out=reached[column + 1])
            if column:
                np.maximum(
                    reached[column + 1],
                    settled[column - 1] + self.cross[column - 1],
                    out=reached[column + 1],
                )
            bare = np.maximum(reached[column], by_extra[column])
            by_extra[column + 1, :-1] = bare[1:] + extra[column]
        ways = _Ways(reached, skipped, by_extra, settled)
        return self._trace(ways, which, extras.argmax(axis=1))

    def _trace(self, ways: _Ways, which: npt.NDArray[np.int64], on: npt.NDArray[np.int64]) -> Path:
        """The moves back from the end. ``which``, ``on``: the best shafts of wrong and of extra columns."""
        column, place = self.columns, self.last
        moves: list[Move] = []
        end_of = np.full(self.columns, -1, dtype=np.int64)
        came = ways.skipped  # how the node was reached, if not by an extra column
        while True:
            if ways.by_extra[column, place] > came[column, place]:
                column, place, came = column - 1, place + 1, ways.reached
                moves.append(Move("extra", column + place + self.low, column, int(on[column])))
                continue
            while came is ways.skipped and ways.reached[column, place] < came[column, place] - _SAME:
                place -= 1
                moves.append(Move("skipped", column + place + self.low, column, -1))
            if column == 0:
                break
            here, end = ways.reached[column, place], column - 1 + place + self.low
            column, came = column - 1, ways.skipped
            end_of[column] = end
            if ways.settled[column, place] + self.ok[column, place] >= here - _SAME:
                continue
            crossing = ways.settled[column - 1, place] + self.cross[column - 1, place] if column else NEVER
            if crossing >= here - _SAME:
                column -= 1
                end_of[column] = end - 1
                moves.append(Move("crossed", end - 1, column, int(self.planned[end])))
            else:
                moves.append(Move("wrong shaft", end, column, int(which[column, self.planned[end]])))
        return Path(float(ways.settled[self.columns, self.last]), tuple(reversed(moves)), end_of)

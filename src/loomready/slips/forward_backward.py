"""How probable each move of an alignment is: sums over all its paths, forward and backward.

Each step is scaled, so that nothing grows or vanishes over thousands of columns (L. R. Rabiner, Proc. IEEE 77
(1989) 257-286, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from loomready.slips.align import NEVER, Array, Lattice


class Likely(Protocol):
    """How probable each move is; :class:`Sums` says what each question means."""

    def wrong(self, end: int, column: int, shafts: list[int]) -> float: ...
    def crossed(self, end: int, column: int) -> float: ...
    def extra_before(self, end: int, column: int, shafts: list[int]) -> float: ...
    def skipped_end(self, end: int) -> float: ...


class Sums:
    """Sums over all paths of a lattice: how probable each move is."""

    def __init__(self, lattice: Lattice) -> None:
        self.lattice = lattice
        fits = lattice.fits
        self.top = fits.max(axis=1)
        self.em = np.exp(fits - self.top[:, None])
        table = np.exp(lattice.rare.shaft)
        self.slip = float(np.exp(lattice.rare.slip))
        row = np.arange(lattice.columns)[:, None]
        self.ok = np.exp(np.maximum(lattice.ok - self.top[:, None], -700.0)) * lattice.inside
        wrong = (self.em @ table.T * self.slip)[row, lattice.shaft]
        one = self.ok + wrong * (lattice.inside & ~lattice.fixed[lattice.at])
        self.extra = self.em @ np.exp(lattice.rare.any_shaft) * self.slip
        both = self.top + np.append(self.top[1:], 0.0)
        self.cross = np.where(
            lattice.cross > NEVER / 2, np.exp(np.maximum(lattice.cross - both[:, None], -700.0)), 0.0
        )
        steps = np.arange(lattice.width)
        self.skips = np.triu(self.slip ** np.maximum(steps[None, :] - steps[:, None], 0))
        self.valid = (lattice.open == 0.0).astype(np.float64)
        self._forward(one)
        self._backward(one)

    def _forward(self, one: Array) -> None:
        """The ways to each node, scaled: by a column with its end, then skips, or by an extra column."""
        lattice = self.lattice
        shape = (lattice.columns + 1, lattice.width)
        self.reached, self.skipped, self.by_extra, self.settled = (np.zeros(shape) for _ in range(4))
        self.ahead_log = np.zeros(lattice.columns + 1)
        self.reached[0, -lattice.low] = 1.0
        for column in range(lattice.columns + 1):
            skipped = self.reached[column] @ self.skips * self.valid[column]
            settled = skipped + self.by_extra[column]
            size = settled.max()
            self.reached[column] /= size
            self.by_extra[column] /= size
            self.skipped[column], self.settled[column] = skipped / size, settled / size
            self.ahead_log[column] += float(np.log(size))
            if column == lattice.columns:
                break
            log = self.ahead_log[column]
            self.reached[column + 1] = self.settled[column] * one[column]
            if column:
                gap = np.exp(self.ahead_log[column - 1] - log)
                self.reached[column + 1] += self.settled[column - 1] * self.cross[column - 1] * gap
            bare = self.reached[column] + self.by_extra[column]
            self.by_extra[column + 1, :-1] = bare[1:] * self.extra[column]
            self.ahead_log[column + 1] = log
        arrived = max(float(self.settled[lattice.columns, lattice.last]), 1e-300)
        self.total = float(self.ahead_log[-1]) + float(np.log(arrived))  # less the best fit of each column

    def _backward(self, one: Array) -> None:
        """The ways on from each node, scaled: after a column with its end, skips, or an extra column."""
        lattice = self.lattice
        shape = (lattice.columns + 1, lattice.width)
        self.after_column, self.after_skips, self.after_extra = (np.zeros(shape) for _ in range(3))
        self.back_log = np.zeros(lattice.columns + 1)
        goal = np.zeros(lattice.width)
        goal[lattice.last] = 1.0
        for column in range(lattice.columns, -1, -1):
            straight, extra, log = goal, np.zeros(lattice.width), 0.0
            if column < lattice.columns:
                log = float(self.back_log[column + 1])
                straight = self.after_column[column + 1] * one[column]
                extra[1:] = self.after_extra[column + 1][:-1] * self.extra[column]
                if column + 2 <= lattice.columns:
                    gap = np.exp(self.back_log[column + 2] - log)
                    straight = straight + self.after_column[column + 2] * self.cross[column] * gap
            skips = self.skips @ (straight * self.valid[column])
            size = (skips + extra).max()
            self.after_skips[column] = skips / size
            self.after_column[column] = (skips + extra) / size
            self.after_extra[column] = (straight + extra) / size
            self.back_log[column] = log + float(np.log(size))

    def _share(self, before: float, weight: float, after: float, column: int, column_to: int) -> float:
        logs = self.ahead_log[column] + self.back_log[column_to] - self.total
        return float(before * weight * after * np.exp(logs))

    def _place(self, end: int, column: int) -> int:
        return end - column - self.lattice.low

    def wrong(self, end: int, column: int, shafts: list[int]) -> float:
        """That the column is this end's, on one of these shafts."""
        table = np.exp(self.lattice.rare.shaft[self.lattice.planned[end], shafts])
        weight = float(self.em[column, shafts] @ table) * self.slip
        place = self._place(end, column)
        if not 0 <= place < self.lattice.width:
            return 0.0
        before, after = self.settled[column, place], self.after_column[column + 1, place]
        return self._share(before, weight, after, column, column + 1)

    def crossed(self, end: int, column: int) -> float:
        """That this column is the next end's, and the next column this end's."""
        place = self._place(end, column)
        if not 0 <= place < self.lattice.width:
            return 0.0
        before, after = self.settled[column, place], self.after_column[column + 2, place]
        return self._share(before, float(self.cross[column, place]), after, column, column + 2)

    def extra_before(self, end: int, column: int, shafts: list[int]) -> float:
        """That the column is one too many, before this end and on one of these shafts."""
        place = self._place(end, column)
        if not 0 < place < self.lattice.width:
            return 0.0
        weight = float(self.em[column, shafts] @ np.exp(self.lattice.rare.any_shaft[shafts])) * self.slip
        before = self.reached[column, place] + self.by_extra[column, place]
        return self._share(before, weight, self.after_extra[column + 1, place - 1], column, column + 1)

    def skipped_end(self, end: int) -> float:
        """That no column is this end's."""
        found = 0.0
        for column in range(self.lattice.columns + 1):
            place = self._place(end, column)
            if 0 <= place < self.lattice.width - 1:
                before, after = self.skipped[column, place], self.after_skips[column, place + 1]
                found += self._share(before, self.slip, after, column, column)
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Mixed:
    """Several sums, each with its share: one for each rate of misread cells that may be so."""

    parts: Sequence[tuple[float, Sums]]

    def wrong(self, end: int, column: int, shafts: list[int]) -> float:
        return sum(share * sums.wrong(end, column, shafts) for share, sums in self.parts)

    def crossed(self, end: int, column: int) -> float:
        return sum(share * sums.crossed(end, column) for share, sums in self.parts)

    def extra_before(self, end: int, column: int, shafts: list[int]) -> float:
        return sum(share * sums.extra_before(end, column, shafts) for share, sums in self.parts)

    def skipped_end(self, end: int) -> float:
        return sum(share * sums.skipped_end(end) for share, sums in self.parts)

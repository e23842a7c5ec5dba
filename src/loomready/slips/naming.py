"""From the moves of a path to slips: which end to name, and what the cells could mean as well."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from loomready.slips import align
from loomready.slips.forward_backward import Likely
from loomready.slips.result import Slip, odds

_NEARLY = math.log(10)  # alternatives are at most ten times less likely
_FARTHEST = 60  # ends looked at on each side for another place of a skipped or extra end


@dataclass(frozen=True, slots=True, eq=False)
class Naming:
    """Names the slips of a path: which end, how likely, what could be instead.

    ``path_end``: int[C], the planned end of each column, -1 for an extra one; ``taken``: ends of other slips.
    """

    lattice: align.Lattice
    sums: Likely
    path_end: npt.NDArray[np.int64]
    taken: frozenset[int]

    def slip(self, move: align.Move) -> tuple[Slip, list[Slip]]:
        if move.kind == "skipped":
            return self._skipped(move)
        if move.kind == "extra":
            return self._extra(move)
        if move.kind == "crossed":
            likely = odds(self.sums.crossed(move.end, move.column))
            planned, found = self.lattice.planned[move.end], self.lattice.planned[move.end + 1]
            return Slip("crossed", move.end + 1, None, self._number(planned), self._number(found), likely), []
        scores = self.lattice.fits[move.column] + self.lattice.rare.shaft[self.lattice.planned[move.end]]
        same, near = self._shafts(move.column, move.shaft, scores)
        likely = odds(self.sums.wrong(move.end, move.column, same))
        planned = self.lattice.planned[move.end]
        named = Slip(
            "wrong shaft", move.end + 1, None, self._number(planned), self._number(move.shaft), likely
        )
        rest = [shaft for shaft in near if shaft not in (move.shaft, planned)]
        return named, [
            replace(
                named, found=self._number(shaft), odds=odds(self.sums.wrong(move.end, move.column, [shaft]))
            )
            for shaft in rest
        ]

    def _number(self, shaft: int) -> int:
        """A shaft from 1; 0: not threaded."""
        return 0 if shaft == self.lattice.fits.shape[1] - 1 else int(shaft) + 1

    def _shafts(
        self, column: int, shaft: int, scores: npt.NDArray[np.float64]
    ) -> tuple[list[int], list[int]]:
        """Shafts that the cells of a column cannot tell from this one, and those nearly as likely."""
        fits = self.lattice.fits[column]
        same = np.flatnonzero(np.abs(fits - fits[shaft]) < 1e-9)
        near = np.flatnonzero(scores >= scores[shaft] - _NEARLY)
        unused = np.flatnonzero(self.lattice.rare.any_shaft < self.lattice.rare.any_shaft.max() - 1e-9)
        near = near[~np.isin(near, unused)]
        return same.tolist(), near.tolist()

    def _skipped(self, move: align.Move) -> tuple[Slip, list[Slip]]:
        """The missing end is somewhere in a run of ends that would look the same, named by its first."""
        same, near = [move.end], []
        column = move.column
        for step in (-1, 1):
            loss, end, at = 0.0, move.end, column - 1 if step < 0 else column
            for _ in range(_FARTHEST):
                # The column that was the neighbor's becomes this end's.
                neighbor = end + step
                if not (0 <= neighbor < self.lattice.ends and 0 <= at < self.lattice.columns):
                    break
                if self.path_end[at] != neighbor or neighbor in self.taken:
                    break
                fits = self.lattice.fits[at]
                loss += float(fits[self.lattice.planned[neighbor]] - fits[self.lattice.planned[end]])
                end, at = neighbor, at + step
                if abs(loss) < 1e-9:
                    same.append(end)
                elif loss <= _NEARLY:
                    near.append(end)
                if loss > 2 * _NEARLY:
                    break
        likely = odds(sum(self.sums.skipped_end(end) for end in same))
        named = [self._missing(end, likely) for end in sorted(same)]
        rest = [self._missing(end, odds(self.sums.skipped_end(end))) for end in sorted(near)]
        return named[0], named[1:] + rest

    def _missing(self, end: int, likely: float) -> Slip:
        return Slip("skipped", end + 1, None, self._number(self.lattice.planned[end]), None, likely)

    def _extra(self, move: align.Move) -> tuple[Slip, list[Slip]]:
        """The end too many may be any of a run that would look the same, named by the first place."""
        scores = self.lattice.fits[move.column] + self.lattice.rare.any_shaft
        same_shafts, near = self._shafts(move.column, move.shaft, scores)
        places = [(move.end, move.column)]
        for step in (-1, 1):
            end, column = move.end, move.column
            for _ in range(_FARTHEST):
                # The column beside becomes the one too many, this one its neighbor's.
                beside = column + step
                neighbor = end - 1 if step < 0 else end
                if not (0 <= neighbor < self.lattice.ends and 0 <= beside < self.lattice.columns):
                    break
                if self.path_end[beside] != neighbor or neighbor in self.taken:
                    break
                planned = self.lattice.planned[neighbor]
                one, other = self.lattice.fits[column], self.lattice.fits[beside]
                loss = one[move.shaft] + other[planned] - one[planned] - other[move.shaft]
                if abs(loss) > 1e-9 or abs(one[planned] - one[move.shaft]) > 1e-9:
                    break
                end, column = end + step, beside
                places.append((end, column))
        likely = odds(sum(self.sums.extra_before(end, column, same_shafts) for end, column in places))
        named = [
            Slip("extra", end + 1, None, None, self._number(move.shaft), likely) for end, _ in sorted(places)
        ]
        rest = [
            replace(
                named[0],
                found=self._number(shaft),
                odds=odds(self.sums.extra_before(move.end, move.column, [shaft])),
            )
            for shaft in near
            if shaft != move.shaft
        ]
        return named[0], named[1:] + rest

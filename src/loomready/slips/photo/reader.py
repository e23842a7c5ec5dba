"""From a strip of a photograph to the cells of the test weave.

Ends are aligned with the plan, the photograph's own look of warp up and weft up is learned from that, picks
and ends are followed, and all of it is done again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.slips.infer import UNSEEN, Cells
from loomready.slips.photo import alignment, features, learning, tracking
from loomready.slips.photo.alignment import Aligned, Evidence, Stretch
from loomready.slips.photo.rectify import BESIDE, SCALE, Strip

Array = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]

_ROUNDS = 3
STEPS = _ROUNDS + 1
_FIRST_SPREAD = 1.4  # pixels between ends, before any are found
_FIRST_SLOPE = 1.5  # log-odds for one standard deviation of light, before anything is learned
_FEW = 30  # places of a kind that are enough to learn from
_NO_BORDER = 30.0
_SURE = 1.5  # log-odds from which a cell is read


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """What was read.

    cells      int8[P, C]: 1 warp on top, 0 weft, -1 unsure
    told       float[P, C], logarithm of the odds of warp on top
    aligned    the ends found, and slips as the pixels alone tell them
    x, y       float[P, C], pixels in the strip
    disagree   share of the cells that differ from the explanation
    """

    cells: Cells
    told: Array
    aligned: Aligned
    x: Array
    y: Array
    disagree: float
    margins: tuple[float, ...]


def read(strip: Strip, stretch: Stretch, tell: Callable[[int], None] = lambda done: None) -> Reading:
    """``tell`` is called with the steps done, of ``STEPS``."""
    maps = features.features(strip.light)
    grid = tracking.even(strip.picks, features.lean(strip.light))
    taps = float(BESIDE * SCALE), float((BESIDE + strip.ends - 1) * SCALE)
    seen = grid.sample(maps)
    borders = np.zeros((stretch.up.shape[1], stretch.up.shape[1], seen.shape[1]))
    best: Aligned | None = None
    for sign in (1.0, -1.0):
        told = sign * _FIRST_SLOPE * seen[..., features.LIGHT]
        costs = alignment.column_costs(told, stretch.up)
        made = alignment.align(Evidence(costs, borders, taps, _FIRST_SPREAD), stretch)
        if best is None or made.cost < best.cost:
            best = made
    assert best is not None
    for number in range(_ROUNDS):
        tell(number + 1)
        columns, up = _as_aligned(best, stretch)
        rule = learning.learned(seen[:, columns].reshape(-1, seen.shape[-1]), up.reshape(-1))
        grid = tracking.followed(grid, rule(np.moveaxis(maps, 0, -1)), columns, up)
        seen = grid.sample(maps)
        told = rule(seen)
        evidence = Evidence(
            alignment.column_costs(told, stretch.up),
            _borders(seen, columns, up, stretch),
            taps,
            alignment.spread_of(best),
        )
        best = alignment.align(evidence, stretch)
    tell(STEPS)
    columns, up = _as_aligned(best, stretch)
    at = told[:, columns]
    differ = (at > 0) != up
    margins = tuple(_margin(evidence, stretch, best, claim) for claim in best.claims)
    cells = np.where(np.abs(at) < _SURE, UNSEEN, at > 0).astype(np.int8)
    return Reading(cells, at, best, grid.x[:, columns], grid.y[:, columns], float(differ.mean()), margins)


def _borders(seen: Array, columns: Ints, up: Bools, stretch: Stretch) -> Array:
    """What borders cost, learned from the ends as they were aligned.

    Where both neighbors of a place are up, a border shows a valley and an end in its middle does not.
    """
    middle = columns[1:] - (np.diff(columns) + 1) // 2
    told = []
    for face in (up, ~up):
        between = seen[:, middle][face[:, :-1] & face[:, 1:]]
        ends = seen[:, columns[1:-1]][face[:, :-2] & face[:, 2:]]
        if min(len(between), len(ends)) < _FEW:
            told.append(np.full(seen.shape[:2], _NO_BORDER))
            continue
        label = np.repeat([True, False], [len(between), len(ends)])
        rule = learning.learned(np.concatenate([between, ends]), label)
        told.append(rule(seen) - np.log(len(between) / len(ends)))
    return alignment.border_costs(told[0], told[1], stretch.up)


def _as_aligned(made: Aligned, stretch: Stretch) -> tuple[Ints, Bools]:
    columns = np.array([each.x for each in made.columns], dtype=np.int64)
    return columns, stretch.up[:, [each.shaft for each in made.columns]]


def _margin(evidence: Evidence, stretch: Stretch, best: Aligned, claim: alignment.Claim) -> float:
    """What the best explanation without this slip costs more."""
    barred = np.zeros(len(stretch.shaft), dtype=np.bool_)
    reach = 8 if claim.kind in ("skipped", "extra") else 2
    barred[max(claim.end - reach, 0) : claim.end + reach + 1] = True
    return alignment.align(evidence, stretch, barred).cost - best.cost

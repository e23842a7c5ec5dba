"""From a strip of a photograph to the cells of the test weave.

Ends are aligned with the plan, the photograph's own look of warp up and weft up is learned from that, picks
and ends are followed, and all of it is done again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import get_args

import numpy as np
import numpy.typing as npt

from loomready.slips.align import Kind
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
_NEAR_MOVED = 8  # ends around a missing or an extra end in which it might as well be
_FEW = 30  # places of a kind that are enough to learn from
_NOTHING_LEARNED = 30.0
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
    flat = features.even_light(strip.light)
    maps = features.features(flat)
    grid = tracking.even(strip.picks, features.lean(flat))
    taps = float(BESIDE * SCALE), float((BESIDE + strip.ends - 1) * SCALE)
    seen = grid.sample(maps)
    nothing = np.zeros((stretch.up.shape[1], stretch.up.shape[1], seen.shape[1]))
    best: Aligned | None = None
    for sign in (1.0, -1.0):
        told = sign * _FIRST_SLOPE * seen[..., features.LIGHT]
        costs = alignment.column_costs(told, stretch.up)
        made = alignment.align(Evidence(costs, nothing, np.zeros_like(costs), taps, _FIRST_SPREAD), stretch)
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
        costs = alignment.column_costs(told, stretch.up)
        borders, centers = _places(seen, columns, up, stretch)
        shafts = [each.shaft for each in best.columns]
        centers -= (costs + centers)[columns, shafts].mean()  # else fewer ends would always be likelier
        evidence = Evidence(costs, borders, centers, taps, alignment.spread_of(best))
        best = alignment.align(evidence, stretch)
    tell(STEPS)
    columns, up = _as_aligned(best, stretch)
    at = told[:, columns]
    differ = (at > 0) != up
    margins = tuple(_margin(evidence, stretch, best, claim) for claim in best.claims)
    cells = np.where(np.abs(at) < _SURE, UNSEEN, at > 0).astype(np.int8)
    return Reading(cells, at, best, grid.x[:, columns], grid.y[:, columns], float(differ.mean()), margins)


def _places(seen: Array, columns: Ints, up: Bools, stretch: Stretch) -> tuple[Array, Array]:
    """What borders and what centers of ends cost, learned from the ends as they were aligned.

    Where both neighbors of a place are up, a border shows a valley and an end there does not; where both are
    down, the weft goes on over a border. Two like ends side by side are told from one by the same signs.
    """
    middle = columns[1:] - (np.diff(columns) + 1) // 2
    no_end: list[Array] = []
    an_end: list[Array] = []
    for face in (up, ~up):
        between = seen[:, middle][face[:, :-1] & face[:, 1:]]
        hidden = seen[:, columns[1:-1]][face[:, :-2] & face[:, 2:]]
        no_end.append(_told(between, hidden, seen))
        an_end.append(_told(seen[:, columns][face], between, seen))
    return (
        alignment.pair_costs(no_end[0], no_end[1], stretch.up),
        alignment.center_costs(an_end[0], an_end[1], stretch.up),
    )


def _told(these: Array, those: Array, seen: Array) -> Array:
    """float[P, T]: logarithm of the odds of the first kind of place, both being as frequent."""
    if min(len(these), len(those)) < _FEW:
        return np.full(seen.shape[:2], _NOTHING_LEARNED)
    label = np.repeat([True, False], [len(these), len(those)])
    rule = learning.learned(np.concatenate([these, those]), label)
    return rule(seen) - float(np.log(len(these) / len(those)))


def _as_aligned(made: Aligned, stretch: Stretch) -> tuple[Ints, Bools]:
    columns = np.array([each.x for each in made.columns], dtype=np.int64)
    return columns, stretch.up[:, [each.shaft for each in made.columns]]


def _margin(evidence: Evidence, stretch: Stretch, best: Aligned, claim: alignment.Claim) -> float:
    """What the best explanation without this slip costs more, which may have other slips there.

    Two ends on each other's shafts are crossed ends in other words, and no other explanation of them.
    """
    barred: dict[Kind, Bools] = {claim.kind: _around(stretch, claim.end, claim.end)}
    if claim.kind in ("skipped", "extra"):
        barred[claim.kind] = _around(stretch, claim.end - _NEAR_MOVED, claim.end + _NEAR_MOVED)
    elif claim.kind == "crossed":
        barred |= {kind: _around(stretch, claim.end - 1, claim.end + 2) for kind in get_args(Kind)}
    return alignment.align(evidence, stretch, barred).cost - best.cost


def _around(stretch: Stretch, first: int, last: int) -> Bools:
    barred = np.zeros(len(stretch.shaft), dtype=np.bool_)
    barred[max(first, 0) : last + 1] = True
    return barred

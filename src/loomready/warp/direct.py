"""A direct tie-up: each treadle moves one shaft for good, and a pick presses several of them at once.

Two feet press them: a foot takes one treadle, or two neighbors (common practice, no source).
"""

from __future__ import annotations

import numpy as np

from loomready.draft.draft import Bools, Draft
from loomready.model.guild import Loom
from loomready.warp.treadles import Treadles

FOOT = 2  # treadles that a foot takes at once, neighbors only
Feet = tuple[tuple[int, ...], tuple[int, ...]]


def direct_treadles(
    drafts: tuple[Draft, ...], loom: Loom, assignment: tuple[int | None, ...]
) -> Treadles | None:
    """The treadles of each pick on a loom whose treadle n lifts shaft n, on a counterbalance sinks it.

    :param drafts: of one threading, each once
    :param assignment: loom shaft (from 1) of each draft shaft; None: not on the loom
    """
    if not drafts or all(shaft is None for shaft in assignment):
        return None
    shafts = max(draft.shafts for draft in drafts)
    own = np.zeros((shafts, loom.treadles), dtype=np.bool_)
    for draft_shaft, shaft in enumerate(assignment[:shafts]):
        if shaft is not None:
            own[draft_shaft, shaft - 1] = True
    held = np.asarray(own.any(axis=1), dtype=np.bool_)
    sinking = loom.kind == "counterbalance"
    rises: Bools = ~own & held[:, None] if sinking else own
    sinks: Bools = own if sinking else np.zeros_like(own)
    pressed = tuple(_pressed(draft, own, held, sinking) for draft in drafts)
    return Treadles(rises, sinks, drafts, pressed, loom.treadles, True, loom.treadles, direct=True)


def _pressed(draft: Draft, own: Bools, held: Bools, sinking: bool) -> tuple[tuple[int, ...], ...]:
    up = draft.lifts & held[: draft.shafts]
    moved = ~up & held[: draft.shafts] if sinking else up
    pressed = moved.astype(np.int64) @ own[: draft.shafts].astype(np.int64) > 0
    return tuple(tuple((np.flatnonzero(row) + 1).tolist()) for row in pressed)


def by_feet(pressed: tuple[int, ...], there: int) -> Feet | None:
    """The treadles of a pick for the left and the right foot; None: two feet do not reach them all at once.

    A single treadle goes to the foot on its side of the ``there`` treadles.

    >>> by_feet((1, 2, 4), 4), by_feet((4,), 4), by_feet((1, 3, 5), 6)
    (((1, 2), (4,)), ((), (4,)), None)
    """
    if len(pressed) == 1:
        return (pressed, ()) if 2 * pressed[0] <= there + 1 else ((), pressed)
    splits = ((pressed[:at], pressed[at:]) for at in range(len(pressed) + 1))
    able = [each for each in splits if all(map(_one_foot, each))]
    return min(able, key=lambda feet: abs(len(feet[0]) - len(feet[1])), default=None)


def _one_foot(treadles: tuple[int, ...]) -> bool:
    return len(treadles) < FOOT or (len(treadles) == FOOT and treadles[1] - treadles[0] == 1)

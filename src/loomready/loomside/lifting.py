"""What hands and feet do for each pick on this loom: levers or treadles, and what changes in between."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Draft
from loomready.draft.periods import number, number_rows, smallest_period
from loomready.model.guild import Loom

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]

SINKS, RISES = "x", "o"


@dataclass(frozen=True, slots=True, eq=False)
class Lifting:
    """One repeat of picks on the loom's shafts.

    up        bool[p, shafts of the loom], shafts without ends down
    weft      int[p], palette numbers
    repeat    picks after which lifts and weft colors begin anew
    tieup     bool[shafts of the loom, treadles], true where the treadle raises the shaft; None: levers
    treadles  for each pick the treadles pressed (from 1); None: levers
    made_up   the tie-up is not the draft's own: one treadle for each different lift
    too_few   treadles that would be needed, where the loom has fewer; 0: enough
    """

    up: Bools
    weft: Ints
    repeat: int
    tieup: Bools | None
    treadles: tuple[tuple[int, ...], ...] | None
    made_up: bool
    too_few: int


def lifting(draft: Draft, loom: Loom, on_loom: list[int | None]) -> Lifting:
    """How the draft is woven on the loom.

    The draft's own treadles are kept where they do on this loom what they do in the draft: one treadle a
    pick always does; two together only lift their union on a lifting loom with a rising draft, and only sink
    it on a counterbalance with a sinking one. Otherwise each different lift gets a treadle of its own.
    """
    shafts = max([loom.shafts, *(shaft or 0 for shaft in on_loom)])
    up = np.zeros((draft.picks, shafts), dtype=np.bool_)
    for draft_shaft, shaft in enumerate(on_loom):
        if shaft is not None:
            up[:, shaft - 1] = draft.lifts[:, draft_shaft]
    picks = number(number_rows(up).ids, draft.weft_colors)
    repeat = smallest_period(picks.ids)
    treadling = None
    if draft.tieup is not None and draft.treadling is not None and _treadles_serve(draft, loom):
        treadling = draft.treadling
        repeat = smallest_period(number(picks.ids, number_rows(treadling).ids).ids)
    up, weft = up[:repeat], np.asarray(draft.weft_colors[:repeat], dtype=np.int64)
    if loom.treadles == 0:
        return Lifting(up, weft, repeat, None, None, False, 0)
    if treadling is not None and draft.tieup is not None:
        ties: Bools = draft.tieup ^ np.bool_(not draft.rising)
        tieup = np.zeros((shafts, ties.shape[1]), dtype=np.bool_)
        for draft_shaft, shaft in enumerate(on_loom):
            if shaft is not None:
                tieup[shaft - 1] = ties[draft_shaft]
        pressed = tuple(tuple((np.flatnonzero(row) + 1).tolist()) for row in treadling[:repeat])
        return Lifting(up, weft, repeat, tieup, pressed, False, 0)
    return _one_each(up, weft, repeat, loom)


def _one_each(up: Bools, weft: Ints, repeat: int, loom: Loom) -> Lifting:
    lifts = number_rows(up)
    ties = up[lifts.first]
    moving: Bools = np.asarray(ties.any(axis=1))  # a pick that lifts nothing presses nothing
    if int(moving.sum()) > loom.treadles:
        return Lifting(up, weft, repeat, None, None, False, int(moving.sum()))
    treadle = np.cumsum(moving)
    pressed = tuple((int(treadle[lift]),) if moving[lift] else () for lift in lifts.ids.tolist())
    return Lifting(up, weft, repeat, ties[moving].T, pressed, True, 0)


def _treadles_serve(draft: Draft, loom: Loom) -> bool:
    if draft.treadling is None or not draft.treadles or draft.treadles > loom.treadles:
        return False
    if int(draft.treadling.sum(axis=1).max(initial=0)) <= 1:
        return True
    if loom.kind == "countermarche":
        return False
    return draft.rising if loom.kind in ("jack", "table") else not draft.rising

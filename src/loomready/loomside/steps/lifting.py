"""The levers or treadles that each pick presses on this loom."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Draft
from loomready.draft.structure.periods import number, number_rows, smallest_period
from loomready.loomside.steps.threading import loom_shaft
from loomready.model.guild import Loom
from loomready.warp.result import WarpPlan
from loomready.warp.treadles import Treadles

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]

SINKS, RISES = "x", "o"


@dataclass(frozen=True, slots=True, eq=False)
class Lifting:
    """One repeat of picks on the loom's shafts.

    up        bool[p, shafts of the loom], shafts without ends down
    weft      int[p], palette numbers
    repeat    picks after which lifts, weft colors and treadles begin again
    tieup     bool[shafts of the loom, treadles], true where the treadle raises the shaft; None: levers
    sinks     likewise, true where the treadle sinks the shaft; the rest is not tied
    treadles  for each pick the treadles pressed (from 1); None: levers, or too few treadles
    made_up   the tie-up is not the draft's own
    too_few   treadles that would be needed, where the loom has fewer; 0: enough
    """

    up: Bools
    weft: Ints
    repeat: int
    tieup: Bools | None
    sinks: Bools | None
    treadles: tuple[tuple[int, ...], ...] | None
    made_up: bool
    too_few: int


def lifting(
    draft: Draft,
    loom: Loom,
    on_loom: list[int | None],
    made: Treadles | None,
    *,
    in_stripes: bool = False,
) -> Lifting:
    """How the draft is woven on the loom, by the tie-up ``made`` for all that is woven on the warp.

    ``made``: None where the loom has levers.

    :param in_stripes: stripes say which yarn a pick is of, so that the draft's weft colors do not count
    """
    shafts = max([loom.shafts, *(shaft or 0 for shaft in on_loom)])
    up = _on_loom(draft.lifts.T, on_loom, shafts).T
    colors = np.zeros_like(draft.weft_colors) if in_stripes else draft.weft_colors
    picks = number(number_rows(up).ids, colors)
    if made is None or made.short:
        repeat = smallest_period(picks.ids)
        weft = np.asarray(colors[:repeat], dtype=np.int64)
        return Lifting(up[:repeat], weft, repeat, None, None, None, False, made.count if made else 0)
    pressed = made.of(draft)
    ways = {each: number for number, each in enumerate(dict.fromkeys(pressed))}
    repeat = smallest_period(number(picks.ids, np.array([ways[each] for each in pressed])).ids)
    weft = np.asarray(colors[:repeat], dtype=np.int64)
    rises, sinks = (_on_loom(ties, on_loom, shafts) for ties in (made.rises, made.sinks))
    return Lifting(up[:repeat], weft, repeat, rises, sinks, pressed[:repeat], not made.own, 0)


def _on_loom(rows: Bools, on_loom: list[int | None], shafts: int) -> Bools:
    """Rows of draft shafts as rows of the loom's shafts."""
    moved = np.zeros((shafts, rows.shape[1]), dtype=np.bool_)
    for draft_shaft, shaft in enumerate(on_loom):
        if shaft is not None and draft_shaft < len(rows):
            moved[shaft - 1] = rows[draft_shaft]
    return moved


def raised_by_treadles(plan: WarpPlan) -> list[list[int]]:
    """The loom's shafts that each tied treadle raises; none where nothing is tied, or treadles are short."""
    made = plan.treadles
    if made is None or made.short or made.direct:
        return []
    on_loom = np.array([shaft or 0 for shaft in loom_shaft(plan)])
    return [on_loom[np.flatnonzero(column)].tolist() for column in made.rises.T]

"""A test weave at the loom: its picks, what somebody saw of it so far, and what follows from that.

Shafts here are the loom's, as they stand on the page and under the hands.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools
from loomready.loomside.steps import threading as threading_job
from loomready.problems import Impossible
from loomready.slips import test_picks as picking
from loomready.slips.answer import Floats, Planned, floats_of
from loomready.slips.found import Alternative, Slip
from loomready.slips.infer import UNSEEN, Cells
from loomready.slips.mending import Mending, OnLoom, mend
from loomready.slips.planned import yarn_of_ends
from loomready.slips.stretch import infer_stretch
from loomready.warp.result import WarpPlan

WINDOW = 8  # ends side by side on a page, each wide enough for a thumb
_FEW, _MANY = 8, 12  # test picks on up to eight shafts, and on more
_MOST_OWN = 24  # different lifts of a draft that somebody weaves as a test
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Window:
    """Cells of ``WINDOW`` ends or fewer from ``first`` (from 1): a row of 0 and 1 for each pick."""

    first: int
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What follows from what was seen.

    slips         found in the cells, then those found by questions
    alternatives  of the slips found in the cells
    looked        ends that were looked at
    unexplained   seen cells that differ from the plan with these slips
    there         int[C], shafts from 0 as the ends stand on the loom, by what the cells say
    """

    slips: tuple[Slip, ...]
    alternatives: tuple[Alternative, ...]
    mending: tuple[Mending, ...]
    looked: int
    unexplained: int
    there: Ints
    floats_planned: Floats
    floats_left: Floats


def on_loom(plan: WarpPlan) -> Planned:
    """The web of a warp, on the shafts of its loom."""
    shaft = threading_job.shaft_of_end(plan) - 1
    floating = np.zeros(plan.web.ends, dtype=np.bool_)
    edge = plan.web.floating // 2
    floating[:edge] = floating[plan.web.ends - edge :] = True
    to = threading_job.loom_shaft(plan)
    lifts = np.zeros((len(plan.draft.lifts), max(plan.loom.draft_shafts, *(each or 0 for each in to))), bool)
    for draft_shaft, loom_shaft in enumerate(to):
        if loom_shaft and draft_shaft < plan.draft.lifts.shape[1]:
            lifts[:, loom_shaft - 1] = plan.draft.lifts[:, draft_shaft]
    spare = plan.heddles.spare or None
    if spare is not None and len(spare) < lifts.shape[1]:
        spare = (*spare, *[(0, 0)] * (lifts.shape[1] - len(spare)))
    loom = OnLoom(spare=spare, yarn=yarn_of_ends(plan), length_m=plan.warp_length_m)
    return Planned(plan.order.key, shaft, floating, lifts, loom)


def own_picks(planned: Planned) -> Bools:
    """The different lifts of the draft, in the order in which they come."""
    _, first = np.unique(planned.lifts, axis=0, return_index=True)
    return planned.lifts[np.sort(first)]


def own_are_enough(planned: Planned) -> bool:
    """Whether the draft's own lifts tell its shafts apart and are few."""
    own = own_picks(planned)
    return len(own) <= _MOST_OWN and not picking.cannot_tell(own, picking.used_shafts(planned.threading))


def picks_apart(planned: Planned) -> Bools:
    """Lifts that set the shafts well apart and weave a cloth; where none do, the fewest that tell them."""
    return _picks_apart(planned.threading.astype(np.int64).tobytes(), planned.lifts.shape[1])


@lru_cache(maxsize=32)
def _picks_apart(threading: bytes, shafts: int) -> Bools:
    web = np.frombuffer(threading, dtype=np.int64)
    used = picking.used_shafts(web)
    try:
        many = _FEW if len(used) <= 8 else _MANY
        return picking.well_apart(web, shafts, many, picking.USUAL_FLOATS).lifts
    except Impossible:
        return picking.fewest(web, shafts).lifts


def lifts_of(picks: Sequence[Sequence[int]], shafts: int) -> Bools:
    """bool[P, S] of picks given as shafts from 1; shafts that there are not are left out."""
    lifts = np.zeros((len(picks), shafts), dtype=np.bool_)
    for pick, up in enumerate(picks):
        lifts[pick, [shaft - 1 for shaft in up if 1 <= shaft <= shafts]] = True
    return lifts


def cells_planned(planned: Planned, lifts: Bools) -> Bools:
    """bool[P, E]: warp on top, as planned; an end not threaded lies under the weft."""
    cells: Bools = np.pad(lifts, ((0, 0), (0, 1)))[:, planned.threading]
    return cells


def shafts_of(lifts: Bools) -> tuple[tuple[int, ...], ...]:
    """The shafts of each pick, from 1."""
    return picking.shafts_up(lifts)


def window(planned: Planned, lifts: Bools, first: int, differs: Collection[tuple[int, int]]) -> Window:
    """Cells as planned, but for those, as (pick, end) from 1, that differ."""
    cells = cells_planned(planned, lifts)[:, first - 1 : first - 1 + WINDOW].copy()
    for pick, end in differs:
        if 1 <= pick <= len(cells) and first <= end < first + cells.shape[1]:
            cells[pick - 1, end - first] ^= True
    return Window(first, tuple("".join("01"[cell] for cell in row) for row in cells.astype(int).tolist()))


def outcome(planned: Planned, lifts: Bools, windows: Sequence[Window], told: Sequence[Slip] = ()) -> Outcome:
    """Slips and mending from all that was seen.

    :param told: slips that were found by questions
    """
    cells = _cells(len(planned.threading), len(lifts), windows)
    seen = (cells != UNSEEN).any(axis=0)
    slips: tuple[Slip, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    unexplained = 0
    there = planned.threading.astype(np.int64)
    if seen.any():
        found = infer_stretch(cells, lifts, planned.threading, planned.free)
        slips, alternatives, there = found.slips, found.alternatives, found.threading
        unexplained = round((1 - found.explains) * int((cells != UNSEEN).sum()))
    known = {(slip.kind, slip.end) for slip in slips}
    slips = (*slips, *(slip for slip in told if (slip.kind, slip.end) not in known))
    return Outcome(
        slips=slips,
        alternatives=alternatives,
        mending=mend(slips, len(planned.threading), len(lifts), planned.loom),
        looked=int(seen.sum()),
        unexplained=unexplained,
        there=there,
        floats_planned=floats_of(planned.lifts, planned.threading),
        floats_left=floats_of(planned.lifts, with_slips(there, told)),
    )


def _cells(ends: int, picks: int, windows: Sequence[Window]) -> Cells:
    cells = np.full((picks, ends), UNSEEN, dtype=np.int8)
    for window in windows:
        for pick, row in enumerate(window.rows[:picks]):
            stop = min(window.first - 1 + len(row), ends)
            cells[pick, window.first - 1 : stop] = [int(cell) for cell in row][: stop - window.first + 1]
    return cells


def with_slips(there: Ints, told: Sequence[Slip]) -> Ints:
    """The ends as they stand, once the slips that questions found are in them too."""
    web = there.tolist()
    for slip in sorted(told, key=lambda each: -(each.end or 0)):
        at = (slip.end or 1) - 1
        if slip.kind == "wrong shaft" and at < len(web):
            web[at] = (slip.found or 0) - 1
        elif slip.kind == "crossed" and at + 1 < len(web):
            web[at : at + 2] = web[at + 1], web[at]
        elif slip.kind == "skipped" and at < len(web):
            del web[at]
        elif slip.kind == "extra":
            web.insert(at, (slip.found or 0) - 1)
    return np.array(web, dtype=np.int64)

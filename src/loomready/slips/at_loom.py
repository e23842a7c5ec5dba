"""A test weave at the loom: its picks, what somebody saw of it so far, and what follows from that.

Shafts here are the loom's, as they stand on the page and under the hands.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools
from loomready.loomside.learning.finished_warps import ProjectRecord, rate
from loomready.loomside.steps import threading as threading_job
from loomready.problems import Impossible
from loomready.slips import test_picks as picking
from loomready.slips.as_json import Floats, Planned, floats_of
from loomready.slips.infer import UNSEEN, Cells
from loomready.slips.mending import Mending, OnLoom, Rates, mend
from loomready.slips.planned import ties_of, yarn_of_ends
from loomready.slips.result import Alternative, Slip
from loomready.slips.stretch import by_planned_end, infer_stretch, planned_ends, with_slips
from loomready.slips.tied_treadles import MOST_OWN, picks_on, tied_treadles
from loomready.slips.wrong_lifts import pressed_for
from loomready.warp.result import WarpPlan

_FEW, _MANY = 8, 12  # test picks on up to eight shafts, and on more
TAKEN_OUT_MIN = 0.2  # for each end, out of reed and heddle (common practice, no source)
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What follows from what was seen.

    slips         found in the cells, and those that were confirmed, less those that the cells speak against:
                  from end 1 on, wrong lifts last
    alternatives  of the slips found in the cells
    looked        ends that were looked at
    unexplained   seen cells that differ from the plan with these slips
    there         int[C], shafts from 0 as the ends stand on the loom, all slips in them
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
    loom = OnLoom(
        spare=spare,
        yarn=yarn_of_ends(plan),
        length_m=plan.longest_m,
        even=plan.loom.kind == "counterbalance",
        ties=ties_of(plan, lifts),
    )
    return Planned(plan.order.key, shaft, floating, lifts, loom, tied_treadles(plan))


def own_picks(planned: Planned) -> Bools:
    """The different lifts of the draft, in the order in which they come."""
    _, first = np.unique(planned.lifts, axis=0, return_index=True)
    return planned.lifts[np.sort(first)]


def own_are_enough(planned: Planned) -> bool:
    """Whether the draft's own lifts tell its shafts apart and are few."""
    own = own_picks(planned)
    return len(own) <= MOST_OWN and not picking.cannot_tell(own, picking.used_shafts(planned.threading))


def sheet_picks(planned: Planned) -> Bools:
    """The picks of the test weave sheet: the draft's own lifts where they are enough."""
    return own_picks(planned) if own_are_enough(planned) else picks_apart(planned)


def picks_apart(planned: Planned) -> Bools:
    """Lifts that tell the shafts well apart and weave a cloth; where none do, the fewest that tell them.

    On tied treadles the draft's own, and others only where those leave shafts alike. On other looms whose
    shafts hang in balance the fewest, each followed by its opposite: half of the shafts rise.
    """
    if planned.tied is not None:
        return picks_on(planned.tied, own_picks(planned), planned.threading)
    if planned.loom.even:
        return even_lifts(planned)
    return _picks_apart(planned.threading.astype(np.int64).tobytes(), planned.lifts.shape[1])


def most_test_picks(planned: Planned) -> int:
    """Not fewer than the test picks of this loom: twice the fewest where its shafts hang in balance."""
    if planned.tied is not None:
        return len(picks_apart(planned))  # made without a search
    shafts = int(planned.lifts.shape[1])
    return max(_MANY, 2 * max(shafts - 1, 1).bit_length())


def even_lifts(planned: Planned) -> Bools:
    """The fewest lifts that tell the used shafts apart, each followed by its opposite.

    With an even number of used shafts just half of them rise in each.
    """
    lifts = picking.fewest(planned.threading, planned.lifts.shape[1]).lifts
    used = np.isin(np.arange(lifts.shape[1]), picking.used_shafts(planned.threading))
    return np.stack([lifts, ~lifts & used], axis=1).reshape(-1, lifts.shape[1])


def at_hand(planned: Planned, picks: Sequence[Sequence[int]]) -> list[tuple[int, ...]]:
    """Lifts that a question may ask for: the picks, and each shaft alone or, in balance, half of them.

    On tied treadles the picks only: no treadle lifts a shaft alone.
    """
    made = [tuple(pick) for pick in picks]
    if planned.tied is not None:
        return made
    if planned.loom.even:
        return [*made, *shafts_of(even_lifts(planned))]
    return [*made, *((shaft + 1,) for shaft in picking.used_shafts(planned.threading))]


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


def learned(loom: str, results: Sequence[ProjectRecord]) -> tuple[Rates, int]:
    """Minutes of mending at this guild's own speed, and from how many warps it is known.

    To rethread an end is to take it out, to thread it and to sley it.
    """
    threading = rate("threading", loom, results)
    sleying = rate("sleying", loom, results)
    out, sley = TAKEN_OUT_MIN, 60 / sleying.mean
    usual = Rates()
    made = replace(
        usual,
        rethread=round(out + 60 / threading.mean + sley, 2) if threading.count else usual.rethread,
        resley=round(out + sley, 2) if sleying.count else usual.resley,
    )
    return made, len({*threading.warps, *sleying.warps})


def outcome(
    planned: Planned, lifts: Bools, cells: Cells, told: Sequence[Slip] = (), rates: Rates | None = None
) -> Outcome:
    """Slips and mending from all that was seen.

    :param cells: int8[P, E], -1 where nobody looked
    :param told: slips that were confirmed: found by questions or in a photograph
    """
    seen = (cells != UNSEEN).any(axis=0)
    slips: tuple[Slip, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    unexplained = 0
    if seen.any():
        web = planned.threading.astype(np.int64)
        ends = planned_ends(len(web), told)
        free = np.where(ends < 0, False, planned.free[np.maximum(ends, 0)])
        found = infer_stretch(cells, lifts, with_slips(web, told), free)
        named = [by_planned_end(slip, ends, web) for slip in found.slips]
        wrong = {slip.end for slip in named if slip.kind == "wrong shaft" and slip.found == slip.planned}
        told = [slip for slip in told if not (slip.kind == "wrong shaft" and slip.end in wrong)]
        kept = [place for place, slip in enumerate(named) if slip.end is None or slip.end not in wrong]
        slips = tuple(named[place] for place in kept)
        alternatives = tuple(
            Alternative(kept.index(each.instead_of), by_planned_end(each.slip, ends, web))
            for each in found.alternatives
            if each.instead_of in kept
        )
        unexplained = round((1 - found.explains) * int((cells != UNSEEN).sum()))
    slips = (*slips, *told)
    order = sorted(range(len(slips)), key=lambda place: _along_the_web(slips[place]))
    slips = tuple(slips[place] for place in order)
    alternatives = tuple(Alternative(order.index(each.instead_of), each.slip) for each in alternatives)
    there = with_slips(planned.threading.astype(np.int64), slips)
    return Outcome(
        slips=slips,
        alternatives=alternatives,
        mending=mend(
            slips,
            len(planned.threading),
            len(lifts),
            planned.loom,
            rates,
            pressed=pressed_for(planned.loom.ties, shafts_of(lifts)),
        ),
        looked=int(seen.sum()),
        unexplained=unexplained,
        there=there,
        floats_planned=floats_of(planned.lifts, planned.threading),
        floats_left=floats_of(planned.lifts, there),
    )


def _along_the_web(slip: Slip) -> tuple[bool, int]:
    return slip.end is None, slip.end or slip.pick or 0


def to_draft(plan: WarpPlan, found: Outcome, mended: Collection[int] = ()) -> tuple[Ints, Ints] | None:
    """The ends in heddles as they stand: draft shafts from 0, and the places of their yarns in the order.

    :param mended: places in ``found.slips`` of those that are mended: they count as planned
    :returns: None where nothing differs from the plan, or where an end is not threaded
    """
    edge = plan.web.floating // 2
    of_loom = {shaft: number for number, shaft in enumerate(threading_job.loom_shaft(plan)) if shaft}
    left = [slip for number, slip in enumerate(found.slips) if number not in mended and slip.end]
    shafts = with_slips(threading_job.shaft_of_end(plan) - 1, left).tolist()
    roles = _with_roles(plan.web.role.tolist(), left)
    inner = slice(edge, len(shafts) - edge)
    if not all(shaft + 1 in of_loom for shaft in shafts[inner]):
        return None
    made = np.array([of_loom[shaft + 1] for shaft in shafts[inner]], dtype=np.int64)
    planned = plan.web.shaft[edge : plan.web.ends - edge]
    if np.array_equal(made, planned):
        return None
    return made, np.array(roles[inner], dtype=np.int64)


def _with_roles(roles: list[int], slips: Sequence[Slip]) -> list[int]:
    """Which yarn each end is, once ends are missing or too many; one too many is like its neighbor."""
    for slip in sorted(slips, key=lambda each: -(each.end or 0)):
        at = (slip.end or 1) - 1
        if slip.kind == "skipped" and at < len(roles):
            del roles[at]
        elif slip.kind == "extra":
            roles.insert(at, roles[min(at, len(roles) - 1)])
    return roles

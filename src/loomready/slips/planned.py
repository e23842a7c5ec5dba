"""What should be on the loom: the threading of a draft, or the web of a planned warp."""

from __future__ import annotations

import numpy as np

from loomready.draft.draft import Bools, Draft
from loomready.loomside.steps import threading as threading_job
from loomready.slips.as_json import Planned
from loomready.slips.mending import OnLoom
from loomready.slips.test_picks import shafts_up
from loomready.slips.tied_treadles import TiedTreadles, tied_treadles
from loomready.slips.wrong_lifts import Ties, ties
from loomready.warp.result import HeddlePlan, WarpPlan


def of_draft(draft: Draft, name: str) -> Planned:
    """The draft as it stands, end for end; an end that is not threaded is always down."""
    free = np.zeros(draft.ends, dtype=np.bool_)
    loom = OnLoom()
    if draft.treadling is not None:
        pressed = tuple(tuple((np.flatnonzero(row) + 1).tolist()) for row in draft.treadling)
        loom = OnLoom(ties=ties(shafts_up(draft.lifts), pressed))
    return Planned(draft.title or name, draft.threading, free, draft.lifts, loom)


def of_warp(plan: WarpPlan) -> Planned:
    """The web of a warp on its loom, floating selvedges among its ends, with its spare heddles and yarns."""
    web = plan.web
    free = np.zeros(web.ends, dtype=np.bool_)
    edge = web.floating // 2
    free[:edge] = free[web.ends - edge :] = True
    loom = OnLoom(
        spare=_spare(plan.heddles),
        yarn=yarn_of_ends(plan),
        length_m=plan.longest_m,
        ties=ties_of(plan, plan.draft.lifts),
    )
    return Planned(plan.order.key, web.shaft, free, plan.draft.lifts, loom, _tied(plan))


def _tied(plan: WarpPlan) -> TiedTreadles | None:
    """What its tied treadles make, in the draft's numbers of shafts."""
    tied = tied_treadles(plan)
    on_loom = enumerate(threading_job.loom_shaft(plan), start=1)
    return tied and tied.renumbered({shaft: number for number, shaft in on_loom if shaft is not None})


def ties_of(plan: WarpPlan, lifts: Bools) -> Ties:
    """The treadles that make the draft's lifts on the loom, ``lifts`` bool[P, S]; none on levers."""
    made = plan.treadles
    if made is None or made.short or not any(each is plan.draft for each in made.drafts):
        return ()
    return ties(shafts_up(lifts), made.of(plan.draft))


def yarn_of_ends(plan: WarpPlan) -> tuple[str, ...] | None:
    """The yarn of each end."""
    yarns, role = plan.order.warp_yarns, plan.web.role.tolist()
    return tuple(yarns[each] for each in role) if max(role, default=0) < len(yarns) else None


def _spare(heddles: HeddlePlan) -> tuple[tuple[int, int], ...] | None:
    """Heddles over on the loom shaft of each draft shaft, by side; None: the web is on no loom shafts."""
    if not heddles.spare:
        return None
    return tuple((0, 0) if shaft is None else heddles.spare[shaft - 1] for shaft in heddles.assignment)

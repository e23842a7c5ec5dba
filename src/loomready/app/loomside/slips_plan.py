"""Changes the plan to match the loom, or puts the same slip on both sides as part of the design."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from loomready.app.loomside import jobs_miscount, project_record, slips_marks
from loomready.app.state import old_test_weave as records
from loomready.app.state.snapshot import Planned as PlannedWarp
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.draft.draft import Draft
from loomready.loomside.log.miscount import PlanChoice, as_it_stands
from loomready.phrases import phrase
from loomready.slips import at_loom, job, mirrored
from loomready.slips.as_json import Floats, floats_of
from loomready.slips.at_loom import Ints
from loomready.slips.result import Slip
from loomready.warp.result import WarpPlan

_AROUND, _PICKS, _MOST = 8, 16, 6  # ends beside a slip, picks and patches in a picture of the cloth


@dataclass(frozen=True, slots=True, eq=False)
class PlanChange:
    """A changed plan.

    steps     what to do at the loom first, and ``minutes``; none where the plan only follows the loom
    to_make   the slips that the changed plan has on top, until those steps are done
    floats    of the draft's cloth, as planned before and as it would be
    cloth     patches around each slip and at both edges
    """

    choice: PlanChoice
    steps: tuple[str, ...]
    minutes: float
    to_make: tuple[Slip, ...]
    floats: tuple[Floats, Floats]
    cloth: tuple[dict[str, Any], ...]


def offers(snapshot: Snapshot, there: PlannedWarp) -> tuple[PlanChange, ...]:
    """The changed plans that could be woven; none where nothing differs from the plan."""
    plan = there.plan
    work = None if plan is None else job.job(plan)
    if plan is None or work is None:
        return ()
    rates, _warps = at_loom.learned(plan.loom.key, project_record.results(snapshot))
    at = job.standing(work, slips_marks.marks_of(snapshot, plan, work))
    standing = [slip for number, slip in enumerate(at.found.slips) if number not in at.mended]
    made = []
    as_it_is = job.as_it_stands(plan, work, at)
    choice = None if as_it_is is None else _choice(snapshot, there, plan, *as_it_is)
    if choice is not None:
        made.append(_offer(plan, choice, standing))
    too = job.mirrored_too(plan, work, at)
    if too is not None:
        more, shafts, role = too
        choice = _choice(snapshot, there, plan, shafts, role)
        if choice is not None:
            steps, minutes = mirrored.to_make(more, rates)
            choice = replace(
                choice,
                kind="mirrored",
                says=phrase("Make the same slip on the other side"),
                why=phrase("The slips stay, and their mirror images are threaded too: both sides match."),
            )
            left = mirrored.still_to_make(more, standing, work.planned.threading.astype(np.int64))
            made.append(
                replace(_offer(plan, choice, [*standing, *more]), steps=steps, minutes=minutes, to_make=left)
            )
    return tuple(made)


def take(snapshot: Snapshot, there: PlannedWarp, offer: PlanChange, version: int, who: str) -> None:
    """The plan follows the offer; the test weave of the new plan knows the slips that are still to make.

    :raises store.Conflict: the warp was changed in the meantime
    """
    key = there.order.key
    known = snapshot.entry(records.KIND, key)
    begun = [] if known is None else [(records.KIND, key, records.WeaveSeen().fields(), known.version)]
    jobs_miscount.follow(snapshot, there, offer.choice, version, who, begun)
    now = current_snapshot().plan_of(key)
    work = None if now is None or now.plan is None else job.job(now.plan)
    if offer.to_make and now is not None and now.plan is not None and work is not None:
        codes = [work.layout.code(slip) for slip in offer.to_make]
        slips_marks.write(now.plan, work, [("kept", code, code, True) for code in codes], who)


def _choice(
    snapshot: Snapshot, there: PlannedWarp, plan: WarpPlan, shafts: Ints, role: Ints
) -> PlanChoice | None:
    name = jobs_miscount.free_name(snapshot, f"{there.order.key}-as-threaded")
    return as_it_stands(plan, shafts, role, partial(jobs_miscount.planned_again, snapshot, name), name)


def _offer(plan: WarpPlan, choice: PlanChoice, slips: Sequence[Slip]) -> PlanChange:
    was, now = plan.draft, choice.draft
    assert now is not None
    floats = floats_of(was.lifts, plan.web.shaft), floats_of(now.lifts, now.threading)
    return PlanChange(choice, (), 0.0, (), floats, tuple(_cloths(plan, now, slips)))


def _cloths(plan: WarpPlan, now: Draft, slips: Sequence[Slip]) -> list[dict[str, Any]]:
    """The draft's cloth as it was planned and as it would be: at both edges, and around each slip."""
    edge = plan.web.floating // 2
    was = plan.web.shaft[edge : plan.web.ends - edge]
    flip = plan.guild.end_1 == "right"

    def patch(threading: Any, first: int) -> SafeString:
        start = min(max(first, 0), max(len(threading) - 2 * _AROUND, 0))
        return _patch(now, threading[start : start + 2 * _AROUND], flip)

    made = [
        {"end": end, "planned": patch(was, first), "left": patch(now.threading, first_now)}
        for end, first, first_now in ((1, 0, 0), (plan.web.ends, len(was), len(now.threading)))
    ]
    for slip in [slip for slip in slips if slip.end][:_MOST]:
        first = (slip.end or 1) - 1 - edge - _AROUND
        made.append({"end": slip.end, "planned": patch(was, first), "left": patch(now.threading, first)})
    return made


def _patch(draft: Draft, threading: Any, flip: bool) -> SafeString:
    """A patch of cloth, dark where the warp is on top, first pick at the bottom."""
    lifts = np.resize(draft.lifts, (_PICKS, draft.lifts.shape[1]))
    up = np.pad(lifts, ((0, 0), (0, 1)))[:, threading]
    picks, ends = up.shape
    rects = [(ends - 1 - end if flip else end, picks - 1 - pick) for pick, end in np.argwhere(up).tolist()]
    return format_html(
        '<svg class="patch" viewBox="0 0 {} {}" aria-hidden="true">'
        '<rect class="weft" width="{}" height="{}"/>{}</svg>',
        ends,
        picks,
        ends,
        picks,
        format_html_join("", '<rect class="warp" x="{}" y="{}" width="1.02" height="1.02"/>', rects),
    )

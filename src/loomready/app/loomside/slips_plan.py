"""The plan changed to what stands on the loom: the slips that nobody mended are meant to be so."""

from __future__ import annotations

from functools import partial

from loomready.app.loomside import jobs_miscount
from loomready.app.state.snapshot import Planned as PlannedWarp
from loomready.app.state.snapshot import Room
from loomready.app.state.tested import WeaveSeen
from loomready.loomside.log.miscount import Choice, as_it_stands
from loomready.slips import at_loom
from loomready.slips.answer import Planned
from loomready.slips.at_loom import Outcome


def mended(found: Outcome, tested: WeaveSeen) -> set[int]:
    """The places of the slips whose steps are all ticked, by the mending that was chosen."""
    if not found.mending:
        return set()
    actions = found.mending[min(tested.way, len(found.mending) - 1)].actions
    return {number for action in actions if action.do in tested.done for number in action.slips}


def offer(room: Room, there: PlannedWarp, planned: Planned, tested: WeaveSeen) -> Choice | None:
    """The changed plan; None where there is nothing to change, or where it could not be woven."""
    plan = there.plan
    if plan is None:
        return None
    lifts = at_loom.lifts_of(tested.picks, planned.lifts.shape[1])
    found = at_loom.outcome(planned, lifts, tested.windows, tested.kept)
    made = at_loom.to_draft(plan, found, mended(found, tested))
    if made is None:
        return None
    name = jobs_miscount.free_name(room, f"{there.order.key}-as-threaded")
    shafts, role = made
    return as_it_stands(plan, shafts, role, partial(jobs_miscount.planned_again, room, name), name)

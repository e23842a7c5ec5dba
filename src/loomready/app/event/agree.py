"""A plan becomes the one that people were told: its sessions are kept, warps go to their looms and reeds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from loomready.app.changes.saving import refuse, stale, who
from loomready.app.event import clock, planning
from loomready.app.event.reported import reed_of
from loomready.app.state import agreed_plan, store
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.event.plan_event import EventPlan
from loomready.event.replan import Session, in_order
from loomready.problems import BadInput


@require_POST
def agree(request: HttpRequest) -> HttpResponse:
    """The plan that the page showed, and no other."""
    snapshot = current_snapshot()
    if snapshot.guild.event is None:
        return redirect("event-about")
    made = planning.planning(snapshot, clock.now())
    if made.plan is None or made.name != request.POST.get("name"):
        return stale(request, "event")
    try:
        store.write_together(writes(snapshot, made.plan), who=who(request))
    except store.Conflict:
        return stale(request, "event")
    except BadInput as error:
        return refuse(request, error.line(), "event")
    return redirect("event")


def writes(snapshot: Snapshot, plan: EventPlan) -> list[store.Write]:
    """The plan that people are told, with what they did of earlier ones; warps go to their looms."""
    entry = agreed_plan.entry_of(snapshot)
    told = tuple(in_order((*_done(snapshot, plan), *plan.sessions)))
    fields = agreed_plan.made_of(told, plan.now)
    first = (agreed_plan.KIND, agreed_plan.KEY, fields, entry.version if entry else None)
    return [first, *_on_looms(snapshot, plan)]


def _done(snapshot: Snapshot, plan: EventPlan) -> Iterator[Session]:
    """What of an earlier plan was over, or begun, when this one begins."""
    begins = plan.slots.start_of(plan.slots.first)
    for each in agreed_plan.sessions(snapshot) or ():
        if each.start < begins:
            yield replace(each, end=min(each.end, begins))


def _on_looms(snapshot: Snapshot, plan: EventPlan) -> Iterator[store.Write]:
    """Warps whose own page plans with another loom or reed: the loom comes first among those it may be on."""
    for warp, place in plan.allotment.places.items():
        entry, planned = snapshot.entry("warps", warp), snapshot.plan_of(warp)
        if entry is None or planned is None:
            continue
        fields = dict(entry.fields)
        moves = planned.order.loom != place.loom
        if moves:
            others = [loom for loom in planned.order.looms if loom != place.loom]
            fields = {name: value for name, value in fields.items() if name not in ("loom", "looms")}
            fields["looms"] = [place.loom, *others]
        own = None if planned.plan is None else reed_of(planned.plan)
        if place.reed is not None and (moves or own != place.reed):
            fields["reed"] = place.reed
        if fields != entry.fields:
            yield "warps", warp, fields, entry.version

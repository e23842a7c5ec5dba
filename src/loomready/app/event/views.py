"""The event's page: the plan of the work, made in the background, and what people were told of it."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from loomready.app.event import clock, planning
from loomready.app.event.own_hours import own_key
from loomready.app.event.plan_page import page_of
from loomready.app.sharing.auth import member
from loomready.app.state.snapshot import Snapshot, current_snapshot


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    if snapshot.guild.event is None:
        return redirect("event-about")
    return render(request, "event/event.html", _shown(request, snapshot))


def _shown(request: HttpRequest, snapshot: Snapshot) -> dict[str, Any]:
    event, now, found = snapshot.guild.event, clock.now(), member(request)
    assert event is not None
    made = planning.planning(snapshot, now)
    plan = made.plan or planning.latest(made)
    edits = found is not None and found.edits
    return {
        "title": event.name,
        "event": event,
        "made": made,
        "own": own_key(request, snapshot),
        "plan": None if plan is None else page_of(snapshot, made, plan, now, edits=edits),
    }


@require_GET
def state(request: HttpRequest) -> HttpResponse:
    """What the page asks while a plan is made: nothing yet, or the whole page once it is."""
    snapshot = current_snapshot()
    if snapshot.guild.event is None:
        return HttpResponse(status=204)
    shown = _shown(request, snapshot)
    made: planning.Planning = shown["made"]
    if made.plan is None and not made.job.over:
        return HttpResponse(status=204)
    return render(request, "event/_plan.html", shown)


@require_POST
def cancel(request: HttpRequest) -> HttpResponse:
    planning.cancel(request.POST.get("name", ""))
    return redirect("event")


@require_POST
def again(request: HttpRequest) -> HttpResponse:
    planning.again()
    return redirect("event")

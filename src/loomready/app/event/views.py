"""The event's page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from loomready.app.state.snapshot import current_snapshot


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    if snapshot.guild.event is None:
        return redirect("event-about")
    return render(
        request, "event/event.html", {"title": snapshot.guild.event.name, "event": snapshot.guild.event}
    )

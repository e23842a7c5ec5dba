"""Home: each loom with its warp, what is short, what comes next."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from loomready.app.progress import overview
from loomready.app.progress.home_data import first_label, home_data
from loomready.app.state.snapshot import current_snapshot


def home(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    data, walk = home_data(snapshot), overview.walk(snapshot)
    shown = {
        "title": _("Home"),
        "snapshot": snapshot,
        "data": data,
        "first": first_label(data.first) if data.first else "",
        "walk": walk,
        "next_stage": next((stage for stage in walk or () if not stage.done), None),
        "day": overview.next_day(snapshot),
        "event": overview.coming_event(snapshot),
        "begin_event": bool(snapshot.guild.warps) and snapshot.guild.event is None,
    }
    return render(request, "app/home.html", shown)

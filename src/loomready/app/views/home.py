"""Home: each loom with its warp, what is short, what comes next."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from loomready.app.progress import overview
from loomready.app.state.snapshot import open_room


def home(request: HttpRequest) -> HttpResponse:
    room = open_room()
    shown = {
        "title": _("Home"),
        "room": room,
        "looms": overview.looms(room),
        "walk": overview.walk(room),
        "day": overview.next_day(room),
    }
    return render(request, "app/home.html", shown)

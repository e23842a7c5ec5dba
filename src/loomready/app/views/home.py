"""Home: each loom with its warp, what is short, what comes next."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from loomready.app import progress
from loomready.app.room import open_room


def home(request: HttpRequest) -> HttpResponse:
    room = open_room()
    shown = {
        "title": _("Home"),
        "room": room,
        "looms": progress.looms(room),
        "walk": progress.walk(room),
        "day": progress.next_day(room),
    }
    return render(request, "app/home.html", shown)

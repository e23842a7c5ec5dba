"""Home: each loom with its warp, what is short, what comes next."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from loomready.app.progress import overview
from loomready.app.progress.day_sheet import day_sheet, lead_label
from loomready.app.state.snapshot import current_snapshot


def home(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    sheet = day_sheet(snapshot)
    shown = {
        "title": _("Home"),
        "snapshot": snapshot,
        "sheet": sheet,
        "lead": lead_label(sheet.leads) if sheet.leads else "",
        "walk": overview.walk(snapshot),
        "day": overview.next_day(snapshot),
    }
    return render(request, "app/home.html", shown)

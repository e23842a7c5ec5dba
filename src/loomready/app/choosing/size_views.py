"""The size that the shelf allows: show each size, use one in the plan."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from loomready.app.changes import history
from loomready.app.changes.saving import entry_or_404, refuse
from loomready.app.choosing.size_page import fitted, size_page
from loomready.app.choosing.use_choice import gone, take
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput


def size(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    address = reverse("choosing-size", args=[key])
    if request.method == "POST":
        return _taken(request, key)
    shown = {
        "title": _("Size"),
        "entry": entry,
        "page": size_page(
            snapshot, key, address, _asked(request.GET.get("repeats"), request.GET.get("sets"))
        ),
        "changes": history.of_record("warps", key, 3),
        "step": "size",
    }
    return render(request, "choosing/size.html", shown)


def _taken(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    asked = _asked(request.POST.get("repeats"), request.POST.get("sets"))
    address = reverse("choosing-size", args=[key])
    try:
        found = fitted(snapshot, key)
    except BadInput as error:
        return refuse(request, error.line(), address, 422)
    for each in found.sizes:
        if (each.repeats, each.sets) == asked:
            return take(
                request, snapshot, key, found.order, found.order_of(each), reverse("warps-plan", args=[key])
            )
    return gone(request, address)


def _asked(repeats: str | None, sets: str | None) -> tuple[int, int] | None:
    if repeats and sets and all(text.isdecimal() and len(text) < 8 for text in (repeats, sets)):
        return int(repeats), int(sets)
    return None

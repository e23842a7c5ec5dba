"""Stripes proposed for a warp: look at them, take one into the plan."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from loomready.app.changes.saving import entry_or_404, refuse
from loomready.app.choosing.stripes_page import proposals, stripes_page
from loomready.app.choosing.use_choice import gone, take
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput


def stripes(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    address = reverse("choosing-stripes", args=[key])
    if request.method != "POST":
        shown = {"title": _("Stripes"), "entry": entry, "page": stripes_page(snapshot, key, request.GET)}
        return render(request, "choosing/stripes.html", shown)
    try:
        found = proposals(snapshot, key, request.POST)
    except BadInput as error:
        return refuse(request, error.line(), address, 422)
    before = next(order for order in snapshot.guild.warps if order.key == key)
    for each in found:
        if each.kind == request.POST.get("kind"):
            there = reverse("warps-plan", args=[key])
            return take(request, snapshot, key, before, each.plan.order, there)
    return gone(request, address)

"""What if: changes to a warp tried beside what is saved. The address holds them until one is kept."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from loomready.app.changes import history
from loomready.app.changes.saving import entry_or_404
from loomready.app.drafts import draft_preview
from loomready.app.state.snapshot import current_snapshot
from loomready.app.warps import what_if


@require_GET
def what_if_page(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    asked = request.GET.get("plans", "")
    tries = what_if.TRIES if asked == str(what_if.TRIES + 1) else 1
    plans = what_if.plans(snapshot, key, request.GET.dict(), tries)
    shown: dict[str, Any] = {
        "title": _("Try changes"),
        "key": key,
        "entry": entry,
        "plans": [
            {
                "tried": each,
                "cloth": _cloth(each),
                "changed": history.changed(snapshot, "warps", key, each.before, each.after),
            }
            for each in plans
        ],
        "tries": tries,
        "asked": len(plans),
        "most": what_if.TRIES + 1,
        "differ": any(each.differs for each in plans),
    }
    return render(request, "app/what_if.html", shown)


def _cloth(tried: what_if.Tried) -> draft_preview.Picture | None:
    """The cloth of a plan that is not saved, held for the page."""
    if tried.sheet is None or tried.sheet.cloth is None:
        return None
    made = tried.sheet.cloth
    return draft_preview.keep(made.png, made.width, made.height)

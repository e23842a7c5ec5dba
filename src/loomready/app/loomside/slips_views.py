"""A warp's plan changed to the slips that stay on the loom; the test weave itself is a job's page."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from loomready.app.changes.saving import refuse, stale, version_of, who
from loomready.app.loomside import slips_marks, slips_plan
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput


@require_http_methods(["GET", "POST"])
def plan_it_so(request: HttpRequest, key: str) -> HttpResponse:
    """The slips that are left become the plan: what that means, and the change itself."""
    snapshot = current_snapshot()
    there = snapshot.plan_of(key)
    entry = snapshot.entry("warps", key)
    if there is None or there.plan is None or entry is None:
        raise Http404
    here = reverse("loomside-job", args=[key, slips_marks.NAME])
    offers = slips_plan.offers(snapshot, there)
    if request.method == "POST":
        chosen = next((each for each in offers if each.choice.kind == request.POST.get("choice")), None)
        if chosen is None:
            return refuse(request, _("There is nothing left to change."), here, 422)
        try:
            slips_plan.take(snapshot, there, chosen, version_of(request) or 0, who(request))
        except store.Conflict:
            return stale(request, here)
        except BadInput as error:
            return refuse(request, error.line(), here, 422)
        return redirect(here)
    shown = {
        "title": _("Change the plan instead"),
        "warp": key,
        "here": here,
        "offers": offers,
        "version": entry.version,
    }
    return render(request, "loomside/slips_plan.html", shown)

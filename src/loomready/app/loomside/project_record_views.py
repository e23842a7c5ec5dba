"""Project records: a page for each warp, all of them together, and applying what was learned to a plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from loomready.app.changes import history
from loomready.app.changes.saving import clash, refuse, remove, save, version_of, who
from loomready.app.forms import fields
from loomready.app.loomside import (
    project_record,
    project_record_form,
    project_record_offers,
    project_record_prefill,
    project_record_summary,
)
from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.problems import BadInput


def all_records(request: HttpRequest) -> HttpResponse:
    """Every warp that was told of, and those that could be."""
    snapshot = current_snapshot()
    told = [
        (entry.key, project_record.result_of(entry.key, entry.fields))
        for entry in project_record.records(snapshot)
    ]
    rows = [
        {
            "key": key,
            "loom": _loom(snapshot, result.loom),
            "figures": project_record_summary.figures(snapshot, result),
        }
        for key, result in told
    ]
    keys = {key for key, _result in told}
    open_ones = [order.key for order in snapshot.guild.warps if order.key not in keys]
    shown = {"title": _("Project record"), "rows": rows, "open_ones": open_ones}
    return render(request, "loomside/project_records.html", shown)


def record(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry, planned = project_record.entry_of(snapshot, key), snapshot.plan_of(key)
    plan: dict[str, Any]
    if entry is not None:
        plan = entry.fields["plan"]
    elif planned is not None and planned.plan is not None:
        plan = project_record.context_of(planned.plan)
    elif planned is not None:
        return refuse(request, _("This warp has no plan yet; plan it first."), f"/warps/{key}", 422)
    else:
        raise Http404
    form = project_record_form.form_of(snapshot, plan, entry.fields if entry else {})
    if request.method == "POST":
        fields.take(form, request.POST.dict())
        made = project_record_form.table_of(form, plan)
        answer = save(
            request, form, project_record.KIND, key, made, lambda: redirect("loomside-record", key=key)
        )
        if answer is not None:
            return answer
    else:
        project_record_prefill.fill(form, snapshot, key, plan, request.GET.dict())
    figures = (
        project_record_summary.figures(snapshot, project_record.result_of(key, entry.fields)) if entry else []
    )
    shown = {
        "title": _("Project record of %(warp)s") % {"warp": snapshot.name("warps", key)},
        "warp": key,
        "there": planned is not None,
        "form": form,
        "groups": project_record_form.groups(form, {"weighed": _weighed(snapshot, plan)}),
        "entry": entry,
        "loom": _loom(snapshot, plan["loom"]),
        "structure": project_record.structure_said(plan["structure"]),
        "figures": figures,
        "changes": history.of_record(project_record.KIND, key, 6),
    }
    return render(request, "loomside/project_record.html", shown, status=422 if form.wrong else 200)


def _loom(snapshot: Snapshot, key: str) -> str:
    return next((loom.name for loom in snapshot.guild.looms if loom.key == key), key)


def _weighed(snapshot: Snapshot, plan: Mapping[str, Any]) -> str:
    """What the shelf's last two weighings of a cone say it lost."""
    told = project_record_summary.lost(snapshot, [*plan["warp_ends"], *plan["weft_yarns"]])
    if not told:
        return _("Yarn used: weigh the cones before and after.")
    return _("The shelf's last weighings: %(cones)s.") % {"cones": "; ".join(told)}


def record_remove(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, project_record.KIND, key, "loomside-records")


@require_POST
def learned(request: HttpRequest, key: str) -> HttpResponse:
    """Take one offer: what other warps taught goes into this plan (or its loom, or a yarn)."""
    snapshot = current_snapshot()
    planned = snapshot.plan_of(key)
    if planned is None or planned.plan is None:
        raise Http404
    offer = project_record_offers.offer_named(snapshot, planned.plan, request.POST.get("offer", ""))
    entry = snapshot.entry(offer.kind, offer.key) if offer else None
    if offer is None or entry is None or request.POST.get("value") != offer.value:
        return refuse(
            request, _("The results have changed in the meantime; check them again."), f"/warps/{key}"
        )
    made = project_record_offers.changed(entry, offer)
    version = version_of(request) if offer.kind == "warps" else entry.version
    try:
        store.write(offer.kind, offer.key, made, version=version or 0, who=who(request))
    except store.Conflict as conflict:
        return clash(request, offer.kind, offer.key, made, conflict)
    except BadInput as error:
        return refuse(request, error.line(), f"/warps/{key}", 422)
    return redirect("warps-plan", key=key)

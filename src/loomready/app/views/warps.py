"""Warps: the list, and the planning page, where every change updates the plan."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST
from django_htmx.http import HttpResponseClientRedirect

from loomready.app import printing
from loomready.app.changes import change_guard, history, versions
from loomready.app.changes.saving import (
    clash,
    entry_or_404,
    name_answer,
    refuse,
    remove,
    save,
    seen,
    stale,
    version_of,
    who,
)
from loomready.app.forms import fields, form_check, stripes_form, warp_form
from loomready.app.loomside import project_record_offers
from loomready.app.media.pictures import cloth
from loomready.app.media.web_strip import VIEWS
from loomready.app.progress import overview
from loomready.app.progress.warp_list import warp_list
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.app.warps import planning, weft_used, whole_stripes, wound_cones
from loomready.phrases import phrase
from loomready.problems import BadInput


def warps_page(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    made = warp_list(snapshot, request.GET.dict())
    shown = {"title": _("Warps"), "list": made, "order": snapshot.entry("order", "warps")}
    return render(request, "app/warps.html", shown)


def new(request: HttpRequest) -> HttpResponse:
    """A new warp: what, on which loom, how wide, how long; the rest can wait for the planning page."""
    snapshot = current_snapshot()
    missing = [stage for stage in overview.stages(snapshot)[:-1] if not stage.done]
    if missing:
        return render(request, "app/warp_missing.html", {"title": _("New warp"), "missing": missing})
    form = planning.new_form(snapshot, request.GET.get("loom", ""), request.GET.get("draft", ""))
    if request.method == "POST":
        fields.take(form, request.POST)
        named = fields.new_name(form, snapshot.names("warps"))
        made = planning.new_table(snapshot, form, named)
        if made is not None:
            key = named.key
            answer = save(request, form, "warps", key, made, lambda: redirect("warps-plan", key=key))
            if answer is not None:
                return answer
    shown = {"title": _("New warp"), "form": form}
    return render(request, "app/warp_new.html", shown, status=422 if form.wrong else 200)


@require_GET
def new_name(request: HttpRequest) -> HttpResponse:
    return name_answer(request, current_snapshot().names("warps"))


def plan(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    form = warp_form.form_of(snapshot, entry.fields)
    if request.method == "POST":
        posted = request.POST.dict()
        warp_form.take(form, posted)
        made = warp_form.table_of(snapshot, form, entry.fields, posted)
        if (what := stripes_form.asked(posted, "stripes")[0]) in whole_stripes.FITS:
            made = whole_stripes.fit(snapshot, key, made, form, what)
        if form_check.check("warps", made, form) and planning.tried(snapshot, key, made, form):
            guard = change_guard.against(snapshot, key, made)
            if guard is not None and not posted.get("sure"):
                asked = tuple((name, posted[name]) for name in ("more", "less", "stripe") if name in posted)
                version = version_of(request) or entry.version
                return _show(request, key, form, version, replace(guard, asked=asked))
            if guard is not None and posted["sure"] == "new":
                return _another(request, key, made)
            answer = save(request, form, "warps", key, made, lambda: _answer(request, key, form))
            if answer is not None:
                return answer
    return _show(request, key, form, version_of(request) or entry.version)


def _another(request: HttpRequest, key: str, made: dict[str, Any]) -> HttpResponse:
    """Save the changed warp as another warp, and go to its page."""
    snapshot = current_snapshot()
    table = change_guard.another(snapshot, key, made)
    try:
        store.write("warps", table["key"], table, version=None, who=who(request))
    except BadInput as error:
        return refuse(request, error.line(), f"/warps/{key}", 422)
    there = reverse("warps-plan", args=[table["key"]])
    return HttpResponseClientRedirect(there) if request.htmx else redirect(there)  # type: ignore[attr-defined]


def _answer(request: HttpRequest, key: str, typed: fields.Form | None = None) -> HttpResponse:
    """The page with the plan after a change; beside the fields, how the typed values were read."""
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("warps-plan", key=key)
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    form = warp_form.form_of(snapshot, entry.fields, request.POST.dict())
    for each in typed or ():
        if each.understood and each.name in form.fields:
            form.change(each.name, understood=each.understood)
    return _show(request, key, form, entry.version)


def _show(
    request: HttpRequest,
    key: str,
    form: fields.Form,
    version: int,
    against: change_guard.Against | None = None,
) -> HttpResponse:
    """The planning page; ``version`` is the one that stands in the form's fields.

    ``against``: what is wound already and keeps the form from being saved unasked
    """
    snapshot = current_snapshot()
    view = request.GET.get("strip", request.POST.get("strip", "bouts"))
    shown = {
        "title": snapshot.name("warps", key),
        "form": form,
        "groups": warp_form.groups_of(form),
        "entry": entry_or_404(snapshot, "warps", key),
        "version": version,
        "progress": snapshot.entry("progress", key),
        "sheet": planning.sheet(snapshot, key, view if view in VIEWS else "bouts"),
        "changes": history.of_record("warps", key, 4),
        "against": against,
        "learned": project_record_offers.of_warp(snapshot, key),
        "wound_from": versions.wound_from(snapshot, key),
        "winding": wound_cones.of_warp(snapshot, key),
        "print_sheets": printing.SHEET_LABELS.items(),
        "early": weft_used.cut_early(snapshot, snapshot.plan_of(key)),
    }
    htmx: Any = request.htmx  # type: ignore[attr-defined]
    status = 422 if (form.wrong or against) and not htmx else 200
    return render(request, "app/_plan.html" if htmx else "app/plan.html", shown, status=status)


@require_POST
def remedy(request: HttpRequest, key: str) -> HttpResponse:
    """Apply a remedy."""
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    made = planning.remedied(snapshot, key, request.POST.get("code", ""), request.POST.get("says", ""))
    if made is None:
        return refuse(request, _("The plan has changed in the meantime; check it again."), f"/warps/{key}")
    guard, sure = change_guard.against(snapshot, key, made), request.POST.get("sure")
    if guard is not None and not sure:
        asked = tuple((name, request.POST.get(name, "")) for name in ("code", "says"))
        form = warp_form.form_of(snapshot, entry.fields)
        return _show(request, key, form, entry.version, replace(guard, asked=asked, remedy=True))
    if guard is not None and sure == "new":
        return _another(request, key, made)
    try:
        store.write("warps", key, made, version=version_of(request) or 0, who=who(request))
    except store.Conflict as conflict:
        return clash(request, "warps", key, made, conflict)
    except BadInput as error:
        return refuse(request, error.line(), f"/warps/{entry.key}", 422)
    return _answer(request, key)


@require_POST
def step(request: HttpRequest, key: str) -> HttpResponse:
    """Mark the progress of the warp."""
    snapshot, back = current_snapshot(), f"/warps/{key}"
    try:
        seen(request, snapshot, "progress", key)
        planning.tick(snapshot, key, request.POST.get("step", ""), who(request))
    except BadInput as error:
        return refuse(request, error.line(), back)
    except store.Conflict:
        return stale(request, back)
    return redirect("warps-plan", key=key)


@require_POST
def wound_from(request: HttpRequest, key: str) -> HttpResponse:
    """Correct which cones gave the ends of a wound warp."""
    snapshot = current_snapshot()
    entry_or_404(snapshot, "warps", key)
    try:
        wound_cones.change(snapshot, key, request.POST.dict(), version_of(request) or 0, who(request))
    except store.Conflict:
        return refuse(
            request, _("Somebody changed this warp in the meantime. Open it again."), f"/warps/{key}"
        )
    except BadInput as error:
        return refuse(request, phrase("{message}.", message=error.line()), f"/warps/{key}", 422)
    return redirect("warps-plan", key=key)


@require_POST
def cut_early(request: HttpRequest, key: str) -> HttpResponse:
    """The cloth was cut off after the picks reported: the rest of its weft is on the shelf."""
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    early = weft_used.cut_early(snapshot, snapshot.plan_of(key))
    if early is None:
        return refuse(request, _("The plan has changed in the meantime; check it again."), f"/warps/{key}")
    try:
        made = entry.fields | early.fields
        store.write("warps", key, made, version=version_of(request) or 0, who=who(request))
    except store.Conflict:
        return stale(request, f"/warps/{key}")
    return redirect("warps-plan", key=key)


@require_POST
def move(request: HttpRequest, key: str) -> HttpResponse:
    """Let a warp take yarn before or after others."""
    snapshot = current_snapshot()
    try:
        seen(request, snapshot, "order", "warps")
        planning.move(snapshot, key, request.POST.get("to", ""), who(request))
    except BadInput as error:
        return refuse(request, error.line(), "warps")
    except store.Conflict:
        return stale(request, "warps")
    return redirect("warps")


def remove_warp(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "warps", key, "warps")


@require_GET
def picture(request: HttpRequest, key: str, name: str) -> HttpResponse:
    """The cloth of the plan; its address includes its content, so a browser may cache it."""
    planned = current_snapshot().plan_of(key)
    if planned is None or planned.plan is None:
        raise Http404
    made = cloth(planned.plan)
    if name != made.name:
        made = cloth(planned.plan, whole=True)
    if name != made.name:
        raise Http404
    response = HttpResponse(made.png, "image/png")
    response["Cache-Control"] = "private, max-age=604800, immutable"
    return response


@require_GET
def whole_cloth(request: HttpRequest, key: str) -> HttpResponse:
    """The whole width of the cloth: fitted to the page, and true to size to scroll along."""
    planned = current_snapshot().plan_of(key)
    if planned is None or planned.plan is None:
        raise Http404
    shown = {"title": planned.order.name, "cloth": cloth(planned.plan, whole=True), "key": key}
    return render(request, "app/cloth.html", shown)

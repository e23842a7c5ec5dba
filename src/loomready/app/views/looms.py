"""Looms and reeds."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from loomready.app.changes import change_guard
from loomready.app.changes.saving import entry_or_404, kept_as, remove, save
from loomready.app.forms import fields
from loomready.app.progress import overview
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.model.guild import MAX_SHAFTS

LOOM = ("name", "kind", "shafts", "treadles", "weaving_width", "longest_reed", "gauge", "waste", "heddles")
REED = ("key", "dents", "width")


def looms_page(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    reeds = [
        (reed.key, snapshot.show.dents(reed.dents_per_cm), snapshot.show.width(reed.width_mm))
        for reed in snapshot.guild.reeds
    ]
    shown = {
        "title": _("Looms"),
        "looms": overview.looms(snapshot),
        "reeds": reeds,
        "onward": overview.onward(snapshot, request.path),
    }
    return render(request, "app/looms.html", shown)


def loom(request: HttpRequest, key: str = "") -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "looms", key) if key else None
    before = entry.fields if entry else {"kind": "jack", "shafts": 4, "heddles": [100]}
    form = fields.make("looms", LOOM, before, snapshot.guild.units)
    form.change("name", needed=True)
    form.change("heddles", help=_("one number for all shafts, or one for each, shaft 1 first: 90 90 60 60"))
    form.change(
        "waste",
        help=_("warp that cannot be woven: the knots at the front, and what is left behind the heddles"),
    )
    form.change("shafts", help=_("of a rigid heddle loom: its heddles"))
    hanging: tuple[change_guard.Touched, ...] = ()
    if request.method == "POST":
        fields.take(form, request.POST)
        made = fields.table("looms", form, before)
        _same_on_each(made)
        if not form["name"].text:
            form.change("name", error=_("Is missing; expected a name for this loom"))
        elif fields.equal(form["name"].text, (each.name for each in snapshot.guild.looms if each.key != key)):
            form.change("name", error=_("There is already a loom with this name; expected another name"))
        new = key or fields.slug(form["name"].text, {each.key for each in snapshot.guild.looms})
        made = {"key": new} | made
        if fields.check("looms", made, form):
            hanging = _hanging(request, snapshot, "looms", new, made)
            answer = None if hanging else save(request, form, "looms", new, made, lambda: redirect("looms"))
            if answer is not None:
                return answer
    shown = {"title": _("Loom"), "form": form, "entry": entry, "kind": "loom", "hanging": hanging}
    return render(request, "app/loom.html", shown, status=422 if form.wrong or hanging else 200)


def _hanging(
    request: HttpRequest, snapshot: Snapshot, kind: str, key: str, made: dict[str, Any]
) -> tuple[change_guard.Touched, ...]:
    """The wound warps that the change contradicts, unless it was confirmed."""
    return () if request.POST.get("sure") else change_guard.touched(snapshot, kind, key, made)


def _same_on_each(made: dict[str, Any]) -> None:
    """One number of heddles counts for every shaft."""
    heddles, shafts = made.get("heddles"), made.get("shafts")
    if isinstance(heddles, list) and len(heddles) == 1 and isinstance(shafts, int):
        made["heddles"] = heddles * min(shafts, MAX_SHAFTS)


def reed(request: HttpRequest, key: str = "") -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "reeds", key) if key else None
    before = entry.fields if entry else {}
    names = REED[1:] if entry else REED
    form = fields.make("reeds", names, before, snapshot.guild.units)
    if not entry:
        form.change("key", help=_("what is written on it, like 12-dent"), echo=reverse("looms-reed-name"))
    hanging: tuple[change_guard.Touched, ...] = ()
    if request.method == "POST":
        fields.take(form, request.POST)
        if not entry:
            fields.name_key(form, (each.key for each in snapshot.guild.reeds))
        made = fields.table("reeds", form, before)
        if fields.check("reeds", made, form):
            new = key or made["key"]
            hanging = _hanging(request, snapshot, "reeds", new, made)
            answer = None if hanging else save(request, form, "reeds", new, made, lambda: redirect("looms"))
            if answer is not None:
                return answer
    shown = {"title": _("Reed"), "form": form, "entry": entry, "kind": "reed", "hanging": hanging}
    return render(request, "app/loom.html", shown, status=422 if form.wrong or hanging else 200)


@require_GET
def reed_name(request: HttpRequest) -> HttpResponse:
    return kept_as(request, (each.key for each in current_snapshot().guild.reeds))


def remove_loom(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "looms", key, "looms")


def remove_reed(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "reeds", key, "looms")

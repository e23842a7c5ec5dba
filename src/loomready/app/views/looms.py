"""Looms and reeds."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from loomready.app.changes.saving import name_answer, remove
from loomready.app.forms import fields
from loomready.app.progress import overview
from loomready.app.state.snapshot import current_snapshot
from loomready.app.views.record_form import record_form
from loomready.model.guild import MAX_SHAFTS

LOOM = (
    "name",
    "kind",
    "shafts",
    "treadles",
    "direct_tie_up",
    "weaving_width",
    "longest_reed",
    "longest_warp",
    "gauge",
    "pick_up_sticks",
    "waste",
    "front_waste",
    "heddles",
    "beam_around",
    "section_width",
    "sections",
    "beams",
    "notes",
)
REED = ("name", "dents", "width")
NEW_REED = ("key", "dents", "width")


def looms_page(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    reeds = [
        (reed.key, reed.name, snapshot.show.dents(reed.dents_per_cm), snapshot.show.width(reed.width_mm))
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
    page = record_form(request, "looms", key, LOOM, {"kind": "jack", "shafts": 4, "heddles": [100]})
    form = page.form
    form.change("name", needed=True)
    form.change("heddles", help=_("one number for all shafts, or one for each, shaft 1 first: 90 90 60 60"))
    form.change(
        "waste",
        help=_("warp that cannot be woven: the knots at the front, and what is left behind the heddles"),
    )
    form.change("beam_around", help=_("around the bare warp beam; the turns of the beam are counted from it"))
    form.change("section_width", help=_("of a sectional beam; empty: a plain beam"))
    form.change("sections", help=_("empty: as many as the weaving width holds"))
    form.change("beams", help=_("2: it holds a second warp"))
    form.change("shafts", help=_("of a rigid heddle loom: its heddles"))
    if request.method == "POST":
        made = page.take()
        _same_on_each(made)
        new = page.named(
            _("Is missing; expected a name for this loom"),
            _("There is already a loom with this name; expected another name"),
            {each.key: each.name for each in page.snapshot.guild.looms},
        )
        made = {"key": new} | made
        if page.checked(made) and (answer := page.saved(made, "looms")):
            return answer
    return page.shown("app/loom.html", _("Loom"), kind="loom")


def _same_on_each(made: dict[str, Any]) -> None:
    """One number of heddles counts for every shaft."""
    heddles, shafts = made.get("heddles"), made.get("shafts")
    if isinstance(heddles, list) and len(heddles) == 1 and isinstance(shafts, int):
        made["heddles"] = heddles * min(shafts, MAX_SHAFTS)


def reed(request: HttpRequest, key: str = "") -> HttpResponse:
    page = record_form(request, "reeds", key, REED if key else NEW_REED, {})
    if key:
        page.form.change("name", text=page.form["name"].text or key, needed=True)
    else:
        page.form.change(
            "key", help=_("what is written on it, like 12-dent"), echo=reverse("looms-reed-name")
        )
    if request.method == "POST":
        made = page.take()
        if key:
            made = page.renamed(made)
        else:
            made = fields.new_name(page.form, page.snapshot.names("reeds")).into(made)
        if page.checked(made) and (answer := page.saved(made, "looms")):
            return answer
    return page.shown("app/loom.html", _("Reed"), kind="reed")


@require_GET
def reed_name(request: HttpRequest) -> HttpResponse:
    return name_answer(request, current_snapshot().names("reeds"))


def remove_loom(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "looms", key, "looms")


def remove_reed(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "reeds", key, "looms")

"""The shelf: yarns, cones, weighing."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from loomready.app.changes.saving import (
    entry_or_404,
    refuse,
    remove,
    seen,
    stale,
    version_of,
    who,
)
from loomready.app.cones import cone_ledger, shelf, shelf_list, weighing_mistakes
from loomready.app.forms import count_form, fields
from loomready.app.progress import overview
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.app.views.record_form import RecordForm, record_form
from loomready.app.warps import weft_used
from loomready.guildfile.texts import day_of_text
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.yarn.dates_taken import day_of

YARN = ("name", "fiber", "color", "count", "grist", "tex", "wraps", "tolerance", "price", "notes")
CONE = ("yarn", "name", "lot", "gross", "tare", "scale_step", "weighed", "flaws", "notes")
WEIGH = ("gross", "weighed", "tare", "scale_step")


def shelf_page(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    made = shelf_list.shelf_list(snapshot, request.GET.dict())
    shown = {
        "title": _("Shelf"),
        "list": made,
        "arrange": made.can_move and "arrange" in request.GET,
        "order": snapshot.entry("order", "yarns"),
        "onward": overview.onward(snapshot, request.path),
    }
    return render(request, "app/shelf.html", shown)


@require_POST
def move_yarn(request: HttpRequest, key: str) -> HttpResponse:
    """Put a yarn before or after others in the list."""
    snapshot, back = current_snapshot(), f"{reverse('shelf')}?arrange=yes"
    try:
        seen(request, snapshot, "order", "yarns")
        shelf_list.move(snapshot, key, request.POST.get("to", ""), who(request))
    except BadInput as error:
        return refuse(request, error.line(), back)
    except store.Conflict:
        return stale(request, back)
    return redirect(f"{back}#{key}")


def yarn(request: HttpRequest, key: str = "") -> HttpResponse:
    like = current_snapshot().entry("yarns", request.GET["like"]) if "like" in request.GET else None
    begun: dict[str, Any] = {"color": "#c8beaf"}
    if like is not None:
        begun = {name: value for name, value in like.fields.items() if name != "key"}
    page = record_form(request, "yarns", key, YARN, begun)
    form, snapshot = page.form, page.snapshot
    form.change("name", needed=True)
    us = snapshot.guild.units == "us"
    form.change(
        "price",
        unit="/lb" if us else "/kg",
        help=_("by the lb, oz, kg or 100 g: like 14 /lb")
        if us
        else _("by the kg, 100 g or g: like 6 /100 g"),
    )
    measured: dict[str, Any] = page.before.get("measured", {})
    sample = fields.make("measured", ("length", "weight"), measured, snapshot.guild.units, "measured_")
    form.fields.update(sample.fields)
    for name in sample.fields:
        form.change(name, label=fields.LABELS[name], needed=False)
    if request.method == "POST":
        made = page.take()
        made.pop("measured", None)
        laid_out = fields.table("measured", form, measured, "measured_")
        if laid_out.keys() & {"length", "weight"}:
            made["measured"] = laid_out
        new = page.named(
            _("Is missing; expected a name for this yarn"),
            _("There is already a yarn with this name; expected another name"),
            {each.key: each.name for each in snapshot.guild.yarns},
        )
        made = {"key": new} | made
        if page.checked(made) and (answer := page.saved(made, "shelf")):
            return answer
    about_count = count_form.tell(form, snapshot.show)
    first = "" if like is None else "name"
    return page.shown("app/yarn.html", _("Yarn"), first=first, about_count=about_count)


def cone(request: HttpRequest, key: str = "") -> HttpResponse:
    """A new cone, or everything about one there is."""
    new = {"yarn": request.GET.get("yarn", ""), "weighed": date.today().isoformat(), "tare": "38 g"}
    page = record_form(request, "cones", key, CONE, new)
    form, snapshot = page.form, page.snapshot
    if not snapshot.guild.yarns:
        return redirect("shelf-yarn-new")
    _units_of_scale(form, page.before)
    yarns = tuple((each.key, each.name) for each in snapshot.guild.yarns)
    form.change(
        "yarn",
        kind="choice",
        choices=yarns if key or len(yarns) == 1 else (("", _("choose the yarn")), *yarns),
    )
    if snapshot.guild.units == "metric":
        form.change("flaws", label=_("Knots and weak spots: none seen, or like 2 /100 m"))
    form.change("name", placeholder=snapshot.usual_name("cones", key))
    heavier = None
    if request.method == "POST":
        made = page.take()
        if form["name"].text:
            made = page.renamed(made)
        weighed = not key or made.get("gross") != page.before.get("gross")
        made = {"key": key or shelf.new_cone_key(snapshot, form["yarn"].text)} | made
        made = _at_this_minute(made) if weighed else made
        if not form["yarn"].text:
            form.change("yarn", error=_("Is missing; expected the yarn on this cone"))
        if page.checked(made):
            heavier = _heavier(page, made)
            more = _woven_since(page, made) if weighed else ()
            if not heavier and (answer := page.saved(made, "shelf", more)):
                return answer
    return page.shown("app/cone.html", _("Cone"), heavier=heavier, weighings=weighing_mistakes.listed(key))


def weigh(request: HttpRequest, key: str) -> HttpResponse:
    """Weigh-in: the number on the scale and Enter; tare, scale and today's date are there already."""
    page = record_form(request, "cones", key, WEIGH, {})
    form, snapshot, last = page.form, page.snapshot, page.before
    page.before = last | {"weighed": date.today().isoformat()}
    form.change("weighed", text=page.before["weighed"])
    _units_of_scale(form, last)
    form.change("gross", text="", help=_("last time %(gross)s") % {"gross": last["gross"]})
    heavier = None
    if request.method == "POST":
        made = _at_this_minute(page.take())
        if page.checked(made) and _in_order(form, made, last):
            heavier = _heavier(page, made)
            if not heavier and (answer := page.saved(made, "shelf", _woven_since(page, made))):
                return answer
        elif form["tare"].error and made.get("tare") == last["tare"]:
            # The empty cone was weighed long ago: the number just typed is the wrong one.
            less = _("Is less than the empty cone, %(tare)s; expected yarn and cone together")
            form.change("gross", error=less % {"tare": made["tare"]})
            form.change("tare", error="")
    cone_now = next(each for each in snapshot.guild.cones if each.key == key)
    return page.shown(
        "app/weigh.html",
        _("Weigh"),
        yarn=snapshot.guild.yarn(cone_now.yarn),
        heavier=heavier,
        weighings=weighing_mistakes.listed(key),
    )


def _woven_since(page: RecordForm, made: dict[str, Any]) -> tuple[store.Write, ...]:
    """What warps on the loom took of the yarn until this weighing, written with it."""
    return tuple(weft_used.at_weighing(page.snapshot, made["yarn"], made.get("weighed")))


def _in_order(form: fields.Form, made: dict[str, Any], before: dict[str, Any]) -> bool:
    """Whether the day of a weighing is past, and no earlier than that of the weighing before it."""
    now = _day(made.get("weighed"))
    last = _day(before.get("weighed"))
    says = ""
    if now is not None and now > date.today():
        says = _("This day is still to come; expected today or an earlier day")
    elif now is not None and last is not None and now < last:
        says = _(
            "This cone was weighed on %(day)s; expected that day or a later one. If that weighing is wrong, "
            "mark it as a mistake first"
        ) % {"day": last.isoformat()}
    if says:
        form.change("weighed", error=says)
    return not says


def _day(text: object) -> date | None:
    return day_of(day_of_text(str(text))) if text else None


def _at_this_minute(made: dict[str, Any]) -> dict[str, Any]:
    """The cone's table; weighed today means now, so that takings of the same day are told apart."""
    if made.get("weighed") != date.today().isoformat():
        return made
    return made | {"weighed": datetime.now().isoformat()}


def mistake(request: HttpRequest, key: str) -> HttpResponse:
    """Mark a weighing as a mistake, with the right weight or without."""
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "cones", key)
    wrong = (request.POST.get("day", ""), request.POST.get("was", ""), request.POST.get("tare", ""))
    form = fields.make("cones", ("gross",), entry.fields, snapshot.guild.units)
    _units_of_scale(form, entry.fields)
    form.change("gross", text=request.POST.get("right", "").strip(), needed=False)
    right = str(fields.table("cones", form, {}).get("gross", ""))
    if form.wrong:
        return refuse(request, form["gross"].error, "shelf", 422)
    # The weighing is named by what it said; a page's version tells too whether the cone is still as shown.
    if version_of(request) not in (None, entry.version):
        return stale(request, f"/shelf/cone/{key}/weigh")
    try:
        weighing_mistakes.mark(snapshot, entry, wrong, right, who=who(request))
    except store.Conflict:
        return refuse(request, _("Somebody changed this cone in the meantime. Open it again."), "shelf")
    except BadInput as error:
        return refuse(request, phrase("{message}.", message=error.line()), "shelf", 422)
    return redirect("shelf-weigh", key)


def cone_ledger_page(request: HttpRequest, key: str) -> HttpResponse:
    """Weighings and takings of one cone in order."""
    snapshot = current_snapshot()
    entry_or_404(snapshot, "cones", key)
    shown = {"title": _("Ledger"), "ledger": cone_ledger.of_cone(snapshot, key)}
    return render(request, "app/ledger.html", shown)


def _heavier(page: RecordForm, made: dict[str, Any]) -> shelf.ConeRow | None:
    """The cone as it was, if it is heavier now and this was not confirmed."""
    if page.request.POST.get("sure") == "heavier":
        return None
    return shelf.weighed_before(page.snapshot, made)


def _units_of_scale(form: fields.Form, before: dict[str, Any]) -> None:
    """The unit that the scale showed last; grams for the rest."""
    last = str(before.get("gross", "")).split()
    unit = last[-1] if len(last) == 2 else "g"
    for name in ("gross", "tare", "scale_step"):
        if name in form.fields:
            form.change(name, unit=unit if name == "gross" else "g")


def remove_yarn(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "yarns", key, "shelf")


def remove_cone(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "cones", key, "shelf")

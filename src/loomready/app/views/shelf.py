"""The shelf: yarns, cones, weighing."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from loomready.app.changes import change_guard
from loomready.app.changes.saving import (
    entry_or_404,
    in_progress,
    refuse,
    remove,
    save,
    stale,
    version_of,
    who,
)
from loomready.app.cones import cone_ledger, shelf, weighing_mistakes
from loomready.app.forms import count_form, fields, search_box
from loomready.app.progress import overview
from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.app.warps import woven_note
from loomready.guildfile.texts import day_of_text
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.yarn.taken import day_of

YARN = ("name", "fiber", "color", "count", "grist", "tex", "wraps", "tolerance", "price")
CONE = ("yarn", "lot", "gross", "tare", "scale_step", "weighed", "flaws")
WEIGH = ("gross", "weighed", "tare", "scale_step")


def shelf_page(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    sought = search_box.sought(request, shelf.rows(snapshot), shelf.names)
    shown = {
        "title": _("Shelf"),
        "sought": sought,
        "rows": sought.found,
        "onward": overview.onward(snapshot, request.path),
    }
    return render(request, "app/shelf.html", shown)


def yarn(request: HttpRequest, key: str = "") -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "yarns", key) if key else None
    before: dict[str, Any] = entry.fields if entry else {"color": "#c8beaf"}
    system = snapshot.guild.units
    form = fields.make("yarns", YARN, before, system)
    form.change("name", needed=True)
    measured: dict[str, Any] = before.get("measured", {})
    form.fields.update(fields.make("measured", ("length", "weight"), measured, system, "measured_").fields)
    for name in ("measured_length", "measured_weight"):
        form.change(name, label=fields.LABELS[name], needed=False)
    if request.method == "POST":
        fields.take(form, request.POST)
        made = fields.table("yarns", form, before)
        made.pop("measured", None)
        sample = fields.table("measured", form, measured, "measured_")
        if sample.keys() & {"length", "weight"}:
            made["measured"] = sample
        if not form["name"].text:
            form.change("name", error=_("Is missing; expected a name for this yarn"))
        elif fields.equal(form["name"].text, (each.name for each in snapshot.guild.yarns if each.key != key)):
            form.change("name", error=_("There is already a yarn with this name; expected another name"))
        new = key or fields.slug(form["name"].text, {each.key for each in snapshot.guild.yarns})
        made = {"key": new} | made
        if fields.check("yarns", made, form):
            if not request.POST.get("sure") and (
                touched := change_guard.touched(snapshot, "yarns", new, made)
            ):
                return in_progress(request, touched, f"/shelf/yarn/{new}")
            answer = save(request, form, "yarns", new, made, lambda: redirect("shelf"))
            if answer is not None:
                return answer
    about_count = count_form.tell(form, snapshot.show)
    shown = {"title": _("Yarn"), "form": form, "about_count": about_count, "entry": entry}
    return render(request, "app/yarn.html", shown, status=422 if form.wrong else 200)


def cone(request: HttpRequest, key: str = "") -> HttpResponse:
    """A new cone, or everything about one there is."""
    snapshot = current_snapshot()
    if not snapshot.guild.yarns:
        return redirect("shelf-yarn-new")
    entry = entry_or_404(snapshot, "cones", key) if key else None
    before: dict[str, Any] = (
        entry.fields
        if entry
        else {"yarn": request.GET.get("yarn", ""), "weighed": date.today().isoformat(), "tare": "38 g"}
    )
    form = _cone_form(CONE, before, snapshot.guild.units)
    choices = tuple((each.key, each.name) for each in snapshot.guild.yarns)
    form.change("yarn", kind="choice", choices=choices)
    heavier = None
    if request.method == "POST":
        fields.take(form, request.POST)
        made = fields.table("cones", form, before)
        new = key or shelf.new_cone_key(snapshot, form["yarn"].text)
        weighed = not key or made.get("gross") != before.get("gross")
        made = {"key": new} | (_at_this_minute(made) if weighed else made)
        if fields.check("cones", made, form):
            heavier = _heavier(request, snapshot, made)
            notes = woven_note.at_weighing(snapshot, made["yarn"], made.get("weighed")) if weighed else ()
            answer = heavier or save(request, form, "cones", new, made, lambda: redirect("shelf"), notes)
            if isinstance(answer, HttpResponse):
                return answer
    shown = {
        "title": _("Cone"),
        "form": form,
        "entry": entry,
        "heavier": heavier,
        "weighings": weighing_mistakes.listed(key),
    }
    return render(request, "app/cone.html", shown, status=422 if form.wrong or heavier else 200)


def weigh(request: HttpRequest, key: str) -> HttpResponse:
    """Weigh-in: the number on the scale and Enter; tare, scale and today's date are there already."""
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "cones", key)
    before = entry.fields | {"weighed": date.today().isoformat()}
    form = _cone_form(WEIGH, before, snapshot.guild.units)
    form.change("gross", text="", help=_("last time %(gross)s") % {"gross": entry.fields["gross"]})
    heavier = None
    if request.method == "POST":
        fields.take(form, request.POST)
        made = fields.table("cones", form, before)
        made = _at_this_minute(made)
        if fields.check("cones", made, form) and _in_order(form, made, entry.fields):
            heavier = _heavier(request, snapshot, made)
            notes = woven_note.at_weighing(snapshot, made["yarn"], made.get("weighed"))
            answer = heavier or save(request, form, "cones", key, made, lambda: redirect("shelf"), notes)
            if isinstance(answer, HttpResponse):
                return answer
        elif form["tare"].error and made.get("tare") == entry.fields["tare"]:
            # The empty cone was weighed long ago: the number just typed is the wrong one.
            less = _("Is less than the empty cone, %(tare)s; expected yarn and cone together")
            form.change("gross", error=less % {"tare": made["tare"]})
            form.change("tare", error="")
    cone_now = next(each for each in snapshot.guild.cones if each.key == key)
    shown = {
        "title": _("Weigh"),
        "form": form,
        "entry": entry,
        "yarn": snapshot.guild.yarn(cone_now.yarn),
        "heavier": heavier,
        "weighings": weighing_mistakes.listed(key),
    }
    return render(request, "app/weigh.html", shown, status=422 if form.wrong or heavier else 200)


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
    form = _cone_form(("gross",), entry.fields, snapshot.guild.units)
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


def _heavier(request: HttpRequest, snapshot: Snapshot, made: dict[str, Any]) -> shelf.ConeRow | None:
    """The cone as it was, if it is heavier now and this was not confirmed."""
    return None if request.POST.get("sure") == "heavier" else shelf.weighed_before(snapshot, made)


def _cone_form(names: tuple[str, ...], before: dict[str, Any], system: str) -> fields.Form:
    form = fields.make("cones", names, before, system)
    last = str(before.get("gross", "")).split()
    unit = last[-1] if len(last) == 2 else "g"  # the scale that was used last
    for name in ("gross", "tare", "scale_step"):
        if name in form.fields:
            form.change(name, unit=unit if name == "gross" else "g")
    return form


def remove_yarn(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "yarns", key, "shelf")


def remove_cone(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "cones", key, "shelf")

"""The pages of stands and classes: what there is on the days of an event."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from loomready.app.changes.saving import remove
from loomready.app.event import stand_form
from loomready.app.event.event_form import day_rows, rows_asked
from loomready.app.event.when import day_said, span_said
from loomready.app.forms import fields
from loomready.app.state.snapshot import current_snapshot
from loomready.app.views.record_form import RecordForm, record_form
from loomready.guildfile.event_schema import CLASSES, STANDS
from loomready.model.event import Opening
from loomready.units import System


@require_GET
def stands(request: HttpRequest) -> HttpResponse:
    """What there is on the days: stands and classes."""
    guild = current_snapshot().guild
    names = {order.key: order.name for order in guild.warps}
    shown = {
        "title": _("Stands and classes"),
        "stands": [
            (each.key, each.name, names.get(each.warp or "", ""), _said(each.hours, guild.units))
            for each in guild.stands
        ],
        "classes": [(each.key, each.name, _said((each.time,), guild.units)) for each in guild.classes],
    }
    return render(request, "event/stands.html", shown)


def _said(hours: tuple[Opening, ...], units: System) -> str:
    return "; ".join(
        f"{day_said(each.start.date(), units)}, {span_said(each.start, each.end, units)}" for each in hours
    )


def stand(request: HttpRequest, key: str = "") -> HttpResponse:
    """A place of the event where people show something."""
    page = record_form(request, "stands", key, stand_form.STAND, {})
    posted = request.POST.dict()
    rows = rows_asked(len(page.before.get("hours", ())), (name for name in posted if name.startswith("day-")))
    stand_form.add_stand_fields(page.form, page.snapshot, page.before, rows)
    if request.method == "POST":
        fields.take(page.form, posted)
        said = {
            "hours": stand_form.hours_of(page.form) or None,
            "touch": stand_form.touch_of(page.form),
        }
        made = _named(page, said, _("Is missing; expected the name of the stand"))
        made = {each.name: made[each.name] for each in STANDS.keys if each.name in made}
        if page.checked(made) and (answer := page.saved(made, "event-stands")):
            return answer
    plain = [page.form[name] for name in (*stand_form.STAND, "touch")]
    return page.shown(
        "event/stand.html",
        _("Stand"),
        new=_("A new stand"),
        back=reverse("event-stands"),
        remove=reverse("event-stand-remove", args=[key]) if key else "",
        plain=plain,
        days=day_rows(page.form),
    )


def lesson(request: HttpRequest, key: str = "") -> HttpResponse:
    """A class of the event."""
    page = record_form(request, "classes", key, stand_form.LESSON, {})
    posted = request.POST.dict()
    rows = rows_asked(
        len(page.before.get("materials", ())),
        (name for name in posted if name.endswith("-yarn")),
        stand_form.FEWEST_MATERIALS,
    )
    stand_form.add_lesson_fields(page.form, page.snapshot, page.before, rows)
    if request.method == "POST":
        fields.take(page.form, posted)
        time = stand_form.hours_of(page.form)
        if not time and not page.form["day-1"].error:
            page.form.change("day-1", error=_("Is missing; expected the day of the class"))
        said: dict[str, Any] = {
            "time": time[0] if time else None,
            "materials": stand_form.materials_of(page.form) or None,
        }
        made = _named(page, said, _("Is missing; expected the name of the class"))
        made = {each.name: made[each.name] for each in CLASSES.keys if each.name in made}
        if page.checked(made) and (answer := page.saved(made, "event-stands")):
            return answer
    return page.shown(
        "event/class.html",
        _("Class"),
        new=_("A new class"),
        back=reverse("event-stands"),
        remove=reverse("event-class-remove", args=[key]) if key else "",
        plain=[page.form[name] for name in stand_form.LESSON],
        time=day_rows(page.form)[0],
        materials=stand_form.material_rows(page.form),
    )


def _named(page: RecordForm, said: dict[str, Any], missing: str) -> dict[str, Any]:
    """The record's table with its key, its name, and what is said beside its plain fields; None: not said."""
    plain = fields.table(page.kind, page.form, page.before)
    taken = _("There is already one with this name; expected another name")
    key = page.named(missing, taken, page.snapshot.names(page.kind))
    made = {name: value for name, value in plain.items() if name not in said}
    made |= {name: value for name, value in said.items() if value is not None}
    return fields.with_name({"key": key} | made, fields.one_line(page.form["name"].text))


def remove_stand(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "stands", key, "event-stands")


def remove_lesson(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "classes", key, "event-stands")

"""The records of an event: the event itself, who helps, pace, what the shop sells."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from loomready.app.changes.saving import refuse, remove, save, who
from loomready.app.event import event_form, person_form
from loomready.app.event.hours_read import lines_of, understood
from loomready.app.event.own_hours import may_fill_in, not_own
from loomready.app.event.people_list import rows
from loomready.app.event.usual_week import usual_week
from loomready.app.forms import fields
from loomready.app.i18n.words import sentence
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, current_snapshot
from loomready.app.views.record_form import RecordForm, record_form
from loomready.model.event import WORK
from loomready.phrases import word

PACE = (*WORK[:5], "spread", "sure")
SHOP = ("yarn", "weight", "price")


def about(request: HttpRequest) -> HttpResponse:
    """The event: its days, when all has to be ready, its warps."""
    page = _single(request, "event")
    only_date = page.snapshot.entry("day", "next") if page.entry is None else None
    if only_date is not None:
        page.before = {"name": only_date.fields["name"], "days": [only_date.fields["date"]]}
    posted = request.POST.dict()
    page.form = event_form.form_of(
        page.before, page.snapshot.guild.units, event_form.rows_for(page.before, posted)
    )
    chosen: list[str] | None = page.before.get("warps")
    if request.method == "POST":
        fields.take(page.form, posted)
        chosen = None if "all-warps" in posted else request.POST.getlist("warps")
        made = event_form.table(page.form, page.before, chosen)
        if page.checked(made) and (answer := _saved_single(page, "event", made)):
            if only_date is not None:
                store.remove("day", only_date.key, version=only_date.version, who=who(request))
            return answer
    return page.shown(
        "event/about.html",
        _("Event"),
        new=_("A new event"),
        back=reverse("home" if page.entry is None else "event"),
        remove=reverse("event-about-remove"),
        days=event_form.day_rows(page.form),
        warps=event_form.warp_ticks(page.snapshot, chosen),
        all_warps=chosen is None,
        ready=[page.form[name] for name in ("ready-day", "ready-hour")],
        plain=[page.form[name] for name in ("name", "pack_time", "slot")],
    )


def pace(request: HttpRequest) -> HttpResponse:
    """How fast the guild works."""
    page = _single(request, "pace")
    page.form = fields.make("pace", PACE, page.before, page.snapshot.guild.units)
    for job in WORK:
        if job in page.form.fields:
            page.form.change(job, label=sentence(word(job)))
    page.form.change("spread", help=_("how much the hours of a job differ from one time to the next"))
    page.form.change("sure", help=_("so many of the jobs keep to the hours that are planned"))
    if request.method == "POST":
        made = page.take()
        if page.checked(made) and (answer := _saved_single(page, "pace", made)):
            return answer
    return page.shown("event/pace.html", _("Pace"))


def _single(request: HttpRequest, kind: str) -> RecordForm:
    """The form of a record of which there is one, or none yet."""
    snapshot = current_snapshot()
    entry: Entry | None = snapshot.entry(kind, kind)
    return RecordForm(request, snapshot, kind, entry, entry.fields if entry else {}, fields.Form())


def _saved_single(page: RecordForm, kind: str, made: dict[str, Any]) -> HttpResponse | None:
    return save(page.request, page.form, kind, kind, made, lambda: redirect("event"))


def remove_event(request: HttpRequest) -> HttpResponse:
    return remove(request, "event", "event", "home")


def person(request: HttpRequest, key: str = "") -> HttpResponse:
    """Somebody who helps: all about this person, for keepers."""
    page = _person_page(request, key)
    skills = person_form.skills_of(page.before)
    if request.method == "POST":
        fields.take(page.form, request.POST)
        said = person_form.skills_posted(request.POST)
        skills = person_form.skills_of(said)
        made = person_form.take_hours(page.form, page.before)
        new = page.named(
            _("Is missing; expected the name of somebody who helps"),
            _("There is already somebody with this name; expected another name"),
            page.snapshot.names("people"),
        )
        made = fields.with_name({"key": new} | made, fields.one_line(page.form["name"].text))
        made = person_form.in_order({**made, "can": None, "learning": None} | said)
        if page.checked(made) and (answer := page.saved(made, "event-people")):
            return answer
    return _shown(page, skills=skills)


def own_hours(request: HttpRequest, key: str) -> HttpResponse:
    """The hours of one person, which a helper may fill in too, for this person only."""
    page = _person_page(request, key)
    own = may_fill_in(request, page.snapshot, key)
    if request.method == "POST":
        if not own:
            return refuse(request, not_own(request), "event-people", 403)
        page.form.fields = {name: page.form[name] for name in ("most", "hours")}
        fields.take(page.form, request.POST)
        made = person_form.in_order(person_form.take_hours(page.form, page.before))
        if page.checked(made) and (answer := page.saved(made, "event")):
            return answer
    return _shown(page, only_hours=True, own=own, not_own="" if own else not_own(request))


def _person_page(request: HttpRequest, key: str) -> RecordForm:
    page = record_form(request, "people", key, (), {})
    before = page.before if "name" in page.before or not key else page.before | {"name": key}
    page.form = person_form.form_of(before, page.snapshot.guild.units)
    return page


def _shown(page: RecordForm, **more: Any) -> HttpResponse:
    typed = lines_of(page.form["hours"].text)
    return page.shown(
        "event/person.html",
        _("Person"),
        read=understood(page.snapshot, typed),
        week=usual_week(),
        event=page.snapshot.guild.event,
        **more,
    )


def remove_person(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "people", key, "event-people")


@require_GET
def read_hours(request: HttpRequest) -> HttpResponse:
    """What is understood of the hours that are being typed."""
    read = understood(current_snapshot(), lines_of(request.GET.get("hours", "")))
    return render(request, "event/_understood.html", {"read": read})


@require_GET
def people(request: HttpRequest) -> HttpResponse:
    """Everybody who helps, with what they can and their hours."""
    snapshot = current_snapshot()
    shown = {"title": _("People"), "people": rows(request, snapshot), "event": snapshot.guild.event}
    return render(request, "event/people.html", shown)


def shop_cone(request: HttpRequest, key: str = "") -> HttpResponse:
    """A full cone that a shop sells."""
    page = record_form(request, "shop", key, SHOP, {"yarn": request.GET.get("yarn", "")})
    guild = page.snapshot.guild
    if not guild.yarns:
        return redirect("shelf-yarn-new")
    page.form.change("yarn", kind="choice", choices=tuple((each.key, each.name) for each in guild.yarns))
    page.form.change("weight", help=_("of the yarn on one full cone"))
    page.form.change("price", unit=guild.currency or "", help=_("of one cone"))
    if request.method == "POST":
        made = page.take()
        taken = {each.key for each in guild.shop}
        made = {"key": key or fields.free_key(page.form["yarn"].text, taken)} | made
        if page.checked(made) and (answer := page.saved(made, "event-shop")):
            return answer
    return page.shown("event/shop_cone.html", _("Cone to buy"))


def remove_shop_cone(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "shop", key, "event-shop")


@require_GET
def shop(request: HttpRequest) -> HttpResponse:
    """What the shop sells."""
    snapshot = current_snapshot()
    guild = snapshot.guild
    cones = [
        (each.key, guild.yarn(each.yarn), snapshot.show.weight(each.weight_g), f"{each.price:.2f}")
        for each in guild.shop
    ]
    return render(
        request, "event/shop.html", {"title": _("Shop"), "cones": cones, "currency": guild.currency}
    )

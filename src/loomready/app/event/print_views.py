"""What is printed or taken along: the order list, sheets for the wall and for each person, calendars."""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from pathlib import Path

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_POST

from loomready.app import background, printing
from loomready.app.changes.saving import entry_or_404, refuse, who
from loomready.app.event import clock, planning
from loomready.app.event.session_rows import Day, days_of
from loomready.app.event.when import moment_said
from loomready.app.i18n.words import READERS
from loomready.app.sharing import devices
from loomready.app.state import agreed_plan
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.app.views.drafts import download
from loomready.event.plan_event import EventPlan
from loomready.event.slots import ready_by
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.report.event_calendar import calendar_now, write_calendars
from loomready.report.money import money

_one_writer = threading.Lock()

SHEET_LABELS = {
    "wall-chart": gettext_lazy("Wall chart on one large sheet"),
    "wall-chart-pages": gettext_lazy("Wall chart on several sheets"),
    "people": gettext_lazy("List for each person"),
    "rota": gettext_lazy("Rota of the days"),
    "kits": gettext_lazy("Kits of the classes"),
    "packing": gettext_lazy("Packing lists"),
    "signs": gettext_lazy("Signs"),
    "signs-half": gettext_lazy("Signs on half sheets"),
}


@dataclass(frozen=True, slots=True)
class OrderLine:
    """A kind of cone to buy."""

    cones: int
    yarn: str
    color: tuple[int, int, int]
    weight: str
    cost: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """The sessions of one person, day by day."""

    name: str
    days: tuple[Day, ...]


def _made(snapshot: Snapshot) -> tuple[planning.Planning, EventPlan] | None:
    """The plan as it stands, or the last one while another is made; None: there is none."""
    if snapshot.guild.event is None:
        return None
    made = planning.planning(snapshot, clock.now())
    plan = made.plan or planning.latest(made)
    return None if plan is None else (made, plan)


@require_GET
def order_list(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    found = _made(snapshot)
    if found is None:
        return redirect("event")
    _planning, plan = found
    guild, currency = snapshot.guild, snapshot.guild.currency
    lines = [
        OrderLine(
            each.cones,
            guild.yarn(each.cone.yarn).name,
            guild.yarn(each.cone.yarn).color,
            snapshot.show.weight(each.cone.weight_g),
            money(each.cost, currency),
        )
        for each in plan.allotment.buy
    ]
    shown = {
        "title": _("Order list"),
        "lines": lines,
        "whole": money(plan.allotment.cost, currency),
        "event": plan.event,
        "guild": guild,
    }
    return render(request, "event/order_list.html", shown)


@require_GET
def person_sheets(request: HttpRequest) -> HttpResponse:
    """A sheet for each person with something to do."""
    snapshot = current_snapshot()
    found = _made(snapshot)
    if found is None:
        return redirect("event")
    made, plan = found
    days = days_of(snapshot, plan, made.done.shares, clock.now())
    sheets = [Sheet(person.name, _own(days, person.key)) for person in plan.guild.people]
    shown = {
        "title": _("Sheets for each person"),
        "sheets": [sheet for sheet in sheets if sheet.days],
        "event": plan.event,
        "guild": snapshot.guild,
        "ready": moment_said(ready_by(plan.event), snapshot.guild.units),
    }
    return render(request, "event/person_sheets.html", shown)


@require_POST
def sheet(request: HttpRequest, name: str) -> HttpResponse:
    """A sheet of the event as a PDF, laid out in the background."""
    if name not in SHEET_LABELS:
        raise Http404
    found = _made(current_snapshot())
    if found is None:
        return redirect("event")
    _planning, plan = found
    by_whom = who(request)
    try:
        printing.enter(by_whom)
    except BadInput as error:
        return refuse(request, phrase("{message}.", message=error.line()), reverse("event"), 429)

    def work(job: background.Job) -> bytes | None:
        try:
            made = printing.event_sheet(plan, name, lambda: job.tell(0, 1))
        finally:
            printing.leave(by_whom)
        if not made:
            raise BadInput(_("nothing stands on this sheet yet"))
        return made

    says = _("Laying out a sheet: %s") % SHEET_LABELS[name]
    job = background.Job(says, f"{name}.pdf", "application/pdf", reverse("event"))
    return redirect("work", token=background.start(job, work))


def _own(days: tuple[Day, ...], person: str) -> tuple[Day, ...]:
    own = ((day, tuple(row for row in day.rows if person in row.session.people)) for day in days)
    return tuple(Day(day.day, day.label, day.said, day.here, rows) for day, rows in own if rows)


@require_GET
def calendar(request: HttpRequest, key: str) -> HttpResponse:
    """The sessions that one person was told, as a calendar; before anybody was told any, those planned.

    Calendars are kept in the home, so that a later one updates and cancels what an earlier one held.
    """
    snapshot = current_snapshot()
    person = entry_or_404(snapshot, "people", key)
    found = _made(snapshot)
    if found is None:
        return redirect("event")
    with _one_writer:
        paths = write_calendars(_told(snapshot, found[1]), Path(settings.HOME) / "calendars", READERS)
    data = next(
        path for path in paths if path.stem == person.key and path.parent.name == "people"
    ).read_bytes()
    return download(data, f"{person.key}.ics", "text/calendar; charset=utf-8")


@require_GET
def subscribed(request: HttpRequest, key: str, token: str) -> HttpResponse:
    """A person's calendar as it stands, for the calendar program of a device that subscribes to it."""
    snapshot = current_snapshot()
    if not devices.may_subscribe(token, key):
        return redirect("sharing-join")
    person = entry_or_404(snapshot, "people", key)
    found = _made(snapshot)
    if found is None:
        raise Http404
    data = calendar_now(_told(snapshot, found[1]), person.key, READERS)
    return HttpResponse(data, "text/calendar; charset=utf-8")


def _told(snapshot: Snapshot, plan: EventPlan) -> EventPlan:
    """The plan with the sessions that people were told; before that, with those planned."""
    told = agreed_plan.sessions(snapshot)
    sessions = plan.sessions if told is None else told
    return replace(plan, sessions=tuple(each for each in sessions if each.warp in plan.allotment.places))

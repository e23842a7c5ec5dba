"""Sheets to print: what to order at the shop, and each person's sessions."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from loomready.app.event import clock, planning
from loomready.app.event.session_rows import Day, days_of
from loomready.app.event.when import moment_said
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.event.plan_event import EventPlan
from loomready.event.slots import ready_by


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
    guild, currency = snapshot.guild, snapshot.guild.currency or ""
    lines = [
        OrderLine(
            each.cones,
            guild.yarn(each.cone.yarn).name,
            guild.yarn(each.cone.yarn).color,
            snapshot.show.weight(each.cone.weight_g),
            f"{each.cost:.2f} {currency}".rstrip(),
        )
        for each in plan.allotment.buy
    ]
    shown = {
        "title": _("Order list"),
        "lines": lines,
        "whole": f"{plan.allotment.cost:.2f} {currency}".rstrip(),
        "event": plan.event,
        "guild": guild,
    }
    return render(request, "event/order_list.html", shown)


@require_GET
def slips(request: HttpRequest) -> HttpResponse:
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
    return render(request, "event/slips.html", shown)


def _own(days: tuple[Day, ...], person: str) -> tuple[Day, ...]:
    own = ((day, tuple(row for row in day.rows if person in row.session.people)) for day in days)
    return tuple(Day(day.day, day.label, day.said, day.here, rows) for day, rows in own if rows)

"""What the event's page shows of a plan: how things stand, what comes next, what is short, what to buy."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from django.urls import reverse
from django.utils.translation import gettext as _

from loomready.app.changes.by_name import name_then
from loomready.app.event.day_page import Kit, Now, Packed, RotaDay, kits_of, now_of, packing_of, rota_of
from loomready.app.event.picture import Picture, by_loom, by_person
from loomready.app.event.planning import Planning
from loomready.app.event.print_views import SHEET_LABELS
from loomready.app.event.session_rows import Day, SessionRow, days_of, row_of
from loomready.app.event.when import day_said, hours_said, listed_said, moment_said
from loomready.app.i18n.words import translated
from loomready.app.state import agreed_plan
from loomready.app.state.snapshot import Snapshot
from loomready.event.plan_event import EventPlan
from loomready.event.replan import Session
from loomready.packet.event_sheets import has_rows
from loomready.problems import Problem
from loomready.report.event_words import (
    how_sure_told,
    missing_told,
    proved_told,
    purchase_told,
    warps_ready_told,
    way_told,
)


@dataclass(frozen=True, slots=True)
class Next:
    """The one thing to do next: a button that goes somewhere, or one that agrees to the plan."""

    label: str
    goes: str
    agrees: bool = False


@dataclass(frozen=True, slots=True)
class WarpRow:
    """A warp of the event: where it is dressed, when it is ready, with how much spare time."""

    key: str
    name: str
    loom: str
    reed: str
    heddles: int
    ready: str
    spare: str


@dataclass(frozen=True, slots=True)
class PersonChanges:
    """What is different for one person, each session with its day."""

    name: str
    no_longer: tuple[tuple[str, SessionRow], ...]
    new: tuple[tuple[str, SessionRow], ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """``told``: when people were told a plan, "" if they were not; ``same``: it is this one.

    ``unreported``: told sessions that are over and count as done, for nothing of their warp is reported.
    ``sheets``: what can be printed, by name and label.
    """

    says: tuple[str, ...]
    next: Next | None
    days: tuple[Day, ...]
    warps: tuple[WarpRow, ...]
    looms: Picture
    people: Picture
    buy: tuple[str, ...]
    problems: tuple[tuple[str, str], ...]
    short: tuple[str, ...]
    ways: tuple[str, ...]
    changes: tuple[PersonChanges, ...]
    told: str
    same: bool
    unreported: tuple[SessionRow, ...]
    sheets: tuple[tuple[str, str], ...]
    now: Now | None
    rota: tuple[RotaDay, ...]
    kits: tuple[Kit, ...]
    packing: tuple[Packed, ...]


def page_of(snapshot: Snapshot, made: Planning, plan: EventPlan, now: datetime, *, edits: bool) -> PlanPage:
    """The page of a plan.

    :param edits: whether the reader may agree to it
    """
    days = days_of(snapshot, plan, made.done.shares, now)
    same = plan.changes is not None and not plan.changes
    named = _named(snapshot, plan)
    return PlanPage(
        tuple(_says(named)),
        _next(plan, days, same=same, edits=edits),
        days,
        tuple(_warps(snapshot, plan)),
        by_loom(snapshot, plan, now),
        by_person(snapshot, plan, now),
        tuple(translated(purchase_told(plan, each)) for each in plan.allotment.buy),
        tuple((problem.level, _problem(snapshot, plan, problem)) for problem in plan.problems),
        tuple(translated(missing_told(plan, each)) for each in plan.lacking),
        tuple(translated(way_told(named, way)) for way in plan.ways),
        tuple(_changes(snapshot, plan)),
        _told(snapshot),
        same,
        tuple(
            replace(made_row, when=f"{day_said(each.start.date(), snapshot.guild.units)} {made_row.when}")
            for each in made.done.told or ()
            if each.end <= now
            for made_row in (row_of(snapshot, plan, each),)
        ),
        tuple((name, f"{label}") for name, label in SHEET_LABELS.items() if has_rows(plan, name)),
        now_of(plan, now),
        tuple(rota_of(plan)),
        tuple(kits_of(plan)),
        tuple(packing_of(plan)),
    )


def _named(snapshot: Snapshot, plan: EventPlan) -> EventPlan:
    """The plan with the names of warps in place of their keys, for sentences."""
    chains = tuple(replace(each, warp=snapshot.name("warps", each.warp)) for each in plan.work.chains)
    return replace(plan, work=replace(plan.work, chains=chains))


def _problem(snapshot: Snapshot, plan: EventPlan, problem: Problem) -> str:
    """What falls short; the warps that are not ready by their names."""
    if problem.code != "not-ready":
        return str(translated(problem.message))
    return _("Not ready in time: %s.") % listed_said([snapshot.name("warps", key) for key in plan.left_out])


def _says(plan: EventPlan) -> Iterator[str]:
    if not plan.allotment.places and not plan.left_out:
        until = moment_said(plan.ready_by, plan.guild.units)
        yield _("No warp is planned yet; all has to be ready by %s") % until
        return
    yield translated(warps_ready_told(plan))
    sure = how_sure_told(plan)
    if sure is not None:
        yield translated(sure)
    yield translated(proved_told(plan))


def _next(plan: EventPlan, days: tuple[Day, ...], *, same: bool, edits: bool) -> Next | None:
    """Who helps is asked first; then the plan is told; then the work goes on."""
    if not plan.guild.people:
        return Next(_("Add who helps"), reverse("event-person-new")) if edits else None
    if not plan.allotment.places and not plan.left_out:
        return Next(_("Plan a warp"), reverse("warps-new")) if edits else None
    if days and not same and edits:
        label = _("Tell everybody this plan") if plan.changes is None else _("Tell everybody the changes")
        return Next(label, reverse("event-agree"), agrees=True)
    if days:
        row = days[0].rows[0]
        return Next(_("%(warp)s: %(job)s") % {"warp": row.warp, "job": row.job}, row.goes)
    return None


def _warps(snapshot: Snapshot, plan: EventPlan) -> Iterator[WarpRow]:
    ready = {plan.work.chains[chain].warp: chain for chain in plan.found.worth.ready}
    for key, place in plan.allotment.places.items():
        chain = ready.get(key)
        yield WarpRow(
            key,
            snapshot.name("warps", key),
            snapshot.name("looms", place.loom),
            "" if place.reed is None else snapshot.name("reeds", place.reed),
            place.heddles_moved,
            "" if chain is None else moment_said(plan.ready_at(chain), snapshot.guild.units),
            "" if chain is None else hours_said(plan.spare_h(chain)),
        )


def _changes(snapshot: Snapshot, plan: EventPlan) -> Iterator[PersonChanges]:
    def rows(sessions: tuple[Session, ...]) -> tuple[tuple[str, SessionRow], ...]:
        return tuple(
            (day_said(each.start.date(), snapshot.guild.units), row_of(snapshot, plan, each))
            for each in sessions
        )

    for each in plan.changes or ():
        yield PersonChanges(name_then(snapshot, "people", each.person), rows(each.no_longer), rows(each.new))


def _told(snapshot: Snapshot) -> str:
    """When people were told a plan; "" if they were not."""
    entry = agreed_plan.entry_of(snapshot)
    if entry is None:
        return ""
    return moment_said(datetime.fromisoformat(entry.fields["at"]), snapshot.guild.units)

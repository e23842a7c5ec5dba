"""Sessions of a plan for a person to read: when, who, at which loom, from which end to which."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.urls import reverse
from django.utils.translation import gettext as _

from loomready.app.event.reported import JOB_OF
from loomready.app.event.when import day_said, listed_said, long_day_said, span_said
from loomready.app.i18n.words import translated
from loomready.app.state.snapshot import Snapshot
from loomready.event.plan_event import EventPlan
from loomready.event.replan import Session
from loomready.event.work.problem import ONE, TWO
from loomready.model.event import Skill
from loomready.phrases import word

EVENING = 17  # o'clock
Shares = Mapping[tuple[str, Skill], float]


@dataclass(frozen=True, slots=True)
class SessionRow:
    """``ends``: "ends 1–180 of 336", of jobs that go end by end; ``goes``: the job beside its loom."""

    session: Session
    when: str
    warp: str
    job: str
    loom: str
    people: str
    ends: str
    goes: str


@dataclass(frozen=True, slots=True)
class Day:
    """``label``: "Tonight", "Tomorrow", or the day; ``said``: the day where ``label`` does not say it.

    ``here``: who is there, each once.
    """

    day: date
    label: str
    said: str
    here: str
    rows: tuple[SessionRow, ...]


def days_of(snapshot: Snapshot, plan: EventPlan, shares: Shares, now: datetime) -> tuple[Day, ...]:
    """The sessions that are not over, day by day."""
    ends = _ends(plan, shares)
    coming = [each for each in plan.sessions if each.end > now]
    found = dict.fromkeys(each.start.date() for each in coming)
    return tuple(
        _day(snapshot, plan, day, [each for each in coming if each.start.date() == day], ends, now)
        for day in found
    )


def _day(
    snapshot: Snapshot,
    plan: EventPlan,
    day: date,
    sessions: Sequence[Session],
    ends: Mapping[Session, str],
    now: datetime,
) -> Day:
    here = dict.fromkeys(one for each in sessions for one in each.people)
    label = _label(snapshot, day, sessions, now)
    return Day(
        day,
        label,
        "" if label == long_day_said(day, snapshot.guild.units) else day_said(day, snapshot.guild.units),
        listed_said([snapshot.name("people", one) for one in here]),
        tuple(row_of(snapshot, plan, each, ends.get(each, "")) for each in sessions),
    )


def _label(snapshot: Snapshot, day: date, sessions: Sequence[Session], now: datetime) -> str:
    evening = all(each.start.hour >= EVENING for each in sessions)
    if day == now.date():
        return _("Tonight") if evening else _("Today")
    if day == now.date() + timedelta(days=1):
        return _("Tomorrow evening") if evening else _("Tomorrow")
    return long_day_said(day, snapshot.guild.units)


def row_of(snapshot: Snapshot, plan: EventPlan, each: Session, ends: str = "") -> SessionRow:
    place = plan.allotment.places.get(each.warp)
    return SessionRow(
        each,
        span_said(each.start, each.end, snapshot.guild.units),
        snapshot.name("warps", each.warp),
        translated(word(each.job)),
        _where(snapshot, each, None if place is None else place.loom),
        listed_said([snapshot.name("people", one) for one in each.people]),
        ends,
        reverse("loomside-job", args=[each.warp, JOB_OF[each.job]]),
    )


def _where(snapshot: Snapshot, each: Session, loom: str | None) -> str:
    if each.job == "winding":
        return _("at the warping board")
    return "" if loom is None else snapshot.name("looms", loom)


def _ends(plan: EventPlan, shares: Shares) -> dict[Session, str]:
    """From which end to which each session goes, if the work is spread evenly over its hours."""
    made: dict[Session, str] = {}
    for warp, job in dict.fromkeys((each.warp, each.job) for each in plan.sessions):
        of_warp = plan.allotment.plans.get(warp)
        if job not in ("winding", "threading", "sleying") or of_warp is None:
            continue
        ends = of_warp.web.every_end if job == "winding" else of_warp.web.ends
        sessions = [each for each in plan.sessions if (each.warp, each.job) == (warp, job)]
        begun = shares.get((warp, job), 0.0)
        for each, (first, last) in zip(sessions, _parts(sessions, begun), strict=True):
            numbers = {"first": round(first * ends) + 1, "last": round(last * ends), "ends": ends}
            made[each] = _("ends %(first)d–%(last)d of %(ends)d") % numbers
    return made


def _parts(sessions: Iterable[Session], begun: float) -> list[tuple[float, float]]:
    """The share of the job at the beginning and at the end of each session."""
    weights = [(each.end - each.start) * _done_by(each) for each in sessions]
    whole, at, made = sum(weights, timedelta()), timedelta(), []
    for weight in weights:
        made.append((begun + (1 - begun) * (at / whole), begun + (1 - begun) * ((at + weight) / whole)))
        at += weight
    return made


def _done_by(each: Session) -> int:
    return TWO if each.job == "threading" and len(each.people) > 1 else ONE

"""Typed hours, line by line: what was not understood, and all the rest as dates."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from loomready.app.event import clock
from loomready.app.event.when import day_said, hours_said, moment_said, span_said
from loomready.app.forms.fields import trouble
from loomready.app.state.snapshot import Snapshot
from loomready.event.day.rota_problem import slots_of_days, touched
from loomready.event.hours_text import read_hours
from loomready.event.slots import Slots, ready_by, runs, slots_of
from loomready.guildfile.event_values import HoursText
from loomready.model.event import Event, Hours, Person

MOST_LINES = 400
MOST_SHOWN = 24
_HOURS = HoursText()

Span = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class Understood:
    """``wrong``: one sentence for each line that is not understood. ``says``: how often and how long;
    ``times``: each day with its hours. ``more``: times that are not listed. ``open_says``,
    ``open_times``: the same of the hours in which the event is open."""

    wrong: tuple[str, ...]
    says: str
    times: tuple[tuple[str, str], ...]
    more: int = 0
    open_says: str = ""
    open_times: tuple[tuple[str, str], ...] = ()


def lines_of(text: str) -> list[str]:
    """The rules typed, one a line; empty lines are left out."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def troubles(lines: Sequence[str]) -> tuple[str, ...]:
    """One sentence for each line that is not understood."""
    if len(lines) > MOST_LINES:
        return (_("There are more than %d lines; expected fewer") % MOST_LINES,)
    found = ((number, trouble(_HOURS, line)) for number, line in enumerate(lines, 1))
    return tuple(
        _("Line %(number)d: %(wrong)s") % {"number": number, "wrong": wrong}
        for number, wrong in found
        if wrong
    )


def understood(snapshot: Snapshot, lines: Sequence[str]) -> Understood:
    """The times before all has to be ready and while the event is open, as the plan counts them: whole slots,
    less those away."""
    units, event = snapshot.guild.units, snapshot.guild.event
    wrong = troubles(lines)
    if event is None or len(lines) > MOST_LINES:
        return Understood(wrong, "", ())
    hours = tuple(read_hours(line) for line in lines if not trouble(_HOURS, line))

    def said(spans: Sequence[Span]) -> tuple[tuple[str, str], ...]:
        return tuple((day_said(start.date(), units), span_said(start, end, units)) for start, end in spans)

    open_spans = _while_open(event, hours)
    open_says = _("%s while the event is open:") % _sum_said(open_spans) if open_spans else ""
    until = moment_said(ready_by(event), units)
    slots = slots_of(event, clock.now())
    spans = _spans(slots, slots.of(Person("someone", "", hours=hours)))
    if slots.first == slots.last:
        says = _("All has to be ready by %s; no time is left before it.") % until
    elif not spans:
        says = _("No time before %s yet.") % until if lines else ""
    else:
        says = _("%(hours)s before %(until)s:") % {"hours": _sum_said(spans), "until": until}
    more = max(0, len(spans) - MOST_SHOWN)
    return Understood(wrong, says, said(spans[:MOST_SHOWN]), more, open_says, said(open_spans))


def _while_open(event: Event, hours: tuple[Hours, ...]) -> list[Span]:
    """Hours on the event's days, as its rota counts them."""
    slots = slots_of_days(event)
    opened = {slot for day in event.days for slot in touched(slots, day)}
    return _spans(slots, slots.of(Person("someone", "", hours=hours)) & opened)


def _spans(slots: Slots, some: Iterable[int]) -> list[Span]:
    return [(slots.start_of(first), slots.start_of(last)) for first, last in runs(some)]


def _sum_said(spans: Iterable[Span]) -> str:
    return hours_said(sum((end - start).total_seconds() for start, end in spans) / 3600)

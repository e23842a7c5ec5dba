"""Typed hours, line by line: what was not understood, and all the rest as dates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from loomready.app.event import clock
from loomready.app.event.when import day_said, hours_said, moment_said, span_said
from loomready.app.forms.fields import trouble
from loomready.app.state.snapshot import Snapshot
from loomready.event.hours_text import read_hours
from loomready.event.slots import ready_by, runs, slots_of
from loomready.guildfile.event_values import HoursText
from loomready.model.event import Person

MOST_LINES = 400
MOST_SHOWN = 24
_HOURS = HoursText()


@dataclass(frozen=True, slots=True)
class Understood:
    """``wrong``: one sentence for each line that is not understood. ``says``: how often and how long;
    ``times``: each day with its hours. ``more``: times that are not listed."""

    wrong: tuple[str, ...]
    says: str
    times: tuple[tuple[str, str], ...]
    more: int = 0


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
    """The times before all has to be ready, as the plan counts them: whole slots, less those away."""
    units, event = snapshot.guild.units, snapshot.guild.event
    wrong = troubles(lines)
    if event is None or len(lines) > MOST_LINES:
        return Understood(wrong, "", ())
    until = moment_said(ready_by(event), units)
    slots = slots_of(event, clock.now())
    if slots.first == slots.last:
        return Understood(wrong, _("All has to be ready by %s; no time is left before it.") % until, ())
    hours = tuple(read_hours(line) for line in lines if not trouble(_HOURS, line))
    spans: list[tuple[datetime, datetime]] = [
        (slots.start_of(first), slots.start_of(last))
        for first, last in runs(slots.of(Person("someone", "", hours=hours)))
    ]
    if not spans:
        return Understood(wrong, _("No time before %s yet.") % until if lines else "", ())
    total = sum((end - start).total_seconds() for start, end in spans) / 3600
    says = _("%(hours)s before %(until)s:") % {"hours": hours_said(total), "until": until}
    shown = tuple((day_said(start.date(), units), span_said(start, end, units)) for start, end in spans)
    return Understood(wrong, says, shown[:MOST_SHOWN], max(0, len(shown) - MOST_SHOWN))

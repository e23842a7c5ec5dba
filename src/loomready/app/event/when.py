"""Days, times and hours of an event as the guild writes them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from django.utils.translation import gettext as _

from loomready.app.i18n.words import translated
from loomready.report.event_times import (
    day_and_date_told,
    day_and_time_told,
    long_day_told,
    span_told,
    time_told,
)
from loomready.units import System


def day_said(day: date, units: System) -> str:
    """A day with its weekday: "Tue Apr 6" or "Tue 6 Apr"."""
    return translated(day_and_date_told(day, units))


def long_day_said(day: date, units: System) -> str:
    return translated(long_day_told(day, units))


def time_said(moment: datetime, units: System) -> str:
    """A time of day: "6:30 p.m." or "18:30"."""
    return translated(time_told(moment, units))


def moment_said(moment: datetime, units: System) -> str:
    """A day and a time: "Fri May 7, 7 p.m."."""
    return translated(day_and_time_told(moment, units))


def span_said(start: datetime, end: datetime, units: System) -> str:
    """From when to when on one day: "6:30–9 p.m." or "18:30–21:00"."""
    return translated(span_told(start, end, units))


def hours_said(hours: float) -> str:
    """Hours to a quarter: "2.5 h"."""
    return _("%(hours)s h") % {"hours": f"{round(hours * 4) / 4:g}"}


def listed_said(names: Sequence[str]) -> str:
    """Names in a row: "Alder", "Alder and Elm", "Alder, Dill and Elm"."""
    if len(names) < 2:
        return "".join(names)
    return _("%(names)s and %(last)s") % {"names": ", ".join(names[:-1]), "last": names[-1]}

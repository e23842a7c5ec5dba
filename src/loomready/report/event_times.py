"""Days and times of an event as a wall sheet and a page write them: "Tue Apr 6, 6:30–9 p.m." or "6 Apr"."""

from __future__ import annotations

from datetime import date, datetime

from loomready.phrases import Phrase, phrase
from loomready.units import System

WEEKDAYS = (
    phrase("Mon"),
    phrase("Tue"),
    phrase("Wed"),
    phrase("Thu"),
    phrase("Fri"),
    phrase("Sat"),
    phrase("Sun"),
)
_MONTHS = (
    phrase("Jan"),
    phrase("Feb"),
    phrase("Mar"),
    phrase("Apr"),
    phrase("May"),
    phrase("Jun"),
    phrase("Jul"),
    phrase("Aug"),
    phrase("Sep"),
    phrase("Oct"),
    phrase("Nov"),
    phrase("Dec"),
)
_LONG_WEEKDAYS = (
    phrase("Monday"),
    phrase("Tuesday"),
    phrase("Wednesday"),
    phrase("Thursday"),
    phrase("Friday"),
    phrase("Saturday"),
    phrase("Sunday"),
)
_LONG_MONTHS = (
    phrase("January"),
    phrase("February"),
    phrase("March"),
    phrase("April"),
    phrase("May"),
    phrase("June"),
    phrase("July"),
    phrase("August"),
    phrase("September"),
    phrase("October"),
    phrase("November"),
    phrase("December"),
)


def weekday_told(day: date) -> Phrase:
    return WEEKDAYS[day.weekday()]


def date_told(day: date, units: System) -> Phrase:
    """A day of the year without its year: "Apr 6" or "6 Apr"."""
    month = _MONTHS[day.month - 1]
    if units == "us":
        return phrase("{month} {day}", month=month, day=day.day)
    return phrase("{day} {month}", day=day.day, month=month)


def long_day_told(day: date, units: System) -> Phrase:
    """A day in full: "Tuesday, April 6" or "Tuesday, 6 April"."""
    weekday, month = _LONG_WEEKDAYS[day.weekday()], _LONG_MONTHS[day.month - 1]
    if units == "us":
        return phrase("{weekday}, {month} {day}", weekday=weekday, month=month, day=day.day)
    return phrase("{weekday}, {day} {month}", weekday=weekday, month=month, day=day.day)


def day_and_date_told(day: date, units: System) -> Phrase:
    """A day with its weekday: "Tue Apr 6" or "Tue 6 Apr"."""
    return phrase("{weekday} {date}", weekday=weekday_told(day), date=date_told(day, units))


def day_and_time_told(moment: datetime, units: System) -> Phrase:
    """A day and a time: "Fri May 7, 7 p.m." or "Fri 7 May, 19:00"."""
    return phrase("{day}, {time}", day=day_and_date_told(moment.date(), units), time=time_told(moment, units))


def time_told(moment: datetime, units: System) -> Phrase:
    """A time of day: "6:30 p.m.", "noon" or "18:30"."""
    if units != "us":
        return phrase("{time}", time=f"{moment:%H:%M}")
    if not moment.minute and moment.hour in (0, 12):
        return phrase("noon") if moment.hour else phrase("midnight")
    return _of_half(moment, _clock(moment))


def span_told(start: datetime, end: datetime, units: System) -> Phrase:
    """From when to when on one day: "6:30–9 p.m." or "18:30–21:00"."""
    last = time_told(end, units)
    first: str | Phrase = time_told(start, units)
    plain = not (first == "noon" or first == "midnight" or last == "noon" or last == "midnight")
    if units == "us" and plain and (start.hour < 12) == (end.hour < 12):
        first = _clock(start)
    return phrase("{first}–{last}", first=first, last=last)


def _clock(moment: datetime) -> str:
    hour = moment.hour % 12 or 12
    return f"{hour}:{moment:%M}" if moment.minute else f"{hour}"


def _of_half(moment: datetime, clock: str) -> Phrase:
    if moment.hour < 12:
        return phrase("{clock} a.m.", clock=clock)
    return phrase("{clock} p.m.", clock=clock)

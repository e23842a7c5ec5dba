"""The days of work before an event side by side, as wide as their hours: the time axis of its pictures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from loomready.event.replan import Session
from loomready.model.event import Event

HOUR = timedelta(hours=1)
Runs = list[tuple[datetime, datetime]]
"""Hours of a day without a break each, in order."""


@dataclass(frozen=True, slots=True)
class Scale:
    """All in one unit of length.

    ``hour``: its width; ``gap``: between days of a week, and between hours of a day with none between them;
    ``week_gap``: between weeks; ``least``: of hours without a break; ``event_day``: a day of the event.
    """

    hour: float
    gap: float
    week_gap: float
    least: float
    event_day: float


@dataclass(frozen=True, slots=True)
class Span:
    """Hours of a day without a break, and where they lie."""

    start: datetime
    end: datetime
    left: float
    right: float
    hour: float


@dataclass(frozen=True, slots=True)
class Column:
    """A day: ``x`` its left edge; ``spans``: its hours with work, none on a day of the event itself."""

    day: date
    x: float
    width: float
    spans: tuple[Span, ...]

    @property
    def middle(self) -> float:
        return self.x + self.width / 2

    @property
    def right(self) -> float:
        return self.x + self.width

    @property
    def event(self) -> bool:
        return not self.spans


def days_with_work(sessions: Iterable[Session]) -> dict[date, Runs]:
    """The hours with work of each day, in order of time."""
    made: dict[date, Runs] = {}
    for each in sorted(sessions, key=lambda each: each.start):
        runs = made.setdefault(each.start.date(), [])
        if runs and each.start <= runs[-1][1]:
            runs[-1] = runs[-1][0], max(runs[-1][1], each.end)
        else:
            runs.append((each.start, each.end))
    return made


def work_columns(days: Mapping[date, Runs], left: float, scale: Scale) -> Iterator[Column]:
    """A column for each day with work."""
    x, before = left, None
    for day, runs in sorted(days.items()):
        if before is not None:
            x += scale.gap if same_week(before, day) else scale.week_gap
        spans = _spans(runs, x, scale)
        yield Column(day, x, spans[-1].right - x, spans)
        x, before = spans[-1].right, day


def event_columns(event: Event, left: float, scale: Scale) -> Iterator[Column]:
    """A column for each day of the event."""
    for day in sorted({each.start.date() for each in event.days}):
        yield Column(day, left, scale.event_day, ())
        left += scale.event_day + scale.gap


def same_week(one: date, other: date) -> bool:
    return one.isocalendar()[:2] == other.isocalendar()[:2]


def place_of(columns: Sequence[Column], moment: datetime) -> float | None:
    """Where a moment lies; None: no day of work has it."""
    for column in columns:
        for span in column.spans:
            if span.start <= moment <= span.end:
                return span.left + (moment - span.start) / HOUR * span.hour
    return None


def _spans(runs: Runs, x: float, scale: Scale) -> tuple[Span, ...]:
    made: list[Span] = []
    for start, end in runs:
        left = made[-1].right + scale.gap if made else x
        hours = (end - start) / HOUR
        width = max(scale.least, hours * scale.hour)
        made.append(Span(start, end, left, left + width, width / hours))
    return tuple(made)

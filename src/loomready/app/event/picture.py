"""The weeks before an event as a picture: a row for each loom or person, sessions as bars, the spare time.

Only days with work have a column, as wide as their hours; so evenings stay wide enough to be read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from loomready.app.event.when import day_said, hours_said, listed_said, span_said
from loomready.app.i18n.words import translated
from loomready.app.state.snapshot import Snapshot
from loomready.event.plan_event import EventPlan
from loomready.event.replan import Session
from loomready.phrases import word
from loomready.report.event_times import date_told, weekday_told
from loomready.report.work_days import Column, Scale, days_with_work, event_columns, place_of, work_columns

WIDEST, NARROWEST = 42, 24  # pixels of an hour
PAGE = 1265  # pixels that a page has room for
GAP, WEEK_GAP, DAY_WIDTH = 6, 16, 64
LEFT, TOP, ROW, BAR = 160, 42, 52, 40
INSET, LINE = 5, 15
LETTER = 7.2  # width of a letter of the text on a bar
LEAST = 46  # width of a day, so that its date fits
LEAST_TEXT = 4  # letters that are shown of what does not fit


@dataclass(frozen=True, slots=True)
class Head:
    """A day with its weekday and date, above its column."""

    column: Column
    weekday: str
    label: str


@dataclass(frozen=True, slots=True)
class Line:
    """A line of text and where it stands."""

    text: str
    y: float


@dataclass(frozen=True, slots=True)
class Bar:
    """``lines``: what fits on it; ``says``: all of it; ``spare``: it is spare time and no session."""

    x: float
    width: float
    lines: tuple[str, ...]
    says: str
    spare: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """A bar in its row, with its text."""

    x: float
    width: float
    text_x: float
    texts: tuple[Line, ...]
    says: str
    spare: bool


@dataclass(frozen=True, slots=True)
class Row:
    y: float
    top: float
    labels: tuple[Line, ...]
    bars: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    width: float
    height: float
    heads: tuple[Head, ...]
    rows: tuple[Row, ...]
    bar: float = BAR


def by_loom(snapshot: Snapshot, plan: EventPlan, now: datetime) -> Picture:
    """Each loom with its sessions, and its spare time once its warp is ready."""
    columns = _columns(plan, now)
    rows: list[tuple[tuple[str, str], list[Bar]]] = []
    ready = {plan.work.chains[chain].warp: chain for chain in plan.found.worth.ready}
    for warp, place in plan.allotment.places.items():
        name = snapshot.name("warps", warp)
        sessions = [each for each in plan.sessions if each.warp == warp and each.end > now]
        bars = _bars(snapshot, columns, sessions, lambda each: (_job(each), _crew(snapshot, each)))
        if warp in ready:
            spare = _spare(columns, plan.ready_at(ready[warp]), plan.spare_h(ready[warp]), plan)
            bars += spare
        rows.append(((snapshot.name("looms", place.loom), name), bars))
    return _picture(snapshot, columns, rows)


def by_person(snapshot: Snapshot, plan: EventPlan, now: datetime) -> Picture:
    columns = _columns(plan, now)
    rows = []
    for person in plan.guild.people:
        sessions = [each for each in plan.sessions if person.key in each.people and each.end > now]
        hours = sum(((each.end - each.start) for each in sessions), timedelta()) / timedelta(hours=1)
        bars = _bars(
            snapshot, columns, sessions, lambda each: (_job(each), snapshot.name("warps", each.warp))
        )
        rows.append(((person.name, hours_said(hours)), bars))
    return _picture(snapshot, columns, rows)


def _job(each: Session) -> str:
    return translated(word(each.job))


def _crew(snapshot: Snapshot, each: Session) -> str:
    return listed_said([snapshot.name("people", one) for one in each.people])


def _columns(plan: EventPlan, now: datetime) -> tuple[Column, ...]:
    """The columns, hours as wide as a page has room for."""
    days = days_with_work(each for each in plan.sessions if each.end > now)
    for hour in range(WIDEST, NARROWEST - 1, -2):
        scale = Scale(hour, GAP, WEEK_GAP, LEAST, DAY_WIDTH)
        made = tuple(work_columns(days, LEFT, scale))
        made += tuple(event_columns(plan.event, (made[-1].right if made else LEFT) + WEEK_GAP, scale))
        if made[-1].right <= PAGE:
            break
    return made


def _bars(
    snapshot: Snapshot,
    columns: Sequence[Column],
    sessions: Iterable[Session],
    texts: Callable[[Session], tuple[str, str]],
) -> list[Bar]:
    units = snapshot.guild.units
    made: list[Bar] = []
    for each in sessions:
        x, right = place_of(columns, each.start), place_of(columns, each.end)
        if x is None or right is None:
            continue
        width = right - x
        lines = texts(each)
        when = f"{day_said(each.start.date(), units)} {span_said(each.start, each.end, units)}"
        fits = tuple(_short(line, width - INSET) for line in lines)
        made.append(Bar(x, width - 1, fits, f"{when}: {lines[0]}, {lines[1]}"))
    return made


def _short(text: str, width: float) -> str:
    """The text, or as much of it as a bar of that width holds."""
    most = int(width / LETTER)
    if len(text) <= most:
        return text
    return text[: most - 1].rstrip() + "…" if most >= LEAST_TEXT else ""


def _spare(columns: Sequence[Column], ready: datetime, hours: float, plan: EventPlan) -> list[Bar]:
    """The time after a warp is ready, up to the first day of the event."""
    days = [column for column in columns if column.event]
    x = place_of(columns, ready)
    if x is None or not days:
        return []
    width = days[0].x - WEEK_GAP - x
    says = _("ready, %s to spare") % hours_said(hours)
    if width < LETTER * 6:
        return []
    return [Bar(x + 1, width, (_short(says, width - INSET),), says, spare=True)]


def _picture(
    snapshot: Snapshot, columns: tuple[Column, ...], rows: Sequence[tuple[tuple[str, str], list[Bar]]]
) -> Picture:
    width = max((column.right for column in columns), default=LEFT) + GAP
    units = snapshot.guild.units
    heads = tuple(
        Head(column, translated(weekday_told(column.day)), translated(date_told(column.day, units)))
        for column in columns
    )
    made = tuple(_row(TOP + number * ROW, labels, bars) for number, (labels, bars) in enumerate(rows))
    return Picture(width, TOP + len(rows) * ROW + 4, heads, made)


def _row(y: float, labels: Sequence[str], bars: Iterable[Bar]) -> Row:
    middle = y + ROW / 2
    placed = tuple(
        Placed(bar.x, bar.width, bar.x + INSET, _lines(bar.lines, middle), bar.says, bar.spare)
        for bar in bars
    )
    fits = [_short(label, LEFT - INSET) for label in labels]
    return Row(y, middle - BAR / 2, _lines(fits, middle), placed)


def _lines(texts: Sequence[str], middle: float) -> tuple[Line, ...]:
    """Lines around the middle of a row."""
    first = middle + LINE * (0.8 - len(texts) / 2)
    return tuple(Line(text, first + number * LINE) for number, text in enumerate(texts))

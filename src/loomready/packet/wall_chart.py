"""The weeks before an event on paper: a row for each loom or person, sessions as bars, the spare time.

A chart is one large sheet or, with the same rows, several sheets of the guild's own paper to pin up side by
side. Weeks that are too many for the width go on below or on the next sheet. Lengths are millimeters.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from loomready.event.plan_event import EventPlan
from loomready.event.replan import Session
from loomready.packet.options import PAPER_MM, USUAL
from loomready.packet.words import Data
from loomready.phrases import Phrase, joined, listed_with_and, phrase, word
from loomready.report.event_times import day_and_date_told, day_and_time_told, span_told
from loomready.report.event_words import (
    hours_told,
    how_sure_told,
    person_named,
    proved_told,
    warp_named,
    warps_ready_told,
)
from loomready.report.work_days import (
    HOUR,
    Column,
    Runs,
    Scale,
    days_with_work,
    event_columns,
    place_of,
    same_week,
    work_columns,
)

MARGIN, TITLE, FOOT = 12.0, 24.0, 6.0
LABEL, HEAD, AROUND = 40.0, 14.0, 2.0
BETWEEN = 6.0  # bands
# The chart takes as few pages as it can; on so many, hours are as wide and rows as high as they can be.
HOURS = (28.0, 24.0, 20.0, 18.0, 16.0, 14.0, 12.0, 10.0, 8.0)
ROWS = (24.0, 22.0, 20.0, 18.0)
GAP, WEEK_GAP, LEAST, EVENT_DAY = 2.0, 5.0, 21.0, 26.0


def paper_of(plan: EventPlan, *, large: bool) -> tuple[float, float]:
    """Width and height of the sheet, which lies on its long side.

    :param large: twice as large as the guild's paper: A3 or tabloid
    """
    short, long = PAPER_MM[USUAL.paper_of(plan.guild)]
    return (2 * short, long) if large else (long, short)


@dataclass(frozen=True, slots=True)
class _Row:
    """``bars``: those in some columns."""

    name: str | Phrase
    under: str | Phrase
    bars: Callable[[Sequence[Column]], Iterator[Data]]


def wall_chart(plan: EventPlan, *, large: bool) -> Data | None:
    """The pages of a chart by loom and, after it, of one by person; None: there is no session.

    :param large: on a sheet twice as large as the guild's paper, else on the guild's paper
    """
    if not plan.sessions:
        return None
    paper = width, height = paper_of(plan, large=large)
    units = plan.guild.units
    said: list[Phrase] = [*filter(None, [how_sure_told(plan)]), proved_told(plan)]
    if plan.left_out:
        late = listed_with_and(warp_named(plan, key) for key in plan.left_out)
        said.insert(0, phrase("Not ready in time: {warps}.", warps=late))
    return {
        "width": width,
        "height": height,
        "margin": MARGIN,
        "label": LABEL,
        "head": HEAD,
        "around": AROUND,
        "ready": warps_ready_told(plan, day_and_time_told(plan.ready_by, units)),
        "said": said,
        "planned": phrase("As planned on {moment}", moment=day_and_time_told(plan.now, units)),
        "pages": [
            *_pages(plan, paper, phrase("By loom"), _by_loom(plan)),
            *_pages(plan, paper, phrase("By person"), _by_person(plan)),
        ],
    }


def _by_loom(plan: EventPlan) -> list[_Row]:
    ready = {plan.work.chains[chain].warp: chain for chain in plan.found.worth.ready}
    looms = {loom.key: loom.name for loom in plan.guild.looms}
    return [
        _Row(
            looms[place.loom],
            warp_named(plan, warp),
            _bars(
                plan,
                [each for each in plan.sessions if each.warp == warp],
                lambda each: [person_named(plan, one) for one in each.people],
                ready.get(warp),
            ),
        )
        for warp, place in plan.allotment.places.items()
    ]


def _by_person(plan: EventPlan) -> list[_Row]:
    made = []
    for person in plan.guild.people:
        sessions = [each for each in plan.sessions if person.key in each.people]
        if sessions:
            hours = sum((each.end - each.start for each in sessions), timedelta()) / HOUR
            bars = _bars(plan, sessions, lambda each: [warp_named(plan, each.warp)], None)
            made.append(_Row(person_named(plan, person.key), hours_told(hours), bars))
    return made


def _bars(
    plan: EventPlan,
    sessions: Sequence[Session],
    more: Callable[[Session], Sequence[str]],
    ready: int | None,
) -> Callable[[Sequence[Column]], Iterator[Data]]:
    """The bars of a row; ``ready``: the chain that has its spare time after its sessions."""

    def in_columns(columns: Sequence[Column]) -> Iterator[Data]:
        for each in sessions:
            x, right = place_of(columns, each.start), place_of(columns, each.end)
            if x is not None and right is not None:
                lines = [word(each.job), *more(each)]
                yield {"x": x, "width": right - x, "lines": lines, "spare": False}
        work = [column for column in columns if not column.event]
        if ready is None or not work:
            return
        moment = plan.ready_at(ready)
        if moment.date() > work[-1].day:
            return
        x = place_of(work, moment)
        if x is None:
            x = next((column.x for column in work if column.day >= moment.date()), work[0].x)
        if work[-1].right - x > GAP:
            lines = [phrase("ready"), phrase("{hours} to spare", hours=hours_told(plan.spare_h(ready)))]
            yield {"x": x, "width": work[-1].right - x, "lines": lines, "spare": True}

    return in_columns


def _pages(plan: EventPlan, paper: tuple[float, float], name: Phrase, rows: Sequence[_Row]) -> list[Data]:
    """The pages: as few as can be, then with the widest hours, then with the highest rows."""
    days = days_with_work(plan.sessions)
    width, height = paper[0] - 2 * MARGIN - LABEL, paper[1] - 2 * MARGIN - TITLE - FOOT
    tried = [
        _placed(bands, rows, height, row)
        for bands in (_split(plan, days, width, hour) for hour in HOURS)
        for row in ROWS
    ]
    best = min(tried, key=len)
    return [
        {
            "name": name,
            "row": part.row,
            "bands": [{"y": TITLE + y, **_band(plan, columns, some)} for y, columns, some in part.bands],
        }
        for part in best
    ]


@dataclass(frozen=True, slots=True)
class _Page:
    """``row``: the height of one; ``bands``: how far down each begins, its columns and its rows."""

    row: float
    bands: list[tuple[float, tuple[Column, ...], Sequence[_Row]]]


def _placed(
    bands: Iterable[tuple[Column, ...]], rows: Sequence[_Row], height: float, row: float
) -> list[_Page]:
    """Bands below each other, page after page; rows that are too many for a page go on on the next."""
    at_once = max(1, int((height - HEAD) / row))
    pages: list[_Page] = []
    y = 0.0
    for columns in bands:
        for first in range(0, len(rows), at_once):
            part = rows[first : first + at_once]
            needed = HEAD + len(part) * row
            if not pages or y + needed > height:
                pages.append(_Page(row, []))
                y = 0.0
            pages[-1].bands.append((y, columns, part))
            y += needed + BETWEEN
    return pages


def _split(plan: EventPlan, days: Mapping[date, Runs], width: float, hour: float) -> list[tuple[Column, ...]]:
    scale = Scale(hour, GAP, WEEK_GAP, LEAST, EVENT_DAY)

    def columns(some: Iterable[date]) -> tuple[Column, ...]:
        return tuple(work_columns({day: days[day] for day in some}, LABEL, scale))

    def too_wide(some: Sequence[date]) -> bool:
        return columns(some)[-1].right - LABEL > width

    bands: list[list[date]] = [[]]
    for week in _weeks(days):
        if not too_wide([*bands[-1], *week]):
            bands[-1] += week
            continue
        if bands[-1]:
            bands.append([])
        for day in week:
            if bands[-1] and too_wide([*bands[-1], day]):
                bands.append([])
            bands[-1].append(day)
    made = [columns(band) for band in bands]
    last = tuple(event_columns(plan.event, made[-1][-1].right + WEEK_GAP, scale))
    if last[-1].right - LABEL <= width:
        made[-1] += last
    else:
        made.append(tuple(event_columns(plan.event, LABEL, scale)))
    return made


def _weeks(days: Iterable[date]) -> list[list[date]]:
    made: list[list[date]] = []
    for day in sorted(days):
        if made and same_week(made[-1][-1], day):
            made[-1].append(day)
        else:
            made.append([day])
    return made


def _band(plan: EventPlan, columns: Sequence[Column], rows: Sequence[_Row]) -> Data:
    return {
        "columns": [
            {
                "x": column.x,
                "width": column.width,
                "event": column.event,
                "day": day_and_date_told(column.day, plan.guild.units),
                "hours": [
                    {"x": x, "width": right - x, "text": told} for x, right, told in _hours(plan, column)
                ],
            }
            for column in columns
        ],
        "rows": [{"name": row.name, "under": row.under, "bars": [*row.bars(columns)]} for row in rows],
    }


def _hours(plan: EventPlan, column: Column) -> Iterator[tuple[float, float, Phrase]]:
    """Hours with work where they lie; of a day of the event all its hours, in the middle of it."""
    units = plan.guild.units
    for span in column.spans:
        yield span.left, span.right, span_told(span.start, span.end, units)
    if column.event:
        opened = [each for each in plan.event.days if each.start.date() == column.day]
        told = joined("; ", (span_told(each.start, each.end, units) for each in opened))
        yield column.x, column.right, told

"""The weeks before an event on paper: each session has its bar where its hours are, on few pages."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready import guildfile
from loomready.event.plan_event import EventPlan, plan_event
from loomready.event.replan import Session
from loomready.event.work.search import Effort
from loomready.model.event import Opening
from loomready.packet.event_sheets import event_sheet
from loomready.packet.wall_chart import LABEL, MARGIN, paper_of, wall_chart
from loomready.report.work_days import HOUR, Scale, days_with_work, place_of, work_columns
from tests.packet.reading import pages

DEMO = Path(__file__).parents[2] / "demo" / "event" / "guild.toml"


@pytest.fixture(scope="module")
def plan() -> EventPlan:
    loaded = guildfile.load(DEMO)
    effort = Effort(lists=20, small=0, middle=0, rounds=0, each=0.1, rota=0.02)
    return plan_event(loaded.guild, loaded.drafts, datetime(2027, 4, 5, 8), effort=effort)


def bars_of(chart: dict[str, Any], name: str) -> list[dict[str, Any]]:
    """The bars of sessions in the part of a chart with that name."""
    pages = [page for page in chart["pages"] if page["name"] == name]
    rows = [row for page in pages for band in page["bands"] for row in band["rows"]]
    return [bar for row in rows for bar in row["bars"] if not bar["spare"]]


@pytest.mark.parametrize("large", [True, False], ids=["one large sheet", "several sheets"])
def test_each_session_has_a_bar_by_loom_and_one_for_each_of_its_people(plan: EventPlan, large: bool) -> None:
    chart = wall_chart(plan, large=large)
    assert chart is not None
    assert len(bars_of(chart, "By loom")) == len(plan.sessions)
    assert len(bars_of(chart, "By person")) == sum(len(each.people) for each in plan.sessions)


@pytest.mark.parametrize("large", [True, False], ids=["one large sheet", "several sheets"])
def test_nothing_of_a_chart_lies_beyond_its_paper_or_on_something_else(plan: EventPlan, large: bool) -> None:
    chart = wall_chart(plan, large=large)
    assert chart is not None
    width, height = paper_of(plan, large=large)
    assert (width, height) == ((431.8, 279.4) if large else (279.4, 215.9))
    for page in chart["pages"]:
        for band in page["bands"]:
            assert band["y"] + chart["head"] + page["row"] * len(band["rows"]) <= height - 2 * MARGIN
            for one, after in pairwise(band["columns"]):
                assert one["x"] + one["width"] < after["x"]
            assert band["columns"][-1]["x"] + band["columns"][-1]["width"] <= width - 2 * MARGIN
            for row in band["rows"]:
                bars = sorted(row["bars"], key=lambda bar: bar["x"])
                assert all(bar["x"] >= LABEL and bar["width"] > 0 for bar in bars)
                for one, after in pairwise(bars):
                    assert one["x"] + one["width"] <= after["x"] + 1e-9


def test_a_chart_on_one_large_sheet_is_a_page_by_loom_and_a_page_by_person(plan: EventPlan) -> None:
    made = event_sheet(plan, "wall-chart")
    assert made is not None
    by_loom, by_person = pages(made)
    for name in ("Folding loom", "Loom by the stove", "Loom at the window", "6:30–9 p.m.", "Sat May 8"):
        assert name in by_loom
    assert "As planned on Mon Apr 5, 8 a.m." in by_loom
    for person in plan.guild.people:
        assert person.name in by_person


def test_a_day_that_opens_twice_tells_both(plan: EventPlan) -> None:
    day = date(2027, 5, 8)
    twice = tuple(
        Opening(datetime.combine(day, time(first)), datetime.combine(day, time(last)))
        for first, last in ((10, 12), (14, 16))
    )
    chart = wall_chart(replace(plan, event=replace(plan.event, days=twice)), large=True)
    assert chart is not None
    last = chart["pages"][0]["bands"][-1]["columns"][-1]
    assert [each["text"] for each in last["hours"]] == ["10 a.m.–noon; 2–4 p.m."]


hours = st.builds(
    lambda day, start, long: (date(2027, 3, 1) + timedelta(day), start, long),
    st.integers(0, 20),
    st.integers(0, 40),
    st.integers(1, 7),
)


@given(st.lists(hours, min_size=1, max_size=12), st.floats(1, 40), st.floats(1, 60))
def test_later_moments_of_the_days_lie_farther_right(
    some: list[tuple[date, int, int]], hour: float, least: float
) -> None:
    def session(day: date, start: int, long: int) -> Session:
        first = datetime.combine(day, datetime.min.time()) + start * HOUR / 2
        return Session(first, first + long * HOUR / 2, "scarf", "winding", ("wren",))

    sessions = [session(*each) for each in some]
    columns = tuple(work_columns(days_with_work(sessions), 10.0, Scale(hour, 2, 5, least, 26)))
    moments = sorted({moment for each in sessions for moment in (each.start, each.end - HOUR / 4)})
    places = [place_of(columns, moment) for moment in moments]
    assert all(place is not None for place in places)
    assert places == sorted(places, key=lambda place: place or 0)
    assert len(set(places)) == len(places)
    for span in (span for column in columns for span in column.spans):
        assert span.right - span.left >= max(least, (span.end - span.start) / HOUR * hour) - 1e-9

"""Hours as people say them."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.event.hours_text import WEEKDAYS, read_hours, read_moment, read_opening, times_of
from loomready.model.event import Hours, Opening, Rule
from loomready.problems import BadInput

SEPTEMBER = date(2026, 9, 1), date(2026, 9, 30)  # September 1, 2026 is a Tuesday


def come(*texts: str, first: date = SEPTEMBER[0], last: date = SEPTEMBER[1]) -> list[str]:
    """Days and hours of September 2026, less those when somebody is away."""
    coming, away = times_of(tuple(map(read_hours, texts)), first, last)
    return [
        f"{start:%d %H:%M}-{end:%H:%M}"
        for start, end in coming
        if not any(gone < end and start < back for gone, back in away)
    ]


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("2026-09-03 10:00-13:00", ["03 10:00-13:00"]),
        ("every tue 18:30-21:00", [f"{day:02} 18:30-21:00" for day in (1, 8, 15, 22, 29)]),
        ("Tuesdays 6:30 to 9", [f"{day:02} 18:30-21:00" for day in (1, 8, 15, 22, 29)]),
        ("Tuesdays 6:30pm till 9", [f"{day:02} 18:30-21:00" for day in (1, 8, 15, 22, 29)]),
        ("Tue from 6:30, not the 15th", [f"{day:02} 18:30-21:00" for day in (1, 8, 22, 29)]),
        ("every other Saturday from 10 starting 2026-09-05", ["05 10:00-21:00", "19 10:00-21:00"]),
        ("every other Saturday from 10 starting 2026-09-12", ["12 10:00-21:00", "26 10:00-21:00"]),
        ("sat 10 to 1 until 2026-09-12", ["05 10:00-13:00", "12 10:00-13:00"]),
        ("2026-09-03 to 2026-09-04 9-5", ["03 09:00-17:00", "04 09:00-17:00"]),
        ("the 3rd and the 4th until noon", ["03 09:00-12:00", "04 09:00-12:00"]),
        ("2026-09-03 until 6, 2026-09-04 from 6", ["03 09:00-18:00", "04 18:00-21:00"]),
        ("2026-09-03", ["03 09:00-21:00"]),
        ("Thursday evenings until 2026-09-10", ["03 18:00-21:00", "10 18:00-21:00"]),
        ("2026-09-03 morning and afternoon", ["03 09:00-12:00", "03 13:00-17:00"]),
        ("weekday evenings until 2026-09-01, not the 2nd", ["01 18:00-21:00"]),
        ("2026-09-03 all day", ["03 00:00-00:00"]),
        ("2026-09-03 10 am-12 pm and 2 to 4", ["03 10:00-12:00", "03 14:00-16:00"]),
        ("Wed & Fri 18-20 starting 2026-09-20", ["23 18:00-20:00", "25 18:00-20:00", "30 18:00-20:00"]),
        ("weekends 06:30-09:00 until 2026-09-06", ["05 06:30-09:00", "06 06:30-09:00"]),
        ("every day 12 to 1 until 2026-09-02", ["01 12:00-13:00", "02 12:00-13:00"]),
    ],
)
def test_hours_are_understood(text, times):
    assert come(text) == times


def test_every_other_week_without_a_start_is_the_same_whenever_it_is_read():
    days = come("every other Saturday from 10")
    assert len(days) in (2, 3)
    assert come("every other Saturday from 10", first=date(2026, 9, 10)) == [
        day for day in days if day >= "10"
    ]


def test_not_takes_times_away_across_the_texts_of_a_list():
    assert come("tue 18:30-21:00", "not 2026-09-08 to 2026-09-22") == ["01 18:30-21:00", "29 18:30-21:00"]
    assert come("2026-09-08 10-12 and 18-20", "not tue until 13:00") == ["08 18:00-20:00"]


@pytest.mark.parametrize(
    ("text", "refused"),
    [
        ("", "ends too early"),
        ("Tuesdays 18:30-09:00", "ends before it begins"),
        ("2026-09-04 to 2026-09-03", "ends before it begins"),
        ("tue 10-11 starting 2026-09-04 until 2026-09-03", "ends before it begins"),
        ("2026-02-30 10-12", "no day of the calendar"),
        ("the 32nd", "there is no day 32"),
        ("tue 25:00-26:00", "no time of day"),
        ("tue 10:75-11", "no time of day"),
        ("tue 13 pm to 14", "no time of day"),
        ("sometimes", '"sometimes"'),
        ("tue 10", "ends too early"),
        ("tue,", "ends too early"),
        ("not", "ends too early"),
        ("18:30-21:00", '"18:30"'),
        ("every 18:30-21:00", '"18:30"'),
        ("tue 9**9", '"**9"'),
        ("x" * 500, "at most 200 characters"),
        (7, "at most 200 characters"),
    ],
)
def test_what_is_not_understood_is_refused_in_one_line(text, refused):
    with pytest.raises(BadInput) as error:
        read_hours(text)
    assert refused in error.value.line()
    assert error.value.line().isprintable()


TIMES = st.integers(0, 95).map(lambda quarter: time(quarter // 4, quarter % 4 * 15))


@st.composite
def said(draw: st.DrawFn) -> tuple[str, Rule]:
    """Hours on a 24-hour clock, and the rule that they say."""
    start, end = sorted(draw(st.lists(TIMES, min_size=2, max_size=2, unique=True)))
    days = draw(st.lists(st.integers(0, 6), min_size=1, max_size=3, unique=True))
    other = draw(st.booleans())
    first = draw(st.none() | st.dates(date(2026, 1, 1), date(2027, 1, 1)))
    text = (
        draw(st.sampled_from(["every other ", "Each Second "]))
        if other
        else draw(st.sampled_from(["", "every "]))
    )
    names = [draw(st.sampled_from([WEEKDAYS[day], WEEKDAYS[day][:3], f"{WEEKDAYS[day]}S"])) for day in days]
    text += draw(st.sampled_from([", ", " and ", " & "])).join(names)
    text += f" {start:%H:%M}{draw(st.sampled_from(['-', ' to ', ' – ']))}{end:%H:%M}"
    text += f" starting {first}" if first else ""
    minutes = [at.hour * 60 + at.minute for at in (start, end)]
    return text, Rule(first, None, tuple(sorted(days)), (), other, *minutes)


def is_noon_or_one_figure(rule: Rule) -> bool:
    return any(60 <= at < 13 * 60 and at // 60 >= 10 for at in (rule.start, rule.end))


@given(said())
@settings(max_examples=150)
def test_every_way_to_write_a_rule_reads_as_that_rule(each):
    text, rule = each
    found = read_hours(text).rules[0]
    if not is_noon_or_one_figure(rule):  # 10:30 to 12:45 may be evening
        assert found == rule
    assert (found.weekdays, found.other_week, found.first) == (rule.weekdays, rule.other_week, rule.first)
    assert found.start % 720 == rule.start % 720


@given(st.text(alphabet="tuesday not every other, the 12th-:;10 am from 2026-09 until", max_size=60))
@settings(max_examples=300)
def test_any_text_is_understood_or_refused_in_one_line(text):
    try:
        hours, line = read_hours(text), ""
    except BadInput as error:
        hours, line = None, error.line()
    if hours is None:
        assert line
        assert line.isprintable()
    else:
        assert all(0 <= rule.start < rule.end <= 24 * 60 for rule in hours.rules)
        assert hours == Hours(text, ())


@given(said(), st.dates(date(2026, 1, 1), date(2027, 1, 1)), st.integers(0, 20))
@settings(max_examples=50)
def test_times_of_a_rule_lie_on_its_weekdays_and_are_the_same_in_parts(each, first, days):
    hours = (read_hours(each[0]),)
    last = first + timedelta(days=days)
    whole, _ = times_of(hours, first, last)
    assert all(start.weekday() in each[1].weekdays for start, _ in whole)
    half = first + timedelta(days=days // 2)
    assert whole == times_of(hours, first, half)[0] + times_of(hours, half + timedelta(days=1), last)[0]


def test_days_of_an_event_and_moments():
    assert read_opening("2026-10-17 10:00-16:00") == Opening(
        datetime(2026, 10, 17, 10), datetime(2026, 10, 17, 16)
    )
    assert read_moment("2026-10-16 9:05") == datetime(2026, 10, 16, 9, 5)
    for text in ("2026-10-17", "2026-10-17 16:00-10:00", "2026-13-17 10:00-16:00", "10:00-16:00", 5):
        with pytest.raises(BadInput):
            read_opening(text)
    for text in ("2026-10-17", "2026-10-17 25:00", "tomorrow", None):
        with pytest.raises(BadInput):
            read_moment(text)

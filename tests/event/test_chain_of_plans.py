"""A plan that is planned again and again: nothing that was done is forgotten, in JSON and in calendars."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from icalendar import Calendar

from loomready import guildfile
from loomready.event.plan_event import EventPlan, plan_event
from loomready.event.replan import Session, read_places, read_told
from loomready.model.guild import Guild
from loomready.report.event_calendar import write_calendars
from loomready.report.event_json import event_as_json
from tests.event.test_command import DEMO, QUICK, START

LOADED = guildfile.load(DEMO / "guild.toml")
FIRST_STOP, SECOND_STOP = datetime(2027, 4, 8, 20), datetime(2027, 4, 15, 19)  # in the middle of sessions
STAMP = datetime(2027, 4, 1, 12, tzinfo=UTC)


def again(told: EventPlan, now: datetime, guild: Guild = LOADED.guild, keep_h: float = 48.0) -> EventPlan:
    """A plan from what the JSON of another one says."""
    document = json.loads(json.dumps(event_as_json(told)))
    return plan_event(
        guild,
        LOADED.drafts,
        now,
        effort=QUICK,
        told=read_told(document),
        told_places=read_places(document),
        stands_h=keep_h,
    )


@pytest.fixture(scope="module")
def first() -> EventPlan:
    return plan_event(LOADED.guild, LOADED.drafts, START, effort=QUICK)


@pytest.fixture(scope="module")
def second(first) -> EventPlan:
    return again(first, FIRST_STOP)


def hours(sessions: Iterable[Session]) -> Counter[tuple[str, str]]:
    """Hours of each job of each warp."""
    made: Counter[tuple[str, str]] = Counter()
    for each in sessions:
        made[each.warp, each.job] += round((each.end - each.start) / timedelta(hours=1), 6)  # type: ignore[arg-type]
    return made


@pytest.mark.parametrize("keep_h", [0.0, 48.0])
def test_what_was_done_before_the_first_re_plan_counts_in_the_third_plan(first, keep_h):
    second = again(first, FIRST_STOP, keep_h=keep_h)
    third = again(second, SECOND_STOP, keep_h=keep_h)
    assert third.changes == ()
    assert third.left_out == ()
    assert hours(third.every_session) == hours(first.sessions)
    assert third.every_session == first.every_session
    assert all(each.start >= SECOND_STOP for each in third.sessions)
    assert all(each.end <= SECOND_STOP for each in third.past)


def test_work_of_somebody_who_is_no_longer_named_is_done_anyway(first):
    people = tuple(person for person in LOADED.guild.people if person.key != "clover")
    made = again(first, datetime(2027, 4, 12, 8), replace(LOADED.guild, people=people))
    winding = hours(each for each in made.every_session if each.warp == "towels")["towels", "winding"]
    assert winding == hours(first.sessions)["towels", "winding"]


def test_a_session_under_way_goes_on_whole_whatever_is_kept(first, second):
    under_way = [each for each in first.sessions if each.start < FIRST_STOP < each.end]
    assert under_way
    for made in (second, again(first, FIRST_STOP, keep_h=0.0)):
        assert set(under_way) <= set(made.every_session)


def test_no_session_is_cut_where_the_time_that_is_kept_ends(first):
    inside = next(each for each in first.sessions if each.end - each.start >= timedelta(hours=2))
    end = inside.start + timedelta(hours=1)
    made = (
        again(first, end - timedelta(hours=48))
        if end - timedelta(hours=48) > START
        else again(first, START, keep_h=(end - START) / timedelta(hours=1))
    )
    assert inside in made.every_session


def test_a_warp_that_was_worked_on_keeps_loom_and_reed_though_another_would_now_be_chosen(first, second):
    before = first.allotment.places["towels"]
    heddles = {"window": (90, 90, 150, 150), "stove": (200,) * 8}
    looms = tuple(replace(loom, heddles=heddles.get(loom.key, loom.heddles)) for loom in LOADED.guild.looms)
    changed = replace(LOADED.guild, looms=looms)
    now = datetime(2027, 4, 12, 8)
    kept = again(first, now, changed).allotment.places["towels"]
    assert (kept.loom, kept.reed) == (before.loom, before.reed)
    free = plan_event(changed, LOADED.drafts, now, effort=QUICK).allotment.places["towels"]
    assert (free.loom, free.reed) != (before.loom, before.reed)


def test_planning_again_leaves_no_more_half_hours_than_there_were(first):
    orders = tuple(
        replace(order, hours=replace(order.hours, threading_h=6.0)) if order.key == "napkins" else order
        for order in LOADED.guild.warps
    )
    made = again(first, datetime(2027, 4, 12, 8), replace(LOADED.guild, warps=orders))

    def short(plan: EventPlan) -> int:
        return sum(each.end - each.start == timedelta(minutes=30) for each in plan.every_session)

    assert short(made) <= short(first) + 1


def entries(path: Path) -> dict[str, dict[str, object]]:
    made = {}
    for each in Calendar.from_ical(path.read_bytes()).walk("VEVENT"):
        held = {name: each.decoded(name) for name in ("dtstart", "dtend", "dtstamp", "sequence")}
        made[str(each["uid"])] = {**held, "status": str(each["status"])}
    return made


def confirmed(path: Path) -> list[tuple[object, object]]:
    return sorted(
        (each["dtstart"], each["dtend"])  # type: ignore[type-var]
        for each in entries(path).values()
        if each["status"] == "CONFIRMED"
    )


def test_a_calendar_written_again_in_the_middle_of_a_session_changes_nothing(first, second, tmp_path):
    write_calendars(first, tmp_path, stamp=STAMP)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*.ics")}
    write_calendars(second, tmp_path, stamp=STAMP + timedelta(days=7))
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.ics")} == before


def test_a_calendar_in_a_new_folder_has_what_lies_before(first, second, tmp_path):
    write_calendars(second, tmp_path, stamp=STAMP)
    every = (*second.every_session, *second.day.turns)
    assert confirmed(tmp_path / "all.ics") == sorted((each.start, each.end) for each in every)
    own = confirmed(tmp_path / "people" / "clover.ics")
    assert own[0][0] == min(each.start for each in first.sessions if "clover" in each.people) < FIRST_STOP


def test_a_plan_from_nothing_in_the_middle_of_a_session_shows_it_once(first, tmp_path):
    write_calendars(first, tmp_path, stamp=STAMP)
    fresh = plan_event(LOADED.guild, LOADED.drafts, FIRST_STOP, effort=QUICK)
    write_calendars(fresh, tmp_path, stamp=STAMP + timedelta(days=7))
    for person in LOADED.guild.people:
        own = confirmed(tmp_path / "people" / f"{person.key}.ics")
        assert all(end <= start for (_, end), (start, _) in pairwise(own)), person.key


def test_entries_are_stamped_in_utc_when_they_change_and_withdrawn_ones_are_canceled(first, tmp_path):
    write_calendars(first, tmp_path, stamp=STAMP)
    before = entries(tmp_path / "all.ics")
    assert {each["dtstamp"] for each in before.values()} == {STAMP}
    people = tuple(person for person in LOADED.guild.people if person.key != "dill")
    later = STAMP + timedelta(days=11, hours=3)
    write_calendars(
        again(first, datetime(2027, 4, 12, 8), replace(LOADED.guild, people=people)), tmp_path, stamp=later
    )
    after = entries(tmp_path / "all.ics")
    assert before.keys() <= after.keys()
    for uid, each in before.items():
        if after[uid] != each:
            assert after[uid]["dtstamp"] == later
            assert after[uid]["sequence"] == each["sequence"] + 1
    dill = entries(tmp_path / "people" / "dill.ics").values()
    assert {each["status"] for each in dill if each["dtstart"] >= datetime(2027, 4, 12, 8)} == {"CANCELLED"}
    assert {each["status"] for each in dill if each["dtstart"] < datetime(2027, 4, 12, 8)} == {"CONFIRMED"}
    assert b"DTSTAMP:20270412T150000Z" in (tmp_path / "all.ics").read_bytes()

"""Planning again: what is done counts, the next days stand, and few sessions change."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from loomready import cli, guildfile
from loomready.event.hours_text import read_hours
from loomready.event.plan_event import EventPlan, plan_event
from loomready.event.replan import changes, read_told
from loomready.event.work.search import Effort
from loomready.model.event import JobHours
from loomready.model.guild import Guild
from loomready.problems import BadInput
from loomready.report.event_json import event_as_json
from loomready.report.event_text import tell_event
from tests.event.plans import faults
from tests.event.test_command import DEMO, QUICK, START

LOADED = guildfile.load(DEMO / "guild.toml")
LATER = datetime(2027, 4, 12, 8)


def again(told: EventPlan, now: datetime = LATER, guild: Guild = LOADED.guild, **more: float) -> EventPlan:
    return plan_event(guild, LOADED.drafts, now, effort=QUICK, told=told.sessions, **more)


@pytest.fixture(scope="module")
def first() -> EventPlan:
    return plan_event(LOADED.guild, LOADED.drafts, START, effort=QUICK)


def test_where_nothing_has_changed_nobodys_sessions_change(first):
    made = again(first)
    assert made.changes == ()
    assert "Nobody's sessions change." in tell_event(made)
    assert [each for each in made.sessions if each.start >= LATER] == [
        each for each in first.sessions if each.start >= LATER
    ]
    assert faults(made.work, made.found.plan) == []


def test_hours_in_the_days_that_stand_are_spare_time_too(first):
    ready, at = min((first.ready_at(chain), chain) for chain in first.found.worth.ready)
    made = again(first, ready - timedelta(hours=10))
    assert made.changes == ()
    chain = next(n for n, each in enumerate(made.work.chains) if each.warp == first.work.chains[at].warp)
    assert made.ready_at(chain) == ready
    assert made.spare_h(chain) == first.spare_h(at)
    assert event_as_json(made)["work"]["spare_h"] == first.least_spare_h


def without_dill(day: str) -> Guild:
    """Dill cannot come on a day."""
    people = tuple(
        replace(person, hours=(*person.hours, read_hours(f"not {day}"))) if person.key == "dill" else person
        for person in LOADED.guild.people
    )
    return replace(LOADED.guild, people=people)


def test_somebody_who_cannot_come_is_told_no_work_then_and_fewer_change_than_in_a_new_plan(first):
    [day] = {
        f"{each.start:%Y-%m-%d}" for each in first.sessions if "dill" in each.people and each.start.day == 17
    }
    guild = without_dill(day)
    made = again(first, guild=guild)
    assert not any("dill" in each.people and each.start.day == 17 for each in made.sessions)
    assert made.left_out == ()
    assert "dill" in {each.person for each in made.changes or ()}
    new = plan_event(guild, LOADED.drafts, LATER, effort=QUICK)

    def moved(plan: EventPlan) -> int:
        return sum(len(e.no_longer) + len(e.new) for e in changes(first.sessions, plan.sessions, LATER))

    assert moved(made) < moved(new)


def test_what_is_left_is_planned_again_as_a_whole_and_not_some_days_at_a_time(first):
    guild = without_dill("2027-04-17")
    by_days = Effort(lists=40, again=0.0)
    whole, parts = (
        plan_event(guild, LOADED.drafts, LATER, effort=effort, told=first.sessions)
        for effort in (replace(by_days, again=3.0), by_days)
    )

    def moved(plan: EventPlan) -> int:
        return sum(len(each.no_longer) + len(each.new) for each in plan.changes or ())

    assert (whole.left_out, whole.found.worth.spare) == (parts.left_out, parts.found.worth.spare)
    assert moved(whole) < moved(parts)


def test_the_next_two_days_stand_where_they_can(first):
    until = datetime(2027, 4, 14, 8)
    orders = tuple(
        replace(order, hours=replace(order.hours, threading_h=9.0)) if order.key == "towels" else order
        for order in LOADED.guild.warps
    )
    made = again(first, guild=replace(LOADED.guild, warps=orders))
    soon = [each for each in first.sessions if LATER <= each.start < until]
    assert soon
    kept = [each for each in made.sessions if each.start < until]
    assert {each.warp for each in kept} <= {each.warp for each in soon}
    assert all(each in soon for each in kept)


def test_the_next_two_days_do_not_stand_where_a_warp_would_then_not_be_ready(first):
    """The last test weave takes an hour more, on the last day."""
    last = first.sessions[-1]
    assert last.job == "test weaving"
    orders = tuple(
        replace(order, hours=JobHours(test_weaving_h=1.5)) if order.key == last.warp else order
        for order in LOADED.guild.warps
    )
    assert LOADED.guild.event is not None
    event = replace(LOADED.guild.event, ready_by_said=last.end + timedelta(hours=4))
    made = again(first, last.end - timedelta(hours=30), replace(LOADED.guild, warps=orders, event=event))
    assert made.left_out == ()
    assert made.problems == first.problems


def test_a_job_that_takes_longer_is_planned_longer_and_what_is_done_of_it_counts(first):
    def hours(plan: EventPlan, job: str) -> float:
        every = [each for each in plan.sessions if (each.warp, each.job) == ("napkins", job)]
        return sum((each.end - each.start).total_seconds() / 3600 for each in every)

    done = sum(
        (each.end - each.start).total_seconds() / 3600
        for each in first.sessions
        if (each.warp, each.job) == ("napkins", "sleying") and each.end <= LATER
    )
    orders = tuple(
        replace(order, hours=JobHours(sleying_h=6.0, threading_h=4.0)) if order.key == "napkins" else order
        for order in LOADED.guild.warps
    )
    made = again(first, guild=replace(LOADED.guild, warps=orders))
    assert hours(made, "sleying") == 6.0 - done


def test_a_plan_that_is_read_back_from_its_json_is_the_same(first):
    assert read_told(json.loads(json.dumps(event_as_json(first)))) == first.sessions


SESSION = {
    "start": "2027-04-06T18:30",
    "end": "2027-04-06T21:00",
    "warp": "towels",
    "job": "winding",
    "people": ["clover"],
}


@pytest.mark.parametrize(
    "document",
    [
        *(None, [], {}, {"work": {}}, {"work": {"sessions": [{}]}}, {"work": {"sessions": [3]}}),
        {"work": {"sessions": [dict.fromkeys(("start", "end", "warp", "job", "people"), "x")]}},
        {
            "work": {"sessions": [SESSION | {"start": "0001-01-01T00:00"}]}
        },  # all its slots would fill the memory
        *({"work": {"sessions": [SESSION | {"people": some}]}} for some in ("ab", [], ["elm", "elm"])),
    ],
)
def test_what_is_no_plan_is_refused_in_one_line(document):
    with pytest.raises(BadInput) as error:
        read_told(document)
    assert error.value.line().isprintable()


def test_the_command_takes_an_earlier_plan(first, tmp_path: Path, capsys):
    earlier = tmp_path / "plan.json"
    earlier.write_text(json.dumps(event_as_json(first)), "utf-8")
    arguments = ["event", str(DEMO / "guild.toml"), "--from", "2027-04-22 15:00", "--told", str(earlier)]
    assert cli.main([*arguments, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["changes"] == []
    earlier.write_text("no plan")
    assert cli.main(arguments) == 2
    assert "is not JSON; expected a plan that loomready event --json printed" in capsys.readouterr().err
    assert cli.main(["event", str(DEMO / "guild.toml"), "--keep", "2 h"]) == 2
    assert "--keep is for an earlier plan" in capsys.readouterr().err

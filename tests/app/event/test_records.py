"""The records of an event: its days, people with their hours, pace, the shop."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.archive import guild_files
from loomready.app.event.usual_week import usual_week
from loomready.app.models import Change, Record
from loomready.app.sharing.roles import Role
from loomready.app.state.snapshot import current_snapshot
from loomready.event.hours_text import PARTS, read_hours
from tests.app.asking import form_of
from tests.app.devices import joined


def fields_of(kind: str, key: str) -> dict:
    made: dict = Record.objects.get(kind=kind, key=key).fields
    return made


def person_form(client: Client, key: str) -> dict[str, str]:
    """What the form of a person holds as the page shows it."""
    text = client.get(f"/event/people/{key}").content.decode()
    made = form_of(client, f"/event/people/{key}")
    hours = re.search(r'<textarea id="hours".*?>\n(.*?)</textarea>', text, re.S)
    assert hours is not None
    ticked = re.findall(r'name="(skill-\d)" value="(\w+)" checked', text)
    return made | {"hours": hours.group(1)} | dict(ticked)


def test_a_form_sent_as_it_is_changes_nothing(keeper: Client) -> None:
    before = Change.objects.count()
    for key in ("alder", "bracken", "clover", "dill", "elm"):
        assert keeper.post(f"/event/people/{key}", person_form(keeper, key)).status_code == 302
    for address in ("/event/about", "/event/pace", "/event/shop/brick-half"):
        form = form_of(keeper, address)
        if address == "/event/about":
            assert (form["day-2"], form["closes-2"]) == ("2027-05-09", "15:00")
            assert form["all-warps"] == "yes"
        assert keeper.post(address, form).status_code == 302, address
    assert Change.objects.count() == before


def test_hours_are_kept_as_typed_and_told_in_dates(keeper: Client) -> None:
    typed = "Tuesdays 6:30 to 9\nevery other Saturday from 10 starting 2027-04-10\nnot the 13th"
    told = keeper.get("/event/hours-read", {"hours": typed}).content.decode()
    assert re.findall(r"<b>(.*?)</b> (.*?)</li>", told)[:3] == [
        ("Tue Apr 6", "6:30–9 p.m."),
        ("Sat Apr 10", "10 a.m.–9 p.m."),
        ("Tue Apr 20", "6:30–9 p.m."),
    ]
    assert (
        keeper.post("/event/people/alder", person_form(keeper, "alder") | {"hours": typed}).status_code == 302
    )
    assert fields_of("people", "alder")["hours"] == typed.split("\n")


def test_hours_while_the_event_is_open_are_told_too(keeper: Client) -> None:
    told = keeper.get("/event/hours-read", {"hours": "2027-05-08 9-14"}).content.decode()
    assert "No time before" in told
    assert "4 h while the event is open:" in told
    assert "<b>Sat May 8</b> 10 a.m.–2 p.m." in told


def test_everything_wrong_is_said_at_once(keeper: Client) -> None:
    typed = "Tuesdays 6:30 to 9\nwhenever I like\nMondays 9 to"
    form = person_form(keeper, "alder") | {"hours": typed, "most": "many", "name": "Elm"}
    answer = keeper.post("/event/people/alder", form)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Line 2: “" in text or "Line 2: &quot;whenever" in text
    assert "Line 3: " in text
    assert "already somebody with this name" in text
    assert text.count('class="error"') == 3
    assert "whenever I like" in text


def test_a_new_person_can_do_everything_unless_said(keeper: Client) -> None:
    levels = {f"skill-{number}": "can" for number in range(9)}
    keeper.post("/event/people-new", {"name": "Fern Gray", "hours": "Fridays 18-20", **levels})
    assert fields_of("people", "fern-gray") == {
        "key": "fern-gray",
        "name": "Fern Gray",
        "hours": ["Fridays 18-20"],
    }
    keeper.post("/event/people/fern-gray", person_form(keeper, "fern-gray") | {"skill-1": "learning"})
    made = fields_of("people", "fern-gray")
    assert made["learning"] == ["beaming"]
    assert "beaming" not in made["can"]
    assert len(made["can"]) == 8


def test_a_stale_form_shows_both_and_undo_takes_back(keeper: Client) -> None:
    stale = person_form(keeper, "dill")
    keeper.post("/event/people/dill", stale | {"most": "6"})
    answer = keeper.post("/event/people/dill", stale | {"hours": "Mondays 18-21"})
    assert answer.status_code == 409
    assert fields_of("people", "dill")["most"] == "6 h"
    number = Change.objects.filter(kind="people").latest("pk").pk
    assert "person Dill: at most — → 6 h" in keeper.get("/guild").content.decode()
    keeper.post(f"/guild/undo/{number}")
    assert "most" not in fields_of("people", "dill")


def test_a_day_that_is_not_whole_is_said_beside_it(keeper: Client) -> None:
    form = form_of(keeper, "/event/about") | {"closes-1": "", "opens-2": "17:00", "ready-day": "2027-05-07"}
    text = keeper.post("/event/about", form).content.decode()
    assert "Is not complete; expected a date, from when and to when" in text
    assert "ends before it begins" in text
    assert "expected a date and a time, or neither" in text


def test_an_event_of_some_warps_and_a_moment(keeper: Client) -> None:
    form = form_of(keeper, "/event/about") | {"ready-day": "2027-05-06", "ready-hour": "12:00"}
    del form["all-warps"]
    keeper.post("/event/about", form | {"warps": "runner", "slot": "15 min"})
    made = fields_of("event", "event")
    assert (made["ready_by"], made["warps"], made["slot"]) == ("2027-05-06 12:00", ["runner"], "15 min")


def test_a_guild_without_an_event_begins_one(weaver: Client) -> None:
    assert 'href="/event"' not in weaver.get("/shelf").content.decode()
    assert 'href="/event/about"' in weaver.get("/").content.decode()
    assert weaver.get("/event").headers["Location"] == "/event/about"
    answer = weaver.post(
        "/event/about",
        {
            "name": "Open doors",
            "day-1": "2027-05-08",
            "opens-1": "10:00",
            "closes-1": "16:00",
            "all-warps": "yes",
        },
    )
    assert answer.headers["Location"] == "/event"
    assert 'href="/event"' in weaver.get("/shelf").content.decode()
    assert 'href="/event/about"' not in weaver.get("/").content.decode()


def test_the_guild_file_holds_the_event(keeper: Client) -> None:
    text = guild_files.guild_file(current_snapshot())
    for line in ('most = "16 h"', 'winding = "150 /h"', 'key = "brick-pound"', 'name = "Spring open house"'):
        assert line in text


def test_a_helper_fills_in_her_own_hours_only(example: None) -> None:
    client = joined(Role.HELPER, "clover")
    form = form_of(client, "/event/people/clover/hours")
    assert (
        client.post("/event/people/clover/hours", form | {"hours": "Mondays 18-21", "most": "4"}).status_code
        == 302
    )
    made = fields_of("people", "clover")
    assert (made["hours"], made["most"], made["can"]) == (["Mondays 18-21"], "4 h", ["winding"])
    other = client.post("/event/people/elm/hours", form | {"hours": "", "version": "1"})
    assert other.status_code == 403
    assert "This device joined as “clover”" in other.content.decode()
    assert fields_of("people", "elm")["most"] == "10 h"
    assert client.post("/event/people/clover", form).status_code == 403


@pytest.mark.parametrize("day", usual_week())
def test_each_tick_of_the_week_writes_a_rule_of_that_part(day: object) -> None:
    minutes = [(rule.start, rule.end) for part in day.parts for rule in read_hours(part.rule).rules]  # type: ignore[attr-defined]
    assert minutes == [(540, 720), (780, 1020), (1080, 1260)] == list(PARTS.values())

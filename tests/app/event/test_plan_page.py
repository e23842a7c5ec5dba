"""The event's page: how things stand, what comes next, what people were told, and what changes for whom."""

from __future__ import annotations

import re
import time
from datetime import datetime
from html import unescape

import pytest
from django.test import Client
from icalendar import Calendar

from loomready.app.archive import backup_extras, backup_reader
from loomready.app.event import clock, planning
from loomready.app.models import Change, Record
from loomready.app.sharing.roles import Role
from loomready.app.state import agreed_plan
from loomready.app.state.snapshot import current_snapshot
from loomready.event.plan_event import EventPlan
from tests.app.asking import PATIENCE_S
from tests.app.devices import joined
from tests.app.event.conftest import RUNS
from tests.app.event.test_records import fields_of, person_form

pytestmark = pytest.mark.usefixtures("quick_plans")


def text_of(client: Client, address: str = "/event") -> str:
    page = unescape(client.get(address).content.decode())
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page[page.index("<main") : page.index("</main>")]))


def the_plan() -> EventPlan:
    plan = planning.planning(current_snapshot(), clock.now()).plan
    assert plan is not None
    return plan


def tell(client: Client) -> None:
    name = re.search(r'name="name" value="(\w+)"', client.get("/event").content.decode())
    assert name is not None
    assert client.post("/event/agree", {"name": name.group(1)}).headers["Location"] == "/event"


def test_the_page_says_how_things_stand_and_what_is_done_tonight(keeper: Client) -> None:
    page, plan = text_of(keeper), the_plan()
    assert "3 of 3 warps ready by Fri May 7, 2027" in page
    assert f"Ready in {round(RUNS * plan.sure.in_time)} of {RUNS} runs" in page  # type: ignore[union-attr]
    first = plan.sessions[0]
    assert "Tomorrow evening Tue Apr 6" in page
    assert f"{first.warp} : {first.job} ends 1–" in page
    assert "Buy 1 cone of Unmercerized cotton, brick, 16 oz each" in page
    for person in plan.guild.people:
        assert person.name in page


def test_each_session_leads_to_its_job_beside_the_loom(keeper: Client) -> None:
    page = keeper.get("/event").content.decode()
    jobs = set(re.findall(r'href="(/beside/[\w/-]+)"', page))
    assert {
        f"/beside/runner/{job}" for job in ("winding", "beaming", "threading", "tying", "test-weave")
    } <= jobs
    for address in jobs:
        assert keeper.get(address).status_code == 200, address


def test_a_plan_that_is_told_is_kept_and_changes_are_told_by_person(keeper: Client) -> None:
    assert "Tell everybody this plan" in text_of(keeper)
    tell(keeper)
    kept = Record.objects.get(kind="agreed").fields
    assert agreed_plan.sessions_of(kept) == the_plan().sessions
    page = text_of(keeper)
    assert "Everybody was told this plan on Mon Apr 5, 8 a.m." in page
    assert "Tell everybody" not in page
    assert fields_of("warps", "runner")["looms"][0] == the_plan().allotment.places["runner"].loom

    before = the_plan().sessions
    gone = next(each for each in before if "clover" in each.people and each.start > datetime(2027, 4, 9))
    hours = f"Tuesdays 6:30 to 9\nThursdays 6:30 to 9\nnot {gone.start:%Y-%m-%d}"
    keeper.post("/event/people/clover", person_form(keeper, "clover") | {"hours": hours})
    page = text_of(keeper)
    assert "Tell everybody the changes" in page
    assert "What changes for whom" in page
    assert re.search(rf"Clover no longer .*{gone.start:%a %b} {gone.start.day} ", page)
    tell(keeper)
    assert "Everybody was told this plan" in text_of(keeper)
    assert not any(
        "clover" in each.people and each.start.date() == gone.start.date() for each in the_plan().sessions
    )


def test_each_warps_own_page_then_plans_with_the_loom_and_reed_that_were_told(keeper: Client) -> None:
    places = the_plan().allotment.places
    tell(keeper)
    for warp, place in places.items():
        planned = current_snapshot().plan_of(warp)
        assert planned is not None
        assert planned.plan is not None
        assert planned.plan.sley is not None
        assert (planned.plan.loom.key, planned.plan.sley.reed.key) == (place.loom, place.reed)
    assert the_plan().allotment.places == places


def test_telling_is_one_change_that_undo_takes_back(keeper: Client) -> None:
    looms = fields_of("warps", "runner")["looms"]
    tell(keeper)
    change = Change.objects.get(kind="agreed")
    assert "plan that people were told: new; 3 warps on their looms" in text_of(keeper, "/guild")
    keeper.post(f"/guild/undo/{change.pk}")
    assert not Record.objects.filter(kind="agreed").exists()
    assert fields_of("warps", "runner")["looms"] == looms
    assert "Tell everybody this plan" in text_of(keeper)


def test_a_plan_that_the_page_did_not_show_is_not_told(keeper: Client) -> None:
    answer = keeper.post("/event/agree", {"name": "another"})
    assert answer.status_code == 409
    assert not Record.objects.filter(kind="agreed").exists()


def test_what_was_reported_at_the_loom_is_not_planned_again(
    keeper: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    tell(keeper)
    assert any((each.warp, each.job) == ("towels", "winding") for each in the_plan().sessions)
    keeper.post("/warps/towels/step", {"step": "wound", "version": ""})
    assert Record.objects.filter(kind="progress", key="towels").exists()
    assert not any((each.warp, each.job) == ("towels", "winding") for each in the_plan().sessions)
    # Of a warp of which nothing is reported, what was planned until now counts as done.
    runner = [each for each in agreed_plan.sessions(current_snapshot()) or () if each.warp == "runner"]
    monkeypatch.setattr(clock, "now", lambda: runner[0].end)
    left = sum(
        (e.end - e.start).seconds for e in the_plan().sessions if (e.warp, e.job) == ("runner", "winding")
    )
    whole = sum((e.end - e.start).seconds for e in runner if e.job == "winding")
    assert left == whole - (runner[0].end - runner[0].start).seconds
    page = text_of(keeper)
    done = re.split("Everybody was told|What changes|To buy", page[page.index("Counts as done") :])[0]
    assert "runner : winding" in done
    assert "towels : winding" not in done


def test_what_people_were_told_comes_with_a_backup(keeper: Client) -> None:
    tell(keeper)
    data = backup_extras.text_of(current_snapshot()).encode()
    kept = Record.objects.get(kind="agreed").fields
    assert ("agreed", "agreed", kept) in backup_reader.things_in(data)


def test_a_helper_sees_the_plan_without_the_button(example: None) -> None:
    page = text_of(joined(Role.HELPER, "Elm"))
    assert "3 of 3 warps ready" in page
    assert "Tell everybody" not in page


def test_short_hours_say_what_is_missing_and_what_would_help(keeper: Client) -> None:
    for key in ("bracken", "clover", "dill"):
        version = Record.objects.get(kind="people", key=key).version
        keeper.post(f"/event/people/{key}/remove", {"version": version})
    page = text_of(keeper)
    assert "Not ready in time" in page
    assert "Nobody can do this" in page or "are missing before" in page


def test_an_event_without_warps_or_people_says_what_to_add(keeper: Client) -> None:
    version = Record.objects.get(kind="event").version
    form = {
        "name": "Small",
        "day-1": "2027-05-08",
        "opens-1": "10:00",
        "closes-1": "12:00",
        "version": version,
    }
    keeper.post("/event/about", form)  # no warp is ticked
    page = text_of(keeper)
    assert "No warp is planned yet; all has to be ready by Fri May 7, 7 p.m." in page
    assert "Plan a warp" in page


def test_an_event_that_is_over_says_so(keeper: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: datetime(2027, 6, 1, 8, 0))
    assert "is over: its last day ends at May 9, 2027" in text_of(keeper)


def test_sheets_to_print_hold_each_person_and_what_to_buy(keeper: Client) -> None:
    assert "1 Unmercerized cotton, brick 16 oz 21.50 USD" in text_of(keeper, "/event/order-list")
    sheets, plan = text_of(keeper, "/event/sheets"), the_plan()
    assert "all ready by Fri May 7, 7 p.m." in sheets
    own = sheets[sheets.index("Dill Sawmill") : sheets.index("Elm Sawmill")]
    assert own.count("a.m.") + own.count("p.m.") - 1 >= sum("dill" in each.people for each in plan.sessions)


def test_each_person_has_a_calendar_of_what_was_told(keeper: Client) -> None:
    tell(keeper)
    answer = keeper.get("/event/people/elm/calendar.ics")
    assert answer["Content-Type"].startswith("text/calendar")
    plan = the_plan()
    own = [each.start for each in plan.sessions if "elm" in each.people]
    own += [each.start for each in plan.day.turns if each.person == "elm"]
    starts = [each.decoded("dtstart") for each in Calendar.from_ical(answer.content).walk("VEVENT")]
    assert starts == own
    assert keeper.get("/event/people/nobody/calendar.ics").status_code == 404


@pytest.mark.django_db(transaction=True)
def test_planning_runs_apart_tells_the_page_and_can_be_canceled(
    keeper: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()
    monkeypatch.setattr(clock, "now", lambda: datetime(2027, 4, 20, 8, 0))
    planning.forget()
    version = Record.objects.get(kind="event").version
    keeper.post(
        "/event/about",
        {
            "name": "Small",
            "day-1": "2027-04-24",
            "opens-1": "10:00",
            "closes-1": "12:00",
            "warps": "runner",
            "version": version,
        },
    )
    first = keeper.get("/event").content.decode()
    assert "Planning who is at which loom when" in first
    name = re.search(r'name="name" value="(\w+)"', first)
    assert name is not None
    keeper.post("/event/cancel", {"name": name.group(1)})
    assert "Planning was canceled" in text_of(keeper)
    keeper.post("/event/again")
    until = time.monotonic() + PATIENCE_S
    while (answer := keeper.get("/event/state")).status_code == 204 and time.monotonic() < until:
        time.sleep(0.2)
    assert "of 1 warp ready by" in answer.content.decode()
    planning.forget()

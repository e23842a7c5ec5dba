"""Days: a date of the guild, and the day of a weighing."""

from __future__ import annotations

import re
from datetime import date

import pytest
from django.test import Client

from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of

pytestmark = pytest.mark.django_db


def test_a_date_of_an_older_version_begins_the_event_and_then_goes(weaver: Client) -> None:
    assert "Add an event" in weaver.get("/guild").content.decode()
    day = {"name": "open studio", "date": "2030-05-04"}
    store.write("day", "next", day, version=None, who="an older version")
    assert "open studio, May 4, 2030" in weaver.get("/guild").content.decode()
    address = "/event/about"
    filled = form_of(weaver, address)
    assert (filled["name"], filled["day-1"]) == ("open studio", "2030-05-04")
    sent = filled | {"opens-1": "10:00", "closes-1": "16:00", "all-warps": "yes"}
    assert weaver.post(address, sent).status_code == 302
    assert not Record.objects.filter(kind="day").exists()
    assert "Go to the event" in weaver.get("/guild").content.decode()


@pytest.mark.parametrize("day", ["0202-11-25", "9999-01-01"])
def test_a_weighing_of_an_impossible_year_is_said_beside_its_date(weaver: Client, day: str) -> None:
    address = "/shelf/cone/fern-big/weigh"
    response = weaver.post(address, form_of(weaver, address) | {"gross": "210", "weighed": day})
    assert response.status_code == 422
    assert re.search(r'id="weighed-error">.*is too far off', response.content.decode())


@pytest.mark.parametrize(("day", "says"), [("2031-01-01", "still to come"), ("2020-01-01", "a later one")])
def test_a_weighing_of_a_day_to_come_or_before_the_last_one_is_said(
    weaver: Client, day: str, says: str
) -> None:
    address = "/shelf/cone/fern-big/weigh"
    response = weaver.post(address, form_of(weaver, address) | {"gross": "210", "weighed": day})
    assert response.status_code == 422
    assert says in response.content.decode()


def test_changes_show_their_days_and_times_as_the_guild_writes_them(weaver: Client) -> None:
    today, warp = date.today(), current_snapshot().entries["warps", "towels"]
    wound = warp.fields | {"wound": f"{today.isoformat()}T08:30"}
    store.write("warps", "towels", wound, version=warp.version, who="Wren")
    page = weaver.get("/warps/towels").content.decode()
    assert f"wound on — → {today:%b} {today.day}, {today.year}, " in page
    assert f"{today.isoformat()} " not in page.split('<details class="changes">')[1]

"""Days: the next date of the guild, and the day of a weighing."""

from __future__ import annotations

import re
from datetime import date

import pytest
from django.test import Client

from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import day_version, form_of

pytestmark = pytest.mark.django_db


def test_the_second_to_save_the_next_date_is_shown_both(weaver: Client) -> None:
    assert day_version(weaver.get("/guild").content.decode()) == ""
    posted = {"version": "", "day-name": "open studio", "day-date": "2030-05-04"}
    assert weaver.post("/guild/day", posted).status_code == 302
    response = weaver.post("/guild/day", posted | {"day-date": "2030-05-05"})
    assert response.status_code == 409
    assert "<td>2030-05-04</td><td>2030-05-05</td>" in re.sub(r">\s+<", "><", response.content.decode())
    assert Record.objects.get(kind="day").fields["date"] == "2030-05-04"
    version = day_version(weaver.get("/guild").content.decode())
    assert (
        weaver.post("/guild/day", posted | {"version": version, "day-date": "2030-05-06"}).status_code == 302
    )
    assert Record.objects.get(kind="day").fields["date"] == "2030-05-06"
    assert weaver.get("/guild/day").headers["Location"] == "/guild"  # where "keep theirs" leads


@pytest.mark.parametrize("text", ["soon", "0026-10-03", "9999-12-31", ""])
def test_a_wrong_date_is_said_beside_it_and_the_name_stays(weaver: Client, text: str) -> None:
    weaver.post("/guild/day", {"version": "", "day-name": "open studio", "day-date": "2030-05-04"})
    response = weaver.post("/guild/day", {"version": "1", "day-name": "market & fair", "day-date": text})
    page = response.content.decode()
    assert response.status_code == 422
    assert 'id="day-date-error"' in page
    assert 'value="market &amp; fair"' in page
    assert day_version(page) == "1"
    assert Record.objects.get(kind="day").fields["name"] == "open studio"


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

"""A calendar to subscribe to: a private address for one person's sessions, while its device is let in."""

from __future__ import annotations

import re
from html import unescape

import pytest
from django.test import Client
from icalendar import Calendar

from loomready.app.models import Device
from loomready.app.sharing.roles import Role
from tests.app.asking import form_of
from tests.app.devices import joined, phone
from tests.app.event.test_plan_page import tell, the_plan

pytestmark = pytest.mark.usefixtures("quick_plans")


def address(client: Client, person: str) -> str:
    page = unescape(client.get("/event/people").content.decode())
    found = re.search(rf'href="webcal://[^/"]+(/calendars/{person}/[^"]+)"', page)
    assert found is not None
    return found.group(1)


def test_a_program_without_a_device_of_its_own_reads_what_that_person_was_told(keeper: Client) -> None:
    tell(keeper)
    plan, private = the_plan(), address(joined(Role.HELPER), "clover")
    answer = phone().get(private)
    assert answer.headers["Content-Type"].startswith("text/calendar")
    entries = Calendar.from_ical(answer.content).walk("VEVENT")
    sessions = {(each.start, each.end) for each in plan.sessions if "clover" in each.people}
    assert sessions <= {(each.decoded("dtstart"), each.decoded("dtend")) for each in entries}
    assert len({str(each["uid"]) for each in entries}) == len(entries)
    assert phone().get(private).content == answer.content
    assert address(keeper, "clover") != private
    assert phone().get(address(keeper, "clover")).content == answer.content


def test_the_address_of_one_calendar_opens_nothing_else(keeper: Client) -> None:
    private = address(joined(Role.HELPER), "clover")
    for other in (
        private.replace("clover", "dill"),
        private.replace(".ics", "0.ics"),
        private[:-5] + ("0" if private[-5] != "0" else "1") + ".ics",
        "/calendars/clover/0-.ics",
        "/calendars/clover/²-x.ics",
        "/calendars/clover/99999999999999999999-x.ics",
        "/event/people",
    ):
        assert phone().get(other).headers.get("Location") == "/join", other


def test_the_address_ends_with_the_device_that_it_was_made_on(keeper: Client) -> None:
    private = address(joined(Role.HELPER), "clover")
    Device.objects.filter(token__isnull=False).delete()
    joined(Role.HELPER)  # may get the number of the one before
    assert phone().get(private).headers["Location"] == "/join"


def test_the_calendar_of_somebody_who_is_no_longer_named_is_gone(keeper: Client) -> None:
    private = address(keeper, "clover")
    form = form_of(keeper, "/event/people/clover")
    assert keeper.post("/event/people/clover/remove", form).status_code == 302
    assert phone().get(private).status_code == 404


def test_who_has_nothing_to_do_yet_reads_the_days_of_the_event(keeper: Client) -> None:
    form = form_of(keeper, "/event/people-new") | {"name": "Fir", "hours": "", "most": ""}
    assert keeper.post("/event/people-new", form).status_code == 302
    entries = Calendar.from_ical(phone().get(address(keeper, "fir")).content).walk("VEVENT")
    assert [str(each["summary"]) for each in entries] == ["Spring open house"] * 2

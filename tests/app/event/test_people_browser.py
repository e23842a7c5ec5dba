"""Five people with their hours on a phone, and the plan that comes of it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import forget_entries
from tests.app.conftest import fresh
from tests.app.event.conftest import things

PEOPLE = (
    ("Alder", "Tuesdays 6:30 to 9\n2027-04-24 10:00-14:00", "Sat Apr 24 10 a.m.–2 p.m."),
    ("Bracken", "every other Saturday from 10 to 3 starting 2027-04-10", "Sat Apr 10 10 a.m.–3 p.m."),
    ("Clover", "Thursdays 6:30 to 9\nnot the 8th", "Thu Apr 15 6:30–9 p.m."),
    ("Dill", "weekdays 14:00-16:30 until 2027-04-23", "Mon Apr 5 2–4:30 p.m."),
)


@pytest.fixture
def phone(
    transactional_db: None, live_server: object, chromium: Browser, at_nine: None, quick_plans: None
) -> Iterator[Page]:
    """A phone in the example guild, where nobody helps yet."""
    forget_entries()
    store.load([each for each in things() if each[0] not in ("people", "classes")], who="the example")
    yield from fresh(chromium, str(live_server), 390)


def test_five_people_fill_in_their_hours_and_are_told_the_plan(phone: Page) -> None:
    phone.goto("/event")
    phone.get_by_role("link", name="Add who helps").click()
    for name, hours, read in PEOPLE:
        phone.get_by_label("Name").fill(name)
        phone.wait_for_load_state()
        phone.get_by_label("Hours", exact=True).fill(hours)
        expect(phone.locator("#understood")).to_contain_text(read)
        phone.get_by_role("button", name="Save person").click()
        expect(phone.get_by_role("heading", name="Who helps")).to_be_visible()
        phone.get_by_role("link", name="Add a person").click()

    phone.get_by_label("Name").fill("Elm")
    tuesday = phone.get_by_role("button", name="Tuesday, evening")
    tuesday.click()
    phone.get_by_role("button", name="Saturday, morning").click()
    expect(phone.get_by_label("Hours", exact=True)).to_have_value(
        "Tuesdays 6 pm to 9 pm\nSaturdays 9 am to noon"
    )
    expect(phone.locator("#understood")).to_contain_text("Tue Apr 6 6–9 p.m.")
    tuesday.click()
    expect(tuesday).to_have_attribute("aria-pressed", "false")
    expect(phone.locator("#understood")).not_to_contain_text("Tue Apr 6")
    phone.get_by_role("group", name="beaming").get_by_label("learns").check()
    assert tuesday.bounding_box()["height"] >= 44  # type: ignore[index]
    phone.get_by_role("button", name="Save person").click()
    expect(phone.get_by_role("heading", name="Who helps")).to_be_visible()
    elm = Record.objects.get(kind="people", key="elm").fields
    assert (elm["hours"], elm["learning"]) == (["Saturdays 9 am to noon"], ["beaming"])

    phone.goto("/event")
    expect(phone.locator(".status")).to_contain_text("3 of 3 warps ready by Fri May 7, 2027")
    assert phone.evaluate("document.documentElement.scrollWidth") == 390
    expect(phone.locator(".weeks")).to_be_hidden()
    phone.get_by_role("button", name="Tell everybody this plan").click()
    expect(phone.get_by_text("Everybody was told this plan on")).to_be_visible()
    phone.get_by_role("button", name="Undo").click()
    expect(phone.get_by_role("button", name="Tell everybody this plan")).to_be_visible()

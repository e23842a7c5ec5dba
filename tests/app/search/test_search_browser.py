"""The search by the keyboard alone, and a new name that is found at once, in a real browser."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.app.conftest import fresh


@pytest.fixture
def desk(chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 1440)


def test_two_letters_and_the_arrow_keys_lead_anywhere(demo: None, desk: Page) -> None:
    desk.goto("/shelf")
    desk.wait_for_load_state("networkidle")
    desk.keyboard.press("/")
    field = desk.get_by_role("combobox", name="Search the guild")
    expect(field).to_be_focused()
    desk.keyboard.type("po")
    expect(desk.get_by_role("option").first).to_have_attribute("aria-selected", "true")
    expect(desk.locator("#search-told")).to_contain_text("result")
    loom = desk.get_by_role("option", name="Porch loom loom")
    while loom.get_attribute("aria-selected") != "true":
        desk.keyboard.press("ArrowDown")
    expect(field).to_have_attribute("aria-activedescendant", loom.get_attribute("id") or "")
    with desk.expect_navigation():
        desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", name="Porch loom")).to_be_visible()
    desk.keyboard.press("/")
    desk.keyboard.type("po")
    expect(desk.get_by_role("listbox")).to_be_visible()
    desk.keyboard.press("Escape")
    expect(desk.get_by_role("listbox")).to_have_count(0)


def test_a_renamed_warp_is_found_by_its_new_name(demo: None, desk: Page) -> None:
    desk.goto("/warps/scarves")
    desk.get_by_role("link", name="Name and notes").click()
    desk.get_by_label("Name").fill("Anna & Beth")
    with desk.expect_navigation():
        desk.get_by_role("button", name="Save").click()
    expect(desk.get_by_role("heading", name="Anna & Beth")).to_be_visible()
    desk.wait_for_load_state("networkidle")
    desk.get_by_role("combobox", name="Search the guild").fill("beth")
    expect(desk.get_by_role("option").first).to_contain_text("Anna & Beth")
    with desk.expect_navigation():
        desk.keyboard.press("Enter")
    assert desk.url.endswith("/warps/scarves")

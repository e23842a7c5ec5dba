"""The buttons of an open count, pressed in a browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.django_db(transaction=True)


def test_pressing_a_reading_saves_it_and_enter_saves_what_was_typed(page: Page) -> None:
    page.goto("/")
    page.get_by_role("button", name="Start your own guild").click()
    page.goto("/shelf/new-yarn")
    page.get_by_label("Name").fill("Moss")
    page.get_by_label("Fiber").fill("wool")
    page.get_by_label("Count on the label").fill("2/8")
    page.get_by_role("button", name="Save yarn").click()
    expect(page.get_by_text("Which one?")).to_be_visible()
    page.get_by_role("button", name="2/8 Nm (").click()
    expect(page.get_by_text("2/8 Nm · wool")).to_be_visible()

    page.get_by_role("link", name="Moss", exact=True).click()
    page.get_by_label("Count on the label").fill("2/9")
    page.get_by_label("Count on the label").press("Enter")
    expect(page.get_by_role("button", name="2/9 worsted")).to_be_visible()
    page.get_by_label("Count on the label").fill("2/9 YSW")
    page.get_by_label("Count on the label").press("Enter")
    expect(page.get_by_text("2/9 YSW · wool")).to_be_visible()

"""Stripes on the planning page, in a browser: by keyboard and by thumb, with the strip beside them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.app.access import violations
from tests.app.conftest import fresh
from tests.app.warps.test_stripes import BLUE, CREAM, GREEN, lay, rows, table

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def phone(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 390)


@contextmanager
def saving(page: Page) -> Iterator[None]:
    """Whatever is done inside is answered before the test goes on."""
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        yield
    page.wait_for_load_state("networkidle")
    busy = page.locator(".htmx-request, .htmx-swapping, .htmx-settling, .htmx-added")
    expect(busy).to_have_count(0)


def press(page: Page, name: str) -> None:
    with saving(page):
        page.get_by_role("button", name=name).first.click()


def test_stripes_are_laid_moved_and_undone_on_a_phone(phone: Page) -> None:
    phone.goto("/warps/towels")
    press(phone, "Lay the warp in stripes")
    press(phone, "Add a stripe")
    with saving(phone):
        phone.get_by_label("Yarn of stripe 2").select_option(CREAM)
    phone.get_by_label("Ends in stripe 2").fill("4")
    with saving(phone):
        phone.keyboard.press("Tab")
    assert table()["stripes"] == rows((GREEN, 12), (CREAM, 4))
    expect(phone.locator(".striplive svg")).to_be_visible()
    phone.evaluate("window.scrollTo(0, 0)")  # nothing under the bar that stays at the top
    assert violations(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    press(phone, "Undo")
    assert table()["stripes"] == rows((GREEN, 12), (CREAM, 12))


def test_a_stripe_is_moved_by_keyboard_and_its_button_keeps_the_focus(phone: Page) -> None:
    lay(rows((GREEN, 12), (CREAM, 4), (BLUE, 2)))
    phone.goto("/warps/towels")
    before = phone.locator(".striplive").inner_html()
    phone.get_by_role("button", name="Stripe 3 of 3: move up").focus()
    with saving(phone):
        phone.keyboard.press("Enter")
    assert table()["stripes"] == rows((GREEN, 12), (BLUE, 2), (CREAM, 4))
    expect(phone.get_by_role("button", name="Stripe 2 of 3: move up")).to_be_focused()
    with saving(phone):
        phone.keyboard.press("Enter")
    assert table()["stripes"] == rows((BLUE, 2), (GREEN, 12), (CREAM, 4))
    expect(phone.get_by_role("button", name="Stripe 1 of 3: move up")).to_be_focused()
    assert phone.locator(".striplive").inner_html() != before

"""Every page for everyone: no violation that axe finds, no page wider than its screen."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.app.access import violations_on_phone_and_desk
from tests.app.asking import PAGES

pytestmark = pytest.mark.django_db(transaction=True)

PARTS = 4  # several workers look at once


@pytest.mark.parametrize("part", range(PARTS))
def test_no_page_has_a_violation(page: Page, part: int) -> None:
    page.goto("/")
    found = [f"/start: {line}" for line in violations_on_phone_and_desk(page)] if part == 0 else []
    page.get_by_role("button", name="Try the demo").click()
    expect(page.get_by_role("heading", name="Tin Roof Loom Room")).to_be_visible()
    for address in PAGES[part::PARTS]:
        page.goto(address)
        # A search under way asks again and again, and in the end fetches its page again.
        expect(page.locator("[hx-trigger^=every], [hx-trigger^=load]")).to_have_count(0)
        page.wait_for_load_state()
        found += [f"{address}: {line}" for line in violations_on_phone_and_desk(page)]
    assert found == []

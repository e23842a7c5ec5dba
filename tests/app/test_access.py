"""Every page for everyone: no violation that axe finds, no page wider than its screen."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.app.asking import PAGES
from tests.app.conftest import fresh

pytestmark = pytest.mark.django_db(transaction=True)
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "resultTypes": ["violations"],  # all that passes need not be told: half the time
}


PARTS = 3  # several workers look at once


@pytest.mark.parametrize("part", range(PARTS))
@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1440, "dark")])
def test_no_page_has_a_violation(
    chromium: Browser, live_server: object, width: int, scheme: str, part: int
) -> None:
    pages = fresh(chromium, str(live_server), width, scheme)
    page = next(pages)
    page.goto("/")
    found = [f"/start: {line}" for line in violations(page)]
    page.get_by_role("button", name="Try the demo").click()
    expect(page.get_by_role("heading", name="Tin Roof Loom Room")).to_be_visible()
    for address in PAGES[part::PARTS]:
        page.goto(address)
        # A search under way asks again and again, and in the end fetches its page again.
        expect(page.locator("[hx-trigger^=every], [hx-trigger^=load]")).to_have_count(0)
        page.wait_for_load_state()
        page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true })")
        found += [f"{address}: {line}" for line in violations(page)]
        if page.evaluate("document.documentElement.scrollWidth") > width:
            found.append(f"{address}: wider than the screen")
    next(pages, None)
    assert found == []


def violations(page: Page) -> list[str]:
    """What axe finds on the page, looked at from its top: what stays in sight covers nothing there."""
    page.evaluate("scrollTo(0, 0)")
    answer = Axe().run(page, options=RULES)
    return [
        f"{each['id']}: {node['html'][:160]} {node.get('failureSummary', '')[:200]}"
        for each in answer.response["violations"]
        for node in each["nodes"][:3]
    ]

"""The event's pages for everyone: no violation that axe finds, no page wider than its screen."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from loomready.app.state import store
from loomready.app.state.snapshot import forget_entries
from tests.app.conftest import fresh
from tests.app.event.conftest import things
from tests.app.test_access import violations

PAGES = (
    "/event",
    "/event/about",
    "/event/people",
    "/event/people/alder",
    "/event/people/alder/hours",
    "/event/pace",
    "/event/shop",
    "/event/shop/brick-half",
    "/event/order-list",
    "/event/sheets",
)


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1440, "dark")])
def test_no_page_of_the_event_has_a_violation(
    transactional_db: None,
    live_server: object,
    chromium: Browser,
    at_nine: None,
    quick_plans: None,
    width: int,
    scheme: str,
) -> None:
    forget_entries()
    store.load(things(), who="the example")
    pages = fresh(chromium, str(live_server), width, scheme)
    page = next(pages)
    found = []
    for address in PAGES:
        page.goto(address)
        page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true })")
        found += [f"{address}: {line}" for line in violations(page)]
        if page.evaluate("document.documentElement.scrollWidth") > width:
            found.append(f"{address}: wider than the screen")
    next(pages, None)
    assert found == []

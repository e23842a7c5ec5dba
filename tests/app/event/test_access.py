"""The event's pages for everyone: no violation that axe finds, no page wider than its screen."""

from __future__ import annotations

from playwright.sync_api import Page

from loomready.app.state import store
from loomready.app.state.snapshot import forget_entries
from tests.app.access import violations_on_phone_and_desk
from tests.app.event.conftest import things

PAGES = (
    "/event",
    "/event/about",
    "/event/people",
    "/event/people/alder",
    "/event/people/alder/hours",
    "/event/stands",
    "/event/stands/runner-stand",
    "/event/classes/cords",
    "/event/pace",
    "/event/shop",
    "/event/shop/brick-half",
    "/event/order-list",
    "/event/sheets",
)


def test_no_page_of_the_event_has_a_violation(
    transactional_db: None, at_nine: None, quick_plans: None, page: Page
) -> None:
    forget_entries()
    store.load(things(), who="the example")
    found = []
    for address in PAGES:
        page.goto(address)
        found += [f"{address}: {line}" for line in violations_on_phone_and_desk(page)]
    assert found == []

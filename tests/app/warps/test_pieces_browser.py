"""Pieces at the loom and on the planning page, in a browser."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.loomside.steps.weaving import weaving
from tests.app.access import violations
from tests.app.conftest import fresh
from tests.app.loomside.test_jobs_browser import done_next

pytestmark = pytest.mark.django_db(transaction=True)
ITEMS = [
    {
        "finished_length": "0.2 in",
        "hem": "0.1 in",
        "count": 2,
        "header": "1 in",
        "hem_draft": "drafts/advancing-waves.wif",
        "hem_weft_yarns": ["linen-blue"],
    },
    {"finished_length": "0.2 in", "fringe": "3 in"},
]


@pytest.fixture
def phone(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 360)


def short_towels() -> None:
    entry = current_snapshot().entry("warps", "towels")
    assert entry is not None
    store.write("warps", "towels", dict(entry.fields) | {"items": ITEMS}, version=entry.version, who="test")


def test_between_two_pieces_the_page_says_what_comes_there(phone: Page) -> None:
    short_towels()
    planned = current_snapshot().plan_of("towels")
    assert planned is not None
    assert planned.plan is not None
    job = weaving(planned.plan)
    phone.goto("/beside/towels/weaving")
    done_next(phone)
    expect(phone.get_by_text("First: Header 1 in, in waste yarn, cut away later")).to_be_visible()
    expect(phone.get_by_text("hem", exact=False).first).to_be_visible()
    second, third = job.pieces[1:]
    done_next(phone, second.first - 1)
    expect(phone.get_by_text("First: Cut line; Header 1 in")).to_be_visible()
    assert violations(phone) == []
    done_next(phone, third.first - second.first)
    expect(phone.get_by_text("First: Cut line; Fringe 3 in, left unwoven")).to_be_visible()
    expect(phone.get_by_text(f"To weave here: {job.stretches[-1].times}")).to_be_visible()
    done_next(phone, third.last - third.first)
    expect(phone.get_by_text("Then: Fringe 3 in, left unwoven; Cut line")).to_be_visible()


def test_hems_are_opened_and_chosen_on_the_planning_page(phone: Page) -> None:
    phone.goto("/warps/scarves")
    phone.get_by_text("Header, hems, weave of its own").first.click()
    phone.get_by_label("1: Header in waste yarn").fill("2 in")
    phone.keyboard.press("Tab")
    header = phone.get_by_text("Header 2 in, in waste yarn, cut away later").first
    expect(header).to_be_attached()  # the new plan is there
    phone.get_by_text("Weaving by piece").click()
    expect(header).to_be_visible()
    assert violations(phone) == []

"""A rigid heddle loom in a phone's browser: its gauge in the form, hole and slot, heddle up and down."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.draft.wif import writer
from tests.app.conftest import fresh
from tests.app.loomside.test_jobs_browser import done_next
from tests.cast import PLAIN

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def phone(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 360)


def test_a_rigid_heddle_loom_is_added_and_its_warp_is_threaded_and_woven(phone: Page) -> None:
    phone.goto("/looms/new")
    phone.get_by_label("Name").fill("Poplar")
    phone.get_by_label("Kind").select_option(label="rigid heddle")
    phone.get_by_label("Shafts").fill("1")
    phone.get_by_label("Weaving width").fill("24 in")
    phone.get_by_label("Gauge of a rigid heddle").fill("10 /in")
    phone.get_by_label("Loom waste").fill("20 in")
    phone.get_by_role("button", name="Save loom").click()
    expect(phone.get_by_text("rigid heddle loom, 1 heddle")).to_be_visible()
    assert current_snapshot().guild.loom("poplar").gauge_per_cm == pytest.approx(10 / 2.54)

    yarn = current_snapshot().guild.yarns[0].key
    store.write("drafts", "drafts/plain.wif", {"wif": writer.dumps(PLAIN).decode()}, version=None, who="test")
    fields = {
        "key": "band",
        "loom": "poplar",
        "draft": "drafts/plain.wif",
        "warp_yarns": [yarn],
        "weft_yarns": [yarn],
        "finished_width": "4 in",
        "items": [{"finished_length": "20 in"}],
        "sett": "10 /in",
        "ppi": "10 /in",
    }
    store.write("warps", "band", fields, version=None, who="test")
    phone.goto("/warps/band")
    expect(phone.get_by_text("heddle, 1 per hole and slot")).to_be_visible()
    expect(phone.get_by_label("Loom").locator("option:checked")).to_have_text("Poplar · 1 heddle")

    phone.goto("/beside/band/threading")
    expect(phone.get_by_text("each through a hole")).to_be_visible()
    done_next(phone)
    expect(phone.get_by_text("slot", exact=True).first).to_be_visible()
    expect(phone.get_by_text("hole", exact=True).first).to_be_visible()
    no_wider(phone)

    phone.goto("/beside/band/weaving")
    done_next(phone)
    expect(phone.get_by_text("heddle up", exact=True)).to_be_visible()
    done_next(phone)
    expect(phone.get_by_text("heddle down", exact=True)).to_be_visible()
    no_wider(phone)


def no_wider(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= 360

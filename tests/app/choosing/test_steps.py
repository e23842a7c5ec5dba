"""From a showpiece that is searched for to its packet: draft, colors, size, plan, by visible labels only."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, expect

from tests.app.conftest import fresh

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_showpiece_on_16_shafts_from_the_search_to_its_packet(
    demo: None, chromium: Browser, live_server: object
) -> None:
    pages = fresh(chromium, str(live_server), 1440)
    page = next(pages)
    page.goto("/")
    page.get_by_role("link", name="Drafts").click()
    page.get_by_role("link", name="Search drafts").click()
    page.get_by_label("Loom", exact=True).select_option(label="Pantry loom · 16 shafts, levers")
    page.get_by_label("Pick repeat at most").fill("10")
    page.get_by_label("Symmetric").check()
    page.get_by_role("button", name="Search drafts").click()
    page.get_by_role("button", name=re.compile("^Use this draft: 1,")).click()
    expect(page.get_by_role("heading", name="New warp")).to_be_visible()

    page.get_by_label("Name").fill("showpiece")
    page.get_by_label("Finished width").fill("12")
    page.get_by_label("Finished length").fill("60 in")
    page.get_by_role("button", name="Plan the warp").click()
    page.get_by_role("link", name="Change colors").click()
    page.get_by_role("button", name="Use these yarns, then set size").first.click()
    expect(page.get_by_role("heading", name="Size of showpiece")).to_be_visible()
    page.get_by_role("button", name=re.compile("^Use this size: ")).last.click()

    expect(page.get_by_role("heading", name="showpiece", exact=True)).to_be_visible()
    expect(page.get_by_text("Stop.")).to_have_count(0)
    expect(page.get_by_text("edges do not match")).to_have_count(0)
    with page.expect_download() as download:
        page.get_by_role("button", name="Print the packet").click()
    assert download.value.path().read_bytes().startswith(b"%PDF")
    next(pages, None)

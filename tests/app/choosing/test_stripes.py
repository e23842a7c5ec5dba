"""The page that proposes stripes: what it shows, and how one is taken into the plan."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from django.test import Client
from playwright.sync_api import Browser, Page

from loomready.app.state.snapshot import current_snapshot
from tests.app.access import violations
from tests.app.conftest import fresh

pytestmark = pytest.mark.django_db(transaction=True)
ADDRESS = "/warps/towels/stripes"


@pytest.fixture
def phone(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 390)


def test_a_proposal_is_taken_into_the_plan_as_one_change(weaver: Client) -> None:
    page = weaver.get(ADDRESS).content.decode()
    assert page.count("Use these stripes") == 6
    version = re.search(r'name="version" value="(\d+)"', page)
    assert version is not None
    asked = {"kind": "fibonacci", "yarn": ["cottolin-green", "cottolin-cream"], "version": version[1]}
    assert weaver.post(ADDRESS, asked).status_code == 302
    entry = current_snapshot().entry("warps", "towels")
    assert entry is not None
    assert [row["ends"] for row in entry.fields["stripes"]] == [2, 3, 5, 8, 13, 21, 34] * 2
    assert "warp_yarns" not in entry.fields
    assert "warp stripes" in weaver.get("/warps/towels").content.decode()


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"widest": "many"}, "whole number"),
        ({"narrowest": "9", "widest": "3"}, "narrowest first"),
        ({"stripes": "0"}, "expected 1 to 200"),
        ({"yarn": "plum"}, "yarns of the guild"),
    ],
)
def test_what_means_nothing_is_said_and_nothing_is_proposed(
    weaver: Client, asked: dict[str, str], says: str
) -> None:
    page = weaver.get(ADDRESS, asked).content.decode()
    assert says in page
    assert "Use these stripes" not in page
    assert weaver.post(ADDRESS, asked | {"kind": "even"}).status_code == 422


def test_a_kind_that_is_none_changes_nothing(weaver: Client) -> None:
    before = current_snapshot().entry("warps", "towels")
    weaver.post(ADDRESS, {"kind": "zigzag"})
    after = current_snapshot().entry("warps", "towels")
    assert before is not None
    assert after is not None
    assert before.fields == after.fields


def test_the_page_fits_a_phone_and_is_accessible(phone: Page) -> None:
    phone.goto(ADDRESS)
    phone.wait_for_load_state("networkidle")
    assert violations(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    with phone.expect_navigation():
        phone.get_by_role("button", name="Another random one").click()
    assert phone.get_by_label("Random: number to start from").input_value() == "2"

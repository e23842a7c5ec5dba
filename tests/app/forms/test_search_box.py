"""Finding one yarn, cone or draft among many."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from playwright.sync_api import Browser, expect

from loomready.app.archive.new_guild import begin_with
from loomready.app.forms import search_box
from loomready.app.state import store
from tests.app.conftest import fresh


@pytest.fixture
def many(weaver: Client) -> Client:
    for number in range(search_box.MANY):
        fields = {"key": f"extra-{number}", "name": f"Linen, extra {number}", "count": "16/1 lea"}
        store.write("yarns", f"extra-{number}", fields, version=None, who="here")
    return weaver


def shown(client: Client, find: str) -> list[str]:
    page = client.get("/shelf", {"find": find}).content.decode()
    return re.findall(r'href="/shelf/yarn/([\w-]+)"', page)


@pytest.mark.django_db
def test_a_yarn_is_found_by_any_words_of_its_name(many: Client) -> None:
    assert shown(many, "EXTRA  3") == ["extra-3"]
    assert shown(many, "fern cottolin") == ["cottolin-green"]
    assert len(shown(many, " ")) > search_box.MANY


@pytest.mark.django_db
def test_a_cone_leads_to_its_yarn(many: Client) -> None:
    assert shown(many, "fern-big") == ["cottolin-green"]


@pytest.mark.django_db
def test_what_is_not_there_is_said_and_what_was_typed_stays(many: Client) -> None:
    page = many.get("/shelf", {"find": '<b>"mohair'}).content.decode()
    assert "No yarn or cone matches." in page
    assert 'value="&lt;b&gt;&quot;mohair"' in page
    assert "Nothing is on the shelf yet" not in page


@pytest.mark.django_db
def test_a_short_shelf_is_seen_without_seeking(db: None, client: Client) -> None:
    begin_with("empty")
    for number in range(search_box.MANY + 1):
        assert 'id="find"' not in client.get("/shelf").content.decode()
        fields = {"key": f"linen-{number}", "name": f"Linen {number}", "count": "16/1 lea"}
        store.write("yarns", f"linen-{number}", fields, version=None, who="here")
    assert 'id="find"' in client.get("/shelf").content.decode()


@pytest.mark.django_db(transaction=True)
def test_the_shelf_follows_while_a_name_is_typed(
    many: Client, chromium: Browser, live_server: object
) -> None:
    for page in fresh(chromium, str(live_server), 360):
        page.goto("/shelf")
        page.get_by_label("Search yarns and cones").press_sequentially("fern-b")
        expect(page.get_by_text(re.compile(r"^1 of \d+$"))).to_be_visible()
        expect(page.get_by_role("link", name="Weigh fern-big")).to_be_visible()
        expect(page.get_by_label("Search yarns and cones")).to_be_focused()
        expect(page).to_have_url(re.compile(r"/shelf\?find=fern-b$"))

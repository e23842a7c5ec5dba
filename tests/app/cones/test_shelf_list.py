"""Yarns on the shelf: found, filtered, sorted and put in another order; a large shelf stays low."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from playwright.sync_api import Browser, expect

from loomready.app.archive import backup_reader
from loomready.app.archive.new_guild import begin_with
from loomready.app.forms.list_filter import MANY
from loomready.app.models import Change
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.yarn.label import label
from tests.app.conftest import fresh


@pytest.fixture
def many(weaver: Client) -> Client:
    for number in range(MANY):
        fields = {"key": f"extra-{number}", "name": f"Linen, extra {number}", "count": "16/1 lea"}
        store.write("yarns", f"extra-{number}", fields, version=None, who="here")
    return weaver


def shown(client: Client, find: str) -> list[str]:
    page = client.get("/shelf", {"find": find}).content.decode()
    return yarns_of(page)


def yarns_of(page: str) -> list[str]:
    return re.findall(r'href="/shelf/yarn/([\w-]+)"', page)


@pytest.mark.django_db
def test_a_yarn_is_found_by_any_words_of_its_name(many: Client) -> None:
    assert shown(many, "EXTRA  3") == ["extra-3"]
    assert shown(many, "fern cottolin") == ["cottolin-green"]
    assert len(shown(many, " ")) > MANY


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
    for number in range(MANY + 1):
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
        expect(page).to_have_url(re.compile(r"/shelf\?find=fern-b&"))


def asked(client: Client, **given: str) -> list[str]:
    return yarns_of(client.get("/shelf", given).content.decode())


@pytest.mark.django_db
def test_yarns_are_filtered_by_fiber_count_color_and_what_is_left(weaver: Client) -> None:
    yarns = {each.key: each for each in current_snapshot().guild.yarns}
    assert asked(weaver, fiber="linen") == [key for key, each in yarns.items() if each.fiber == "linen"]
    counted = [key for key, each in yarns.items() if label(each) == "5/2 Ne"]
    assert counted
    assert asked(weaver, count="5/2 Ne") == counted
    assert "wool-indigo" in asked(weaver, color="blue")
    assert "wool-rust" not in asked(weaver, color="blue")
    assert set(asked(weaver, holds="claimed")).isdisjoint(asked(weaver, holds="free"))
    assert len(asked(weaver, holds="claimed")) + len(asked(weaver, holds="free")) == len(yarns)
    assert asked(weaver, holds="short") == []
    store.write(
        "yarns", "bare", {"key": "bare", "name": "Bare", "count": "16/1 lea"}, version=None, who="here"
    )
    assert asked(weaver, holds="none") == ["bare"]
    assert asked(weaver, sort="least")[0] == "bare"
    assert asked(weaver, fiber="moonbeam", sort="sideways") == [*yarns, "bare"]


@pytest.mark.django_db
def test_yarns_are_sorted_by_name_fineness_and_color(weaver: Client) -> None:
    yarns = {each.key: each for each in current_snapshot().guild.yarns}
    named = asked(weaver, sort="name")
    assert [yarns[key].name.casefold() for key in named] == sorted(
        each.name.casefold() for each in yarns.values()
    )
    assert [yarns[key].tex for key in asked(weaver, sort="fine")] == sorted(
        each.tex for each in yarns.values()
    )
    assert asked(weaver, sort="least") == list(reversed(asked(weaver, sort="most")))
    assert sorted(asked(weaver, sort="color")) == sorted(yarns)


@pytest.mark.django_db
def test_a_yarn_is_moved_on_the_shelf_and_back_by_undo(weaver: Client) -> None:
    before = asked(weaver)
    weaver.post(f"/shelf/yarn/{before[3]}/move", {"to": "first"})
    assert asked(weaver) == [before[3], *before[:3], *before[4:]]
    weaver.post(f"/guild/undo/{Change.objects.latest('pk').pk}")
    assert asked(weaver) == before
    assert weaver.post(f"/shelf/yarn/{before[0]}/move", {"to": "up"}).status_code == 409
    assert "Move to the top" not in weaver.get("/shelf?arrange=yes&sort=name").content.decode()
    assert "Move to the top" in weaver.get("/shelf?arrange=yes").content.decode()


@pytest.mark.django_db
def test_the_order_of_the_shelf_comes_back_from_a_backup() -> None:
    assert backup_reader.readable("order", "yarns", {"keys": ["wool-rust", "wool-moss"]})
    assert not backup_reader.readable("order", "reeds", {"keys": ["8-dent"]})


@pytest.mark.django_db
def test_cones_lie_under_their_yarn_and_one_alone_is_weighed_in_one_tap(weaver: Client) -> None:
    page = weaver.get("/shelf").content.decode()
    row = page[page.index('id="cottolin-cream"') :]
    row = row[: row.index("</section>")]
    assert "1 cone" in row
    assert row.index("/weigh") < row.index("<details")
    assert 'shelf-cones" open' not in page
    assert 'shelf-cones" open' in weaver.get("/shelf?find=rust").content.decode()

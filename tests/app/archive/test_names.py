"""Names as people type them, and words for what still needs a thing."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.forms import fields
from loomready.app.models import Record
from loomready.guildfile.texts import Identifier
from tests.app.asking import form_of

pytestmark = pytest.mark.django_db

NEW_WARP = {
    "loom": "porch",
    "draft": "drafts/broken-twill.wif",
    "finished_width": "8 in",
    "items-1-finished_length": "20 in",
    "items-1-count": "1",
}


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("hall runner", "hall runner"),
        ("Aunt’s towels (blue)", "Aunts towels blue"),
        ("  a / b  ", "a b"),
        ("№ 5: läufer", "5 läufer"),
        (".hidden.", "hidden"),
        ("x" * 90, "x" * 64),
        ("🧶", ""),
    ],
)
def test_a_name_becomes_a_key_that_the_guild_file_takes(typed: str, key: str) -> None:
    assert fields.as_key(typed) == key
    if key:
        assert Identifier().read(key) == key


def test_a_new_warp_may_have_any_name(weaver: Client) -> None:
    response = weaver.post("/warps-new", NEW_WARP | {"key": "Aunt’s towels (blue)"})
    assert response.headers["Location"] == "/warps/Aunts%20towels%20blue"


def test_a_name_stays_as_it_was_typed(weaver: Client) -> None:
    page = weaver.post("/warps-new", NEW_WARP | {"key": " Aunt’s  towels (blue)"}, follow=True)
    assert "<h1>Aunt’s towels (blue)</h1>" in page.content.decode()


def test_names_alike_get_keys_of_their_own(weaver: Client) -> None:
    keys = [weaver.post("/warps-new", NEW_WARP | {"key": "hall"}).headers["Location"]]
    weaver.post("/warps/hall/name", form_of(weaver, "/warps/hall/name") | {"name": "Anna & Beth"})
    keys.append(weaver.post("/warps-new", NEW_WARP | {"key": "hall"}).headers["Location"])
    assert keys == ["/warps/hall", "/warps/hall-2"]


def test_a_name_that_is_taken_is_said_while_it_is_typed(weaver: Client) -> None:
    assert "warps-new/name" in weaver.get("/warps-new").content.decode()
    ask = "/warps-new/name"
    assert weaver.get(ask, {"key": "Aunt’s towels"}).content == b""
    assert weaver.get(ask, {"key": "runner"}).content == b""
    assert "already" in weaver.get(ask, {"key": "TOWELS"}).content.decode()
    assert "<b>" not in weaver.get(ask, {"key": "<b>"}).content.decode()


@pytest.mark.parametrize(("name", "word"), [("Towels", "already"), ("🧶", "Is missing"), ("", "Is missing")])
def test_a_warp_name_that_cannot_be_is_said_beside_it(weaver: Client, name: str, word: str) -> None:
    response = weaver.post("/warps-new", NEW_WARP | {"key": name})
    assert response.status_code == 422
    assert re.search(f'id="key-error">.*{word}', response.content.decode())


def test_a_reed_may_be_called_what_is_written_on_it(weaver: Client) -> None:
    weaver.post("/looms/new-reed", {"key": "12/in, steel", "dents": "12", "width": "25 1/2"})
    kept = Record.objects.get(kind="reeds", key="12 in steel").fields
    assert (kept["dents"], kept["width"]) == ("12 /in", "25.5 in")
    again = weaver.post("/looms/new-reed", {"key": "12 IN steel", "dents": "12", "width": "25"})
    assert "already" in again.content.decode()


@pytest.mark.parametrize(
    ("address", "form"),
    [
        ("/looms/new", {"name": "{}", "kind": "jack", "shafts": "4", "heddles": "90", "waste": "20 in"}),
        ("/shelf/new-yarn", {"name": "{}", "count": "8/2 Ne", "color": "#aabbcc"}),
    ],
)
def test_two_of_one_name_are_refused_beside_the_name(
    weaver: Client, address: str, form: dict[str, str]
) -> None:
    for name, status in (("Our Own", 302), ("our own", 422)):
        filled = {key: text.format(name) for key, text in form.items()} | {"weaving_width": "24 in"}
        response = weaver.post(address, filled)
        assert response.status_code == status
    assert re.search(r'id="name-error">.*already a .* with this name', response.content.decode())


def test_one_number_of_heddles_counts_for_every_shaft(weaver: Client) -> None:
    form = form_of(weaver, "/looms/new") | {
        "name": "Big",
        "shafts": "8",
        "weaving_width": "40",
        "waste": "27",
    }
    assert weaver.post("/looms/new", form).status_code == 302
    assert Record.objects.get(kind="looms", key="big").fields["heddles"] == [100] * 8
    page = weaver.get("/looms").content.decode()
    assert "jack loom, 8 shafts" in page
    assert "<dt>Weaving width</dt><dd>40 in</dd>" in page


def test_looms_and_reeds_are_shown_in_the_units_of_the_guild(weaver: Client) -> None:
    weaver.post("/guild", form_of(weaver, "/guild") | {"units": "metric"})
    page = weaver.get("/looms").content.decode()
    main = page[page.index("<main") :]
    assert " cm</dd>" in main
    assert "dents/10 cm" in main
    assert not re.search(r"\d in\b|/in", main)


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("/looms/loom/porch", "planned on “"),
        ("/drafts/drafts/broken-twill.wif/look", "weave"),
        ("/shelf/yarn/wool-rust", "is still needed: Worsted wool, rust #"),
    ],
)
def test_what_is_needed_stays_and_says_by_whom(weaver: Client, address: str, words: str) -> None:
    page = weaver.get(address).content.decode()
    form = page[page.index('class="remove"') :]
    where, version = re.search(r'action="([^"]+)".*?name="version" value="(\d+)"', form, re.S).groups()  # type: ignore[union-attr]
    response = weaver.post(where, {"version": version})
    said = response.content.decode()
    assert response.status_code == 409
    assert words in said
    assert "first, or remove" in said
    assert "[warps" not in said

"""One search finds whatever the guild has, and the pages of the app."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from loomready.app.search.ranking import MOST_OFFERED, offered, ranked
from loomready.app.search.things import KINDS, Thing, fold
from loomready.app.sharing.roles import Role
from tests.app.asking import form_of
from tests.app.devices import joined


def thing(name: str, kind: str = "yarns", words: str = "") -> Thing:
    folded = fold(f"{name}\n{words}")
    return Thing(kind, name, f"/{name}", words=words, folded_name=fold(name), folded=folded)


def names(found: list[Thing]) -> list[str]:
    return [each.name for each in found]


def links(page: str) -> list[str]:
    main = page[page.index("<main") :] if "<main" in page else page
    return re.findall(r'href="([^"]+)"', main)


def found(client: Client, words: str) -> list[str]:
    return links(client.get("/search", {"q": words}).content.decode())


def test_names_that_begin_so_come_before_words_in_them_and_these_before_other_words() -> None:
    things = [thing("Bright rust", words="rusty"), thing("Wool", words="rust"), thing("Crust"), thing("Rust")]
    assert names(ranked(things, "ru")) == ["Rust", "Bright rust", "Crust", "Wool"]


def test_every_word_must_match_in_any_order_without_capitals_and_accents() -> None:
    things = [thing("Läufer, blau"), thing("Laufer, rot")]
    assert names(ranked(things, "BLAU lauf")) == ["Läufer, blau"]
    assert names(ranked(things, "läu")) == ["Läufer, blau", "Laufer, rot"]


@pytest.mark.parametrize("typed", ["", "w", " w ", "  "])
def test_less_than_two_letters_find_nothing(typed: str) -> None:
    assert ranked([thing("w w")], typed) == []


def test_a_few_of_each_kind_are_offered_and_the_rest_fills_up() -> None:
    many = [thing(f"wool {n:02}", kind) for kind in ("yarns", "cones") for n in range(30)]
    kinds = [each.kind for each in offered(many)]
    assert kinds == ["yarns"] * 6 + ["cones"] * 4
    assert len(offered(many[:30])) == MOST_OFFERED


ROWS = st.lists(st.tuples(st.sampled_from(sorted(KINDS)), st.text(max_size=6)), max_size=40, unique=True)


@given(ROWS, st.text(max_size=4))
def test_what_is_offered_is_some_of_what_is_found_in_its_order(
    rows: list[tuple[str, str]], typed: str
) -> None:
    all_found = ranked([thing(name, kind) for kind, name in rows], typed)
    few = offered(all_found)
    assert len(few) == min(len(all_found), MOST_OFFERED)
    assert few[:1] == all_found[:1]
    assert all(all_found.index(one) < all_found.index(two) for one, two in pairwise(few))


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("words", "address"),
    [
        ("scarv", "/warps/scarves"),
        ("scarves loom", "/beside/scarves"),
        ("broken twill", "/drafts/drafts/broken-twill.wif/look"),
        ("rust", "/shelf/yarn/wool-rust"),
        ("2/16 rust", "/shelf/yarn/wool-rust"),
        ("rust #1", "/shelf/cone/wool-rust-1"),
        ("fern-big", "/shelf/cone/fern-big"),
        ("lot 117", "/shelf/cone/cotton-walnut-1"),
        ("porch", "/looms/loom/porch"),
        ("8-dent", "/looms/reed/8-dent"),
        ("back wall", "/boards/wall"),
        ("new warp", "/warps-new"),
        ("history", "/guild"),
        ("share", "/share"),
    ],
)
def test_everything_can_be_found(weaver: Client, words: str, address: str) -> None:
    assert address in found(weaver, words)


@pytest.mark.django_db
def test_a_project_record_is_found_by_its_warp(weaver: Client) -> None:
    weaver.post("/records/scarves", form_of(weaver, "/records/scarves") | {"fell_width": "10 in"})
    assert "/records/scarves" in found(weaver, "project record scarves")


@pytest.mark.django_db
def test_what_was_renamed_is_found_by_its_new_name_and_still_by_its_key(weaver: Client) -> None:
    form = form_of(weaver, "/warps/scarves/name") | {"name": "Anna & Beth"}
    weaver.post("/warps/scarves/name", form)
    assert found(weaver, "anna beth")[0] == "/warps/scarves"
    assert "/warps/scarves" in found(weaver, "scarves")


@pytest.mark.django_db
def test_a_helper_is_offered_no_page_that_helpers_may_not_use(demo: None) -> None:
    helper, keeper = joined(Role.HELPER), joined(Role.KEEPER)
    assert "/warps-new" in found(keeper, "new warp")
    assert "/warps-new" not in found(helper, "new warp")
    assert "/share" not in found(keeper, "share")
    for address in found(helper, "co"):
        assert helper.get(address).status_code in (200, 302)


@pytest.mark.django_db
def test_offers_are_a_list_that_leads_to_all_results(weaver: Client) -> None:
    part = weaver.get("/search/offers", {"q": "wo"}).content.decode()
    assert part.count('role="option"') == MOST_OFFERED + 1
    assert links(part)[-1] == "/search?q=wo"
    assert len(found(weaver, "wo")) > MOST_OFFERED
    nothing = weaver.get("/search/offers", {"q": "zzz"}).content.decode()
    assert "Nothing matches" in nothing
    assert "listbox" not in nothing


@pytest.mark.django_db
def test_the_field_is_a_plain_form_on_every_page(weaver: Client) -> None:
    for address in (
        "/",
        "/shelf",
        "/warps/scarves",
        "/drafts/drafts/broken-twill.wif/edit",
        "/guild",
        "/records",
    ):
        head = weaver.get(address).content.decode().partition("<main")[0]
        assert re.search(r'<form class="search" role="search" method="get" action="/search"', head)
        assert 'name="q"' in head
    assert "data-search" in weaver.get("/beside/scarves/winding").content.decode()


@pytest.mark.django_db
def test_what_was_typed_is_shown_as_text(weaver: Client) -> None:
    page = weaver.get("/search", {"q": "<b>&'\""}).content.decode()
    assert "<b>&" not in page
    assert "Nothing matches “&lt;b&gt;&amp;" in page

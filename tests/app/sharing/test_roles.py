"""What each role may do: every address has a rule, and pages show no button that its reader may not use."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, resolve, reverse

from loomready.app.models import Record
from loomready.app.sharing import change_poll
from loomready.app.sharing.roles import Role, needed, rule_of
from tests.app.asking import PAGES, form_of
from tests.app.devices import fill_history, joined, phone


def patterns(resolver: URLResolver | None = None) -> Iterator[URLPattern]:
    for each in (resolver or get_resolver()).url_patterns:
        if isinstance(each, URLResolver):
            yield from patterns(each)
        else:
            yield each


NAMES = sorted(str(each.name) for each in patterns())
_SAMPLES = {"int": 1, "str": "x", "path": "drafts/x.wif", "slug": "x"}


def address_of(name: str) -> str:
    """An address of this name; what it names need not be there."""
    pattern = next(each for each in patterns() if each.name == name)
    samples = {
        key: _SAMPLES[type(converter).__name__.removesuffix("Converter").lower().replace("string", "str")]
        for key, converter in pattern.pattern.converters.items()
    }
    return reverse(name, kwargs=samples)


# The table of roles


def test_every_address_has_a_name_and_a_rule() -> None:
    assert [each.pattern for each in patterns() if not each.name] == []
    assert [name for name in NAMES if rule_of(name) is None] == []


def test_what_nobody_has_thought_about_is_the_owners() -> None:
    assert rule_of("cellar") is None
    assert needed("cellar", "GET") is needed("cellar", "POST") is Role.OWNER


@pytest.mark.parametrize(
    "name", ["guild-backup", "guild-bring", "guild-bring-confirmed", "sharing-code", "start"]
)
def test_a_whole_guild_and_who_is_let_in_are_the_owners(name: str) -> None:
    assert needed(name, "GET") is needed(name, "POST") is Role.OWNER


@pytest.mark.parametrize("role", [Role.HELPER, Role.KEEPER])
def test_every_address_keeps_to_the_table(demo: None, role: Role) -> None:
    client = joined(role)
    client.raise_request_exception = False  # what is not there, or is not valid, is not a refusal
    for name in NAMES:
        if name in ("sharing-leave", "sharing-join"):
            continue
        for method, send in (("GET", client.get), ("POST", client.post)):
            refused = b"join with a keeper" in (answer := send(address_of(name))).content
            refused |= b"only on the computer that runs" in answer.content
            assert refused == (needed(name, method) > role), f"{method} {name}"
            assert not refused or answer.status_code == 403


@pytest.mark.parametrize("method", ["put", "delete", "patch"])
def test_a_method_that_is_not_looking_counts_as_sending(demo: None, method: str) -> None:
    assert getattr(joined(Role.HELPER), method)("/warps/towels").status_code == 403


def test_without_a_token_every_page_leads_to_the_door(demo: None) -> None:
    client = phone()
    for address in (*(address_of(name) for name in NAMES if name != "sharing-join"), "/nowhere"):
        for answer in (client.get(address), client.post(address)):
            assert answer.status_code == 302, address
            assert answer.headers["Location"] == "/join", address
    assert client.get("/join").status_code == 200


class _Forms(HTMLParser):
    """The addresses to which a page's forms send, but for those in a disabled set of fields."""

    def __init__(self, here: str) -> None:
        super().__init__()
        self.here, self.to, self.sends = here, "", set[str]()
        self.sets: list[bool] = []  # the sets of fields around, and whether each is disabled

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = dict(attrs)
        if tag == "form" and (has.get("method") or "get").lower() == "post":
            self.to = has.get("action") or self.here
        elif tag == "fieldset":
            self.sets.append("disabled" in has)
        elif tag == "button" and self.to and not any(self.sets) and has.get("type", "submit") == "submit":
            self.sends.add(has.get("formaction") or self.to)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.to = ""
        elif tag == "fieldset":
            self.sets.pop()


_DRAFT = "/drafts/drafts/broken-twill.wif"
MORE_PAGES = (
    *("/drafts-new", "/make", "/make/point-twill", "/beside", "/beside/towels/threading"),
    *(f"{_DRAFT}/{each}" for each in ("tabby", "balance", "turn", "turn/treadles")),
    *(f"/warps/towels/{each}" for each in ("colors", "size")),
)


@pytest.mark.parametrize("role", [Role.HELPER, Role.KEEPER])
def test_no_page_shows_a_button_that_its_reader_may_not_use(demo: None, role: Role) -> None:
    fill_history()
    client, sent = joined(role), set[str]()
    for page in (*PAGES, *MORE_PAGES):
        forms, answer = _Forms(page), client.get(page)
        assert answer.status_code in ((403,) if page in ("/share", "/steps") else (200, 302)), page
        forms.feed(answer.content.decode())
        for address in forms.sends:
            name = str(resolve(address.partition("?")[0]).url_name)
            sent.add(name)
            assert needed(name, "POST") <= role, f"{page} sends to {name}"
    assert {"shelf-weigh", "warps-step"} <= sent
    assert ("warps-plan" in sent) == ("guild-undo" in sent) == (role is Role.KEEPER)


def test_the_owner_still_has_every_button(weaver: Client) -> None:
    page = weaver.get("/guild").content.decode()
    assert "Download a backup" in page
    assert "Share on this network" in page
    assert "disabled" not in page


def test_a_helper_weighs_and_the_history_says_who(demo: None) -> None:
    client = joined(Role.HELPER, "Wren")
    address = "/shelf/cone/fern-big/weigh"
    assert client.post(address, form_of(client, address) | {"gross": "180"}).status_code == 302
    assert Record.objects.get(kind="cones", key="fern-big").fields["gross"] == "180 g"
    assert "· Wren" in client.get("/guild").content.decode()


def test_a_helper_is_refused_with_a_word_and_nothing_changes(demo: None) -> None:
    client = joined(Role.HELPER)
    before = change_poll.beat()
    answer = client.post("/looms/reed/8-dent", {"dents": "9 /in", "width": "20 in", "version": "1"})
    assert answer.status_code == 403
    assert "join with a keeper&#x27;s code" in answer.content.decode()
    assert change_poll.beat() == before


def test_a_refusal_inside_a_page_takes_the_place_of_its_matter(demo: None) -> None:
    answer = joined(Role.HELPER).post("/warps/towels", {"version": "1"}, headers={"hx-request": "true"})
    assert answer.status_code == 403
    assert answer.headers["HX-Retarget"] == "main"
    assert "<html" not in answer.content.decode()


def test_a_keeper_edits_and_takes_back(demo: None) -> None:
    client = joined(Role.KEEPER, "Moss")
    address = "/looms/reed/8-dent"
    assert client.post(address, form_of(client, address) | {"width": "31 in"}).status_code == 302
    page = client.get("/guild").content.decode()
    assert "· Moss" in page
    number = re.search(r"/guild/undo/(\d+)", page)
    assert number
    client.post(number.group(0))
    assert Record.objects.get(kind="reeds", key="8-dent").fields["width"] != "31 in"

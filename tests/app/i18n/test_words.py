"""Every word of a page comes from the catalog; whatever is left are names that somebody gave."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from gettext import NullTranslations
from pathlib import Path

import pytest
from babel.messages.pofile import read_po, write_po
from django.test import Client
from django.utils import translation
from django.utils.translation import trans_real

from loomready.app.i18n import catalog
from loomready.app.i18n.engine_texts import of_engine
from loomready.app.state.snapshot import current_snapshot
from tests.app.test_bare_text import Text
from tests.marked import Marked


class Wrapped(Marked, NullTranslations):
    """The catalog that marks every text, as Django takes it."""

    def to_language(self) -> str:
        return "xx"

    def language(self) -> str:
        return "xx"


@pytest.fixture
def wrapped(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setitem(trans_real._translations, "xx", Wrapped())  # type: ignore[attr-defined]
    monkeypatch.setattr("django.utils.translation.get_language_from_request", lambda *_, **__: "xx")
    with translation.override("xx"):
        yield


def unwrapped(page: str) -> set[str]:
    """Words of a page that no catalog could change."""
    text = Text()
    text.feed(page)
    return set(re.findall(r"[^\W\d_]{2,}", "\n".join(map(outside, text.found))))


def outside(said: str) -> str:
    """What stands outside the brackets. A text may be cut short: then its bracket is not closed."""
    while (less := re.sub("⟦[^⟦⟧]*(⟧|$)", "", said)) != said:
        said = less
    return said


def names() -> set[str]:
    """Names that the guild gave, what it notes, and units."""
    snapshot = current_snapshot()
    guild = snapshot.guild
    given = [
        guild.name,
        guild.currency,
        *snapshot.drafts,
        *(each.title or "" for each in snapshot.drafts.values()),
    ]
    given += [each.notes or "" for each in snapshot.drafts.values()]
    given += [peg.name for board in guild.boards for peg in board.pegs]
    for section in (guild.boards, guild.yarns, guild.cones, guild.looms, guild.reeds, guild.warps):
        for each in section:  # type: ignore[attr-defined]
            given += [each.key, getattr(each, "name", ""), getattr(each, "lot", "") or ""]
            given += [getattr(each, "fiber", ""), getattr(each, "count", "") or ""]
    return set(re.findall(r"[^\W\d_]{2,}", " ".join(map(str, given)))) | {
        *("loomready", "WIF", "Guild", "in", "ft", "yd", "lb", "oz", "cm", "tex"),
        *("the", "demo", "xx"),
    }


_FILES = re.compile(r"packet|export|backup|guild\.toml|\.png|/saved|/static")
_KEYS = re.compile(
    r"(/(?:drafts|warps|beside|shelf/cone|shelf/yarn|looms/loom|looms/reed|boards|boards-for|records|make))"
    r"/[^/?]+(/[^/?]+\.wif)?"
)


def shape(address: str) -> str:
    """An address without keys and values: pages of one shape are made alike."""
    return re.sub(r"=[^&]*", "", _KEYS.sub(r"\1/…", address))


def pages(weaver: Client) -> Iterator[tuple[str, str]]:
    """Address and text of a page of each shape that links lead to, from home on."""
    shapes, to_open = {"/"}, ["/"]
    while to_open:
        address = to_open.pop()
        answer = weaver.get(address)
        if answer.status_code == 302:
            to_open.append(answer["Location"])
        if answer.status_code != 200 or not answer["Content-Type"].startswith("text/html"):
            continue
        page = answer.content.decode()
        yield address, page
        for found in re.findall(r'href="(/[^"#]*)', page):
            further = html.unescape(found)
            if not _FILES.search(further) and shape(further) not in shapes:
                shapes.add(shape(further))
                to_open.append(further)


@pytest.mark.django_db
def test_every_word_of_every_page_comes_from_the_catalog(weaver: Client, wrapped: None) -> None:
    ours, seen = names(), 0
    for address, page in pages(weaver):
        assert page.count("⟦") > 5, address
        assert (address, unwrapped(page) - ours) == (address, set())
        seen += 1
    assert seen > 50


@pytest.mark.django_db
def test_the_figures_of_a_plan_come_from_the_catalog(weaver: Client, wrapped: None) -> None:
    page = weaver.get("/warps/scarves").content.decode()
    for word in ("Ends", "Width in the reed", "ends ÷ sett", "draw-in", "Picks", "Choices", "Finished width"):
        assert f"⟦{word}⟧" in page


def test_the_template_of_the_catalog_holds_pages_scripts_and_plurals() -> None:
    made = catalog.template()
    for text in (
        "Skip to content",
        "This cone is heavier than before.",
        "Weaving width",
        "Width in the reed",
        "hall runner",
    ):
        assert any(text in str(message.id) for message in made), text
    plurals = {message.id for message in made if isinstance(message.id, tuple)}
    assert ("%d shaft", "%d shafts") in plurals
    assert ("%(n)s is new,", "%(n)s are new,") in plurals


def test_parts_of_phrases_have_names_that_a_translator_understands() -> None:
    for found in of_engine():
        for text in (found.text,) if isinstance(found.text, str) else found.text:
            for name in re.findall(r"\{(\w+)", text.replace("{{", "")):
                assert re.fullmatch(r"[a-z][a-z_]*", name), f"{found.file}:{found.line}: {{{name}}}"
                assert name not in {"list", "what", "says"}, f"{found.file}:{found.line}: {{{name}}}"


def test_a_translator_keeps_what_is_translated_when_the_words_are_renewed(tmp_path: Path) -> None:
    place = catalog.renew("de", tmp_path)
    with place.open("rb") as stream:
        known = read_po(stream, locale="de")
    known["Skip to content"].string = "Zur Seite"
    with place.open("wb") as stream:
        write_po(stream, known)
    assert catalog.renew("de", tmp_path) == place
    with place.open("rb") as stream:
        assert read_po(stream, locale="de")["Skip to content"].string == "Zur Seite"
    loaded = trans_real.gettext_module.translation("django", str(tmp_path), ["de"])  # type: ignore[attr-defined]
    assert loaded.gettext("Skip to content") == "Zur Seite"
    assert loaded.gettext("Weaving width") == "Weaving width"

"""Notes: free text on warps, drafts, yarns, cones and looms, shown, found, kept and carried along."""

from __future__ import annotations

from unittest.mock import patch

import pytest
from django.test import Client

from loomready import guildfile
from loomready.app.models import Change, Record
from loomready.app.state import snapshot as snapshots
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from tests.app.asking import form_of

pytestmark = pytest.mark.django_db

NOTE = "For the mill's open day.\r\n\r\nAsk Ida: <b>pale</b> or dark? 5 = äöü [x]\n"
KEPT = "For the mill's open day.\n\nAsk Ida: <b>pale</b> or dark? 5 = äöü [x]"
SHOWN = "Ask Ida: &lt;b&gt;pale&lt;/b&gt; or dark?"
FORMS = {
    "/warps/scarves/name": ("warps", "scarves", "/warps/scarves"),
    "/drafts/drafts/broken-twill.wif/name": (
        "drafts",
        "drafts/broken-twill.wif",
        "/drafts/drafts/broken-twill.wif/look",
    ),
    "/shelf/yarn/wool-rust": ("yarns", "wool-rust", "/shelf"),
    "/shelf/cone/fern-big": ("cones", "fern-big", "/shelf"),
    "/looms/loom/porch": ("looms", "porch", "/looms"),
}


def noted(weaver: Client, form: str, text: str = NOTE) -> int:
    return weaver.post(form, form_of(weaver, form) | {"notes": text}).status_code


def notes_of(kind: str, key: str) -> str | None:
    if kind == "drafts":
        return current_snapshot().drafts[key].notes
    return Record.objects.get(kind=kind, key=key).fields.get("notes")


@pytest.mark.parametrize("form", FORMS)
def test_a_note_is_kept_shown_found_and_undone(weaver: Client, form: str) -> None:
    kind, key, page = FORMS[form]
    before, there = Change.objects.count(), notes_of(kind, key)
    assert noted(weaver, form) == 302
    assert notes_of(kind, key) == KEPT
    assert SHOWN in weaver.get(page).content.decode()
    assert SHOWN in weaver.get(form).content.decode()
    offers = weaver.get("/search/offers", {"q": "open day ida"}).content.decode()
    assert key in offers
    assert Change.objects.count() == before + 1
    weaver.post(f"/guild/undo/{Change.objects.latest('pk').pk}", {"sure": "yes"})
    assert notes_of(kind, key) == there


@pytest.mark.parametrize("form", FORMS)
def test_a_note_taken_out_leaves_nothing(weaver: Client, form: str) -> None:
    kind, key, _page = FORMS[form]
    noted(weaver, form, "")
    before = Record.objects.get(kind=kind, key=key).fields
    noted(weaver, form)
    assert noted(weaver, form, "") == 302
    assert Record.objects.get(kind=kind, key=key).fields == before


def test_notes_are_in_the_guild_file_and_read_back_the_same(weaver: Client) -> None:
    for form in FORMS:
        noted(weaver, form)
    text = weaver.get("/guild/guild.toml").content.decode()
    assert text.count("open day") == 4  # the draft's are in its own file
    guild = guildfile.decode(guildfile.encode(current_snapshot().guild))
    assert guild == current_snapshot().guild
    assert next(order for order in guild.warps if order.key == "scarves").notes == KEPT


def test_a_note_plans_no_warp_again(weaver: Client) -> None:
    planned = current_snapshot().planned
    with patch.object(snapshots, "plan_warp", side_effect=AssertionError("planned again")):
        for form in FORMS:
            if "/drafts/" not in form:
                noted(weaver, form)
        assert current_snapshot().planned == planned


@pytest.mark.parametrize("form", ["/warps/scarves/name", "/shelf/yarn/wool-rust"])
def test_a_note_that_is_too_long_stays_typed_and_says_so(weaver: Client, form: str) -> None:
    answer = weaver.post(form, form_of(weaver, form) | {"notes": "n" * 4001})
    assert answer.status_code == 422
    assert "expected a text of at most 4,000 characters" in answer.content.decode()
    assert "n" * 4001 in answer.content.decode()


@pytest.mark.parametrize("text", ["a\0b", "a\x1bb", "n" * 4001, 5])
def test_a_guild_file_with_a_note_that_is_none_is_refused(text: object) -> None:
    yarn = {"key": "gray", "tex": "100 tex", "notes": text}
    with pytest.raises(BadInput) as refused:
        guildfile.decode({"yarns": [yarn]})
    assert refused.value.line().startswith("[yarns 1] notes: ")


def test_a_duplicate_keeps_the_notes(weaver: Client) -> None:
    noted(weaver, "/warps/scarves/name")
    version = current_snapshot().entries["warps", "scarves"].version
    weaver.post("/warps/scarves/copy", {"version": version})
    assert Record.objects.get(kind="warps", key="scarves 2").fields["notes"] == KEPT

"""After a save the next page says what was saved, once, and offers to undo it."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.models import Record
from tests.app.asking import form_of

pytestmark = pytest.mark.django_db
YARN = "/shelf/yarn/wool-rust"


def note(page: str) -> str:
    """The text of the note, without tags; "" where there is none."""
    found = re.search(r'<div class="saved-note" aria-live="polite">(.*?)</div>', page, re.S)
    return " ".join(re.sub(r"<[^>]+>", " ", found.group(1)).split()) if found else ""


def save(client: Client) -> str:
    """Change a yarn's color name: the address that it leads to."""
    response = client.post(YARN, form_of(client, YARN) | {"name": "Worsted wool, brick"})
    return str(response.headers["Location"])


def test_a_saved_change_is_told_once_on_the_next_page(weaver: Client) -> None:
    there = save(weaver)
    page = weaver.get(there).content.decode()
    brick = "Worsted wool, brick"
    assert note(page).startswith(f"Saved: yarn {brick}: name Worsted wool, rust → {brick}")
    assert note(page).endswith("Undo")
    assert note(weaver.get(there).content.decode()) == ""


def test_the_note_undoes_what_it_tells_and_an_undo_is_not_offered_to_be_undone(weaver: Client) -> None:
    there = save(weaver)
    number = re.search(r'action="/guild/undo/(\d+)"', weaver.get(there).content.decode())
    assert number is not None
    back = weaver.post(f"/guild/undo/{number.group(1)}", {"back": there}).headers["Location"]
    told = note(weaver.get(back).content.decode())
    assert told.startswith("Undone: ")
    assert not told.endswith("Undo")
    assert Record.objects.get(kind="yarns", key="wool-rust").fields["name"] == "Worsted wool, rust"


def test_a_change_in_the_plan_is_told_in_the_answer_itself(weaver: Client) -> None:
    form = form_of(weaver, "/warps/scarves") | {"finished_width": "9 in"}
    page = weaver.post("/warps/scarves", form, headers={"hx-request": "true"}).content.decode()
    assert note(page).startswith("Saved: warp scarves: finished width 9.5 in → 9 in")
    assert note(weaver.get("/warps/scarves").content.decode()) == ""


def test_what_is_refused_tells_of_no_save(weaver: Client) -> None:
    form = form_of(weaver, "/warps/scarves") | {"finished_width": "wide"}
    page = weaver.post("/warps/scarves", form, headers={"hx-request": "true"}).content.decode()
    assert note(page) == ""


@pytest.mark.parametrize("number", ["999999999", "x", "-1"])
def test_an_odd_cookie_shows_nothing(weaver: Client, number: str) -> None:
    weaver.cookies["saved"] = number
    response = weaver.get("/")
    assert response.status_code == 200
    assert note(response.content.decode()) == ""

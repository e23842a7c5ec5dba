"""The history: one line for one act, undo only where it can be done, and a second tap undoes nothing more."""

from __future__ import annotations

import pytest
from django.test import Client

from loomready.app.changes import history
from loomready.app.models import Change, Record
from tests.app.asking import form_of
from tests.app.progress.test_lists import tick

pytestmark = pytest.mark.django_db
WARP = "/warps/scarves"


def width() -> str:
    return str(Record.objects.get(kind="warps", key="scarves").fields["finished_width"])


def widen(client: Client, to: str) -> int:
    client.post(WARP, form_of(client, WARP) | {"finished_width": to})
    return Change.objects.latest("pk").pk


def test_a_second_tap_on_undo_leaves_the_undo_as_it_is(weaver: Client) -> None:
    number = widen(weaver, "10 in")
    for _tap in range(3):
        response = weaver.post(f"/guild/undo/{number}", {"back": WARP})
        assert response.headers["Location"] == WARP
        assert width() == "9.5 in"
        (line, *_others) = history.of_record("warps", "scarves")
        assert line.number == number  # no line moves to where the button was
        assert (line.undone, line.can_undo) == (True, False)
    page = weaver.get(WARP).content.decode()
    assert f'action="/guild/undo/{number}"' not in page


def test_what_was_undone_can_be_done_again_and_undone_again(weaver: Client) -> None:
    number = widen(weaver, "10 in")
    for _round in range(2):
        weaver.post(f"/guild/undo/{number}")
        (line, *_others) = history.latest()
        assert line.again
        assert line.back_who
        weaver.post(f"/guild/undo/{line.again}")
        assert width() == "10 in"
        (line, *_others) = history.latest()
        assert (line.number, line.can_undo, line.undone) == (number, True, False)


def test_undo_is_offered_only_for_what_nothing_has_changed_since(weaver: Client) -> None:
    first, second = widen(weaver, "10 in"), widen(weaver, "11 in")
    offered = {line.number: line.can_undo for line in history.latest()}
    assert (offered[first], offered[second]) == (False, True)
    weaver.post(f"/guild/undo/{second}")
    offered = {line.number: line.can_undo for line in history.latest()}
    assert (offered[first], offered[second]) == (True, False)
    weaver.post(f"/guild/undo/{first}")
    again = {line.number: bool(line.again) for line in history.latest()}
    assert again[first]
    assert not again[second]
    assert width() == "9.5 in"


def test_every_offered_undo_works_and_every_other_is_refused(weaver: Client) -> None:
    widen(weaver, "10 in")
    tick(weaver, "towels", "wound")
    weaver.post("/warps/cushions/move", {"to": "first"})
    tick(weaver, "towels", "planned")
    for line in history.latest(6):
        response = weaver.post(f"/guild/undo/{line.number}", {"sure": "yes"})
        assert (response.status_code == 302) == line.can_undo, line.says
        if line.can_undo:
            weaver.post(
                f"/guild/undo/{Change.objects.latest('pk').batch or Change.objects.latest('pk').pk}",
                {"sure": "yes"},
            )


def test_acts_are_told_in_the_words_of_the_pages(weaver: Client) -> None:
    weigh = "/shelf/cone/fern-big/weigh"
    weaver.post(weigh, form_of(weaver, weigh) | {"gross": "200"})
    assert history.latest(1)[0].says.startswith("cone fern-big: weighed 200 g, 20")
    tick(weaver, "towels", "wound")
    assert history.latest(1)[0].says == "progress of warp towels: wound"
    weaver.post("/warps/cushions/move", {"to": "first"})
    weaver.post("/warps/cushions/move", {"to": "last", "version": "1"})
    assert history.latest(1)[0].says == "order of warps: cushions in place 3 of 3"

"""Whatever changes the plan of a warp in progress, not its own form alone, asks before it is saved."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from loomready.app.drafts.save_draft import text_of
from loomready.app.models import Change, Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.draft.draft import Draft
from loomready.model import dressing_order
from loomready.model.guild import Dressing
from tests.app.asking import form_of
from tests.app.progress.test_progress import dress, report

pytestmark = pytest.mark.django_db
WARP = "/warps/scarves"


@pytest.fixture
def threaded(weaver: Client) -> Client:
    weaver.post(f"{WARP}/step", {"step": "threaded"})
    return weaver


def record(kind: str, key: str) -> Record:
    return Record.objects.get(kind=kind, key=key)


def draft_key() -> str:
    return str(record("warps", "scarves").fields["draft"])


def draft() -> Draft:
    return current_snapshot().drafts[draft_key()]


def rethreaded() -> Draft:
    """Every end of the repeat on another shaft that the draft has."""
    return replace(draft(), threading=np.roll(draft().threading, 1))


def upload(client: Client, made: Draft, **more: Any) -> Any:
    key = draft_key()
    file = SimpleUploadedFile("x.wif", text_of(made).encode())
    posted = {"file": file, "version": record("drafts", key).version} | more
    return client.post(f"/drafts/{key}/version", posted)


@pytest.mark.parametrize("way", ["back to front", "front to back"])
@pytest.mark.parametrize("step", dressing_order.STEPS)
def test_a_draft_with_another_threading_replaces_that_of_a_threaded_warp_on_purpose_only(
    weaver: Client, way: Dressing, step: str
) -> None:
    dress(way)
    if step != "planned":
        weaver.post(f"{WARP}/step", {"step": step})
    before, made = record("drafts", draft_key()).fields, rethreaded()
    asked = step not in ("planned", "cut off") and "threading" in dressing_order.begun_at(step, way)
    answer = upload(weaver, made)
    assert (answer.status_code == 422) == asked
    assert (record("drafts", draft_key()).fields == before) == asked
    if asked:
        assert "Ends on another shaft" in answer.content.decode()
        assert upload(weaver, made, sure="yes").status_code == 302
        assert record("drafts", draft_key()).fields != before


def test_a_draft_with_other_picks_replaces_that_of_a_threaded_warp_at_once(threaded: Client) -> None:
    was = draft()
    treadling = None if was.treadling is None else np.roll(was.treadling, 1, axis=0)
    assert (
        upload(threaded, replace(was, lifts=np.roll(was.lifts, 1, axis=0), treadling=treadling)).status_code
        == 302
    )


def test_a_draft_that_leaves_a_wound_warp_without_a_plan_is_asked_about(weaver: Client) -> None:
    """The pieces of this warp have drafts of their own, which have to be threaded alike."""
    weaver.post("/warps/towels/step", {"step": "wound"})
    key = str(record("warps", "towels").fields["draft"])
    was = current_snapshot().drafts[key]
    file = SimpleUploadedFile("x.wif", text_of(replace(was, threading=np.roll(was.threading, 1))).encode())
    answer = weaver.post(f"/drafts/{key}/version", {"file": file, "version": record("drafts", key).version})
    assert answer.status_code == 422
    assert "would change: Plan" in answer.content.decode()


def test_ends_reported_at_the_loom_guard_the_draft_too(weaver: Client) -> None:
    report(weaver, "threading", 8, warp="scarves")
    assert upload(weaver, rethreaded()).status_code == 422


def edit(client: Client, way: str = "do", **what: Any) -> Any:
    key = draft_key()
    body = {"version": record("drafts", key).version} | what
    return client.post(f"/drafts/{key}/edit/{way}", json.dumps(body), content_type="application/json")


def test_an_edit_of_the_threading_of_a_threaded_warp_is_saved_on_purpose_only(threaded: Client) -> None:
    before = record("drafts", draft_key()).fields
    shaft = int(draft().threading[0])
    slide = [{"do": "thread", "first": 1, "shafts": [shaft + 2 if shaft + 1 < draft().shafts else shaft]}]
    answer = edit(threaded, operations=slide)
    assert answer.status_code == 422
    says = answer.json()["says"]
    assert "scarves is in progress (threaded); this would change:" in says
    assert "Ends on another shaft" in says
    assert record("drafts", draft_key()).fields == before
    assert 'href="?sure=yes"' in threaded.get(f"/drafts/{draft_key()}/edit").content.decode()
    assert edit(threaded, operations=slide, sure=True).status_code == 200
    assert edit(threaded, "undo").status_code == 422
    assert edit(threaded, "undo", sure=True).status_code == 200
    assert record("drafts", draft_key()).fields == before


def test_undoing_a_change_asks_where_a_warp_was_dressed_since(weaver: Client) -> None:
    upload(weaver, rethreaded())
    change = Change.objects.filter(kind="drafts", key=draft_key()).first()
    assert change is not None
    weaver.post(f"{WARP}/step", {"step": "threaded"})
    now = record("drafts", draft_key()).fields
    page = weaver.post(f"/guild/undo/{change.pk}", {"back": "/guild"})
    assert page.status_code == 422
    assert "scarves is threaded already." in page.content.decode()
    assert record("drafts", draft_key()).fields == now
    assert weaver.post(f"/guild/undo/{change.pk}", {"back": "/guild", "sure": "yes"}).status_code == 302
    assert record("drafts", draft_key()).fields != now


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"end_1": "left"}, "Side of end 1"),
        ({"shaft_1": "back"}, "Shaft 1"),
        ({"dressing": "front to back"}, "Order of dressing"),
    ],
)
def test_settings_of_the_guild_ask_where_a_warp_is_dressed_by_them(
    threaded: Client, change: dict[str, str], says: str
) -> None:
    form = form_of(threaded, "/guild") | change
    before = record("guild", "guild").fields
    page = threaded.post("/guild", form)
    assert page.status_code == 422
    assert f'<th scope="row">{says}</th>' in page.content.decode()
    assert record("guild", "guild").fields == before
    assert threaded.post("/guild", form | {"sure": "yes"}).status_code == 302
    assert change.items() <= record("guild", "guild").fields.items()


def test_a_setting_that_changes_no_plan_is_saved_at_once(threaded: Client) -> None:
    assert threaded.post("/guild", form_of(threaded, "/guild") | {"name": "Loft"}).status_code == 302


def test_the_yarn_of_a_wound_warp_is_changed_on_purpose_only_where_its_ends_follow(threaded: Client) -> None:
    entry = current_snapshot().entry("warps", "scarves")
    assert entry is not None
    fixed = ("sett", "reed", "sley", "wound_reed", "wound_sley")  # with these its ends do not follow its yarn
    table = {name: value for name, value in entry.fields.items() if name not in fixed}
    table["firmness"] = "75 %"
    store.write("warps", "scarves", table, version=entry.version, who="test")
    yarn = str(table["warp_yarns"][0])
    form = form_of(threaded, f"/shelf/yarn/{yarn}")
    form = {name: "" if name in ("count", "grist", "wraps") else text for name, text in form.items()}
    page = threaded.post(f"/shelf/yarn/{yarn}", form | {"tex": "900"})
    assert page.status_code == 422
    assert "scarves is threaded already." in page.content.decode()


def test_an_import_names_the_warps_in_progress_that_it_would_contradict(threaded: Client) -> None:
    text = threaded.get("/guild/guild.toml").content.decode()
    changed = re.sub(r'(key = "scarves"(?:.*\n)+?finished_width = )"[^"]*"', r'\1"5 in"', text, count=1)
    assert changed != text
    file = SimpleUploadedFile("guild.toml", changed.encode())
    page = threaded.post("/guild/bring", {"file": file}).content.decode()
    assert "scarves is in progress" in page
    same = SimpleUploadedFile("guild.toml", text.encode())
    assert "is in progress" not in threaded.post("/guild/bring", {"file": same}).content.decode()


def remove_scarves(client: Client, **more: str) -> Any:
    return client.post(f"{WARP}/remove", {"version": record("warps", "scarves").version} | more)


def test_a_warp_in_progress_is_removed_on_purpose_only_and_comes_back_by_undo(weaver: Client) -> None:
    weaver.post(f"{WARP}/step", {"step": "wound"})
    report(weaver, "threading", 5, warp="scarves")
    before = record("warps", "scarves").fields
    asked = remove_scarves(weaver)
    page = asked.content.decode()
    assert asked.status_code == 422
    for words in ("This would remove it", "still on the shelf", "set aside until the warp is put back"):
        assert words in page
    assert "Remove anyway" in page
    assert record("warps", "scarves").fields == before
    assert remove_scarves(weaver, sure="yes").status_code == 302
    assert not Record.objects.filter(kind="warps", key="scarves").exists()
    last = Change.objects.filter(kind="warps", key="scarves").first()
    assert last is not None
    weaver.post(f"/guild/undo/{last.pk}")
    assert record("warps", "scarves").fields == before


def test_a_warp_that_is_cut_off_is_removed_on_purpose_only(weaver: Client) -> None:
    weaver.post(f"{WARP}/step", {"step": dressing_order.CUT_OFF})
    assert record("warps", "scarves").fields["off"]
    assert remove_scarves(weaver).status_code == 422


def test_a_warp_that_is_only_planned_is_removed_at_once(weaver: Client) -> None:
    assert remove_scarves(weaver).status_code == 302
    assert not Record.objects.filter(kind="warps", key="scarves").exists()

"""Duplicates of a warp, a draft and a yarn: one act that one undo takes away again."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.models import Change, Fact, Record
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of

pytestmark = pytest.mark.django_db


def duplicated(weaver: Client, kind: str, key: str) -> str:
    """Presses Duplicate on the record's page; the key of the copy."""
    address = {"warps": f"/warps/{key}", "drafts": f"/drafts/{key}"}[kind]
    known = set(current_snapshot().names(kind))
    version = current_snapshot().entries[kind, key].version
    assert weaver.post(f"{address}/copy", {"version": version}).status_code == 302
    (made,) = set(current_snapshot().names(kind)) - known
    return made


def undo_latest(weaver: Client) -> None:
    weaver.post(f"/guild/undo/{Change.objects.latest('pk').pk}", {"sure": "yes"})


@pytest.mark.parametrize(("kind", "key"), [("warps", "scarves"), ("drafts", "drafts/broken-twill.wif")])
def test_a_duplicate_is_one_line_of_the_history_and_one_undo(weaver: Client, kind: str, key: str) -> None:
    before = Change.objects.count()
    made = duplicated(weaver, kind, key)
    assert Change.objects.count() == before + 1
    assert current_snapshot().name(kind, made) == f"{current_snapshot().name(kind, key)} 2"
    undo_latest(weaver)
    assert made not in current_snapshot().names(kind)


def test_a_warp_duplicated_twice_counts_on(weaver: Client) -> None:
    second = duplicated(weaver, "warps", "scarves")
    third = duplicated(weaver, "warps", second)
    assert [current_snapshot().name("warps", key) for key in (second, third)] == ["scarves 2", "scarves 3"]


def test_the_duplicate_of_a_finished_warp_is_planned_from_the_start(weaver: Client) -> None:
    for step in ("wound", "cut off"):
        there = current_snapshot().entry("progress", "scarves")
        version = there.version if there else ""
        weaver.post("/warps/scarves/step", {"step": step, "version": version})
    made = duplicated(weaver, "warps", "scarves")
    table = Record.objects.get(kind="warps", key=made).fields
    assert not {"wound", "off", "wound_from", "wound_reed", "wound_sley", "woven_from"} & set(table)
    planned = current_snapshot().plan_of(made)
    assert planned is not None
    assert planned.plan is not None
    assert current_snapshot().entry("progress", made) is None
    assert current_snapshot().entry("happened", made) is None


def test_a_duplicate_never_takes_over_steps_of_a_warp_that_is_gone(weaver: Client) -> None:
    gone = duplicated(weaver, "warps", "scarves")
    Fact.objects.create(
        name=f"{gone}/winding/x/1/4/1/1/h",
        warp=gone,
        job="winding",
        plan="x",
        first=1,
        last=4,
        done=True,
        counter=1,
        hand="h",
        who="Ida",
    )
    undo_latest(weaver)
    assert duplicated(weaver, "warps", "scarves") != gone


def test_a_duplicate_of_another_version_than_the_page_shows_is_a_conflict(weaver: Client) -> None:
    for address in ("/warps/scarves/copy", "/drafts/drafts/broken-twill.wif/copy"):
        assert weaver.post(address, {"version": "7"}).status_code == 409
    assert "scarves 2" not in current_snapshot().names("warps").values()


def test_the_same_yarn_in_another_color_is_one_form_with_everything_filled_in(weaver: Client) -> None:
    page = weaver.get("/shelf/yarn/wool-rust").content.decode()
    there = re.search(r'href="(/shelf/new-yarn\?like=[^"]+)"', page)
    assert there is not None
    form = form_of(weaver, there.group(1))
    assert (form["count"], form["price"]) == ("2/16 worsted", "0.09 /g")
    assert weaver.post(there.group(1), form).status_code == 422  # two of one name
    before = Change.objects.count()
    assert (
        weaver.post(there.group(1), form | {"name": "Worsted wool, sky", "color": "#99bbdd"}).status_code
        == 302
    )
    assert Change.objects.count() == before + 1
    (key,) = [key for key, name in current_snapshot().names("yarns").items() if name == "Worsted wool, sky"]
    made, like = (Record.objects.get(kind="yarns", key=each).fields for each in (key, "wool-rust"))
    assert {name for name in made | like if made.get(name) != like.get(name)} == {"key", "name", "color"}
    assert [cone for cone in current_snapshot().guild.cones if cone.yarn == key] == []

"""A draft's versions are kept once each and packed; whatever they were, they come back."""

from __future__ import annotations

import json
import os
import random
import sqlite3
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from loomready.app.changes import versions
from loomready.app.models import Change, DraftText, Record
from loomready.app.state import draft_texts, store
from loomready.draft.draft import lift_plan
from loomready.draft.wif import reader, writer

KEY = "drafts/broken-twill.wif"
LINES = st.lists(st.sampled_from(["1=1", "1=2", "", "[X]", "é"]), max_size=12)


@given(LINES, LINES)
def test_the_difference_of_two_texts_leads_from_one_to_the_other(old: list[str], new: list[str]) -> None:
    hunks = json.loads(json.dumps(draft_texts.difference(old, new)))
    assert draft_texts.changed(old, hunks) == new


@pytest.mark.django_db
@given(st.lists(st.text(st.characters(exclude_categories=("Cs",)), max_size=300), min_size=1, max_size=40))
def test_every_version_comes_back_as_it_was(texts: list[str]) -> None:
    fields: list[dict[str, object]] = [{"wif": text} for text in texts]
    kept = [draft_texts.kept(each, before) for before, each in pairwise([None, *fields])]
    assert [draft_texts.whole(each) for each in kept] == fields


def large(picks: int = 3000) -> str:
    chance = random.Random(4)
    lifts = [sorted(chance.sample(range(1, 65), 32)) for _pick in range(picks)]
    draft = lift_plan([chance.randint(1, 64) for _end in range(3000)], lifts)
    return writer.dumps(draft).decode()


@pytest.mark.django_db
def test_a_hundred_steps_in_a_large_draft_take_little_room(weaver: Client) -> None:
    lines = large().split("\n")
    at = next(number for number, line in enumerate(lines, 1) if line.startswith("[THREADING]"))
    said, made = Change.objects.count(), []
    store.write("drafts", "drafts/large.wif", {"wif": "\n".join(lines)}, version=None, who="here")
    for step in range(1, 101):
        lines[at + step] = f"{step + 1}={step % 64 + 1}"
        made.append("\n".join(lines))
        store.write("drafts", "drafts/large.wif", {"wif": made[-1]}, version=step, who="here")
    assert Change.objects.count() >= said + 100
    room = sum(len(bytes(each.packed)) for each in DraftText.objects.all())
    assert room < 1_000_000
    rest = sum(len(json.dumps([each.before, each.after])) for each in Change.objects.filter(kind="drafts"))
    assert rest < 100_000
    there = [versions.one("drafts/large.wif", number) for number in (2, 30, 101)]
    assert [each.wif for each in there if each] == [made[0], made[28], made[99]]


@pytest.mark.django_db
def test_an_undone_change_of_a_draft_is_the_draft_before(weaver: Client) -> None:
    was = Record.objects.get(key=KEY).fields
    other = was["wif"].replace("1=", "1 =")
    change = store.write("drafts", KEY, {"wif": other}, version=1, who="here")
    assert change is not None
    store.undo(change.pk, who="here")
    assert Record.objects.get(key=KEY).fields == was


@pytest.mark.django_db
def test_a_version_that_was_damaged_is_said_and_the_rest_stays(weaver: Client) -> None:
    other = writer.dumps(reader.parse(Record.objects.get(key=KEY).fields["wif"].encode()).draft).decode()
    store.write("drafts", KEY, {"wif": other.replace("Title=", "Title=A ")}, version=1, who="here")
    DraftText.objects.update(packed=b"x")
    for page in ("/guild", "/drafts", f"/drafts/{KEY}/look"):
        assert weaver.get(page).status_code == 200, page
    weaver.raise_request_exception = False
    answer = weaver.get(f"/drafts/{KEY}/look?version=1")
    assert answer.status_code == 507
    assert "damaged" in answer.content.decode()
    assert weaver.post(f"/guild/undo/{Change.objects.filter(key=KEY)[0].pk}").status_code == 507


def test_versions_of_an_older_home_are_packed_and_can_be_unpacked_again(tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    says = """
import django, sys, json
django.setup()
from itertools import pairwise
from pathlib import Path
from loomready.app.changes import versions
from loomready.app.server import upgrade
from loomready.app.state import store
from loomready.app.models import Change, Record
home = Path(sys.argv[1])
upgrade.bring_up_to_date(home / "guild.sqlite3")
if not Record.objects.exists():
    from loomready.app.archive.new_guild import begin_with
    begin_with("demo")
    for n in range(1, 31):
        text = Record.objects.get(key="drafts/broken-twill.wif").fields["wif"] + f"; {n}"
        store.write("drafts", "drafts/broken-twill.wif", {"wif": text}, version=n, who="x")
print(json.dumps([versions.one("drafts/broken-twill.wif", n).wif for n in range(1, 32)]))
"""
    env = os.environ | {"LOOMREADY_HOME": str(home), "DJANGO_SETTINGS_MODULE": "loomready.app.settings"}
    told = []
    for _time in range(2):
        done = subprocess.run(
            [sys.executable, "-c", says, str(home)], env=env, capture_output=True, text=True, check=True
        )
        told.append(json.loads(done.stdout))
        backwards = [sys.executable, "-m", "django", "migrate", "loomready", "0007", "--verbosity", "0"]
        subprocess.run(backwards, env=env, check=True, timeout=60)
        database = sqlite3.connect(home / "guild.sqlite3")
        rows = database.execute("SELECT before, after FROM loomready_change WHERE kind = 'drafts'").fetchall()
        database.close()
        assert all("[THREADING]" in after for _before, after in rows)
        assert any(before is None for before, _after in rows)
    assert told[0] == told[1]
    assert len(set(told[0])) == 31

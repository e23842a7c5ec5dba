"""Editing on the server: operations on a version, the draft's own way back and forth, and what is refused."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.test import Client

from loomready.app.changes import history
from loomready.app.models import Record
from loomready.app.sharing.roles import Role
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot, parsed
from loomready.app.workshop import editor, editor_script_words
from loomready.draft.edit import operations
from loomready.draft.wif import reader
from tests.app.sharing.test_sharing import joined

pytestmark = pytest.mark.django_db
KEY = "drafts/broken-twill.wif"
MODULES = Path(editor.__file__).parents[1] / "static" / "workshop"
AT = f"/drafts/{KEY}/edit"


def post(weaver: Client, way: str, **what: Any) -> Any:
    return weaver.post(f"{AT}/{way}", json.dumps(what), content_type="application/json")


def threading() -> list[int]:
    return (current_snapshot().drafts[KEY].threading + 1).tolist()


def slide(by: int) -> dict[str, Any]:
    return {"do": "slide", "side": "warp", "first": 1, "last": 64, "by": by}


def version() -> int:
    return int(Record.objects.get(kind="drafts", key=KEY).version)


def test_the_page_tells_the_whole_draft(weaver: Client) -> None:
    assert weaver.get(AT).status_code == 200
    told = weaver.get(f"{AT}/draft").json()
    draft = current_snapshot().drafts[KEY]
    assert told["version"] == 1
    assert told["draft"]["threading"] == threading()
    assert (len(told["draft"]["side"]), told["draft"]["treadles"]) == (draft.picks, draft.treadles)
    kinds = [each["kind"] for each in told["found"]["says"]]
    assert kinds == ["floats", "empty", "loose", "parts", "mirror", "edges"]


def test_an_operation_makes_another_version_with_its_marks(weaver: Client) -> None:
    before = threading()
    answer = post(weaver, "do", version=1, operations=[slide(1)], asked={"limit": "2"}).json()
    assert (answer["version"], answer["can_undo"], answer["can_redo"]) == (2, True, False)
    assert threading() == [shaft % 4 + 1 for shaft in before]
    assert "go over 2 threads" in answer["found"]["says"][0]["text"]
    assert "64 ends threaded differently" in weaver.get(f"/drafts/{KEY}/look").content.decode()


def test_several_operations_are_one_step_or_none(weaver: Client) -> None:
    before = threading()
    wrong = post(weaver, "do", version=1, operations=[slide(1), {"do": "thread", "first": 1, "shafts": [9]}])
    assert wrong.status_code == 422
    assert wrong.json()["says"] == "There is no shaft 9; expected 1 to 4, or 0 for not threaded."
    assert (threading(), version()) == (before, 1)
    post(weaver, "do", version=1, operations=[slide(1), slide(1)])
    assert version() == 2
    post(weaver, "undo", version=2)
    assert threading() == before


def test_operations_are_looked_at_without_being_saved(weaver: Client) -> None:
    before = threading()
    unthread = {"do": "thread", "first": 3, "shafts": [0]}
    answer = post(weaver, "marks", version=1, operations=[slide(1), unthread]).json()
    assert answer["found"]["marks"]["not_threaded"] == [3]
    assert (threading(), version()) == (before, 1)
    assert post(weaver, "marks", version=2, operations=[slide(1)]).status_code == 409
    saved = post(weaver, "do", version=1, operations=[slide(1), unthread]).json()
    assert saved["fingerprint"] == answer["fingerprint"]


def test_the_history_tells_what_of_the_draft_changed(weaver: Client) -> None:
    steps = [
        {"do": "thread", "first": 3, "shafts": [0, 4]},
        {"do": "treadling", "first": 5, "rows": [[6]]},
        {"do": "tie", "cells": [[1, 4]], "on": True},
    ]
    post(weaver, "do", version=1, operations=steps)
    told = "draft Broken twill with borders: 1 end threaded differently, tie-up, 1 pick treadled differently"
    assert history.of_record("drafts", KEY)[0].says == told
    post(weaver, "do", version=2, operations=[{"do": "insert", "side": "warp", "before": 1, "count": 2}])
    assert "ends 64 → 66" in history.of_record("drafts", KEY)[0].says


def test_ends_without_a_heddle_and_picks_without_a_shed_are_named(weaver: Client) -> None:
    empty = [{"do": "thread", "first": 3, "shafts": [0, 0]}, {"do": "treadling", "first": 5, "rows": [[]]}]
    found = post(weaver, "marks", version=1, operations=empty).json()["found"]
    says = {each["kind"]: each for each in found["says"]}
    assert (says["empty"]["level"], says["empty"]["text"]) == (
        "warn",
        "Not threaded: ends 3, 4. They lie under every pick, loose on the back. No treadle: pick 5. "
        "No shed opens there for the shuttle.",
    )
    assert says["loose"]["text"] == "No other thread is loose."
    assert found["marks"]["no_treadle"] == [5]


def test_a_draft_of_a_warp_in_progress_asks_first_whether_a_copy_is_edited(weaver: Client) -> None:
    warp = next(each for each in current_snapshot().guild.warps if KEY in each.drafts)
    assert "Draft with drawdown" in weaver.get(AT).content.decode()
    weaver.post(f"/warps/{warp.key}/step", {"step": "threaded"})
    asked = weaver.get(AT).content.decode()
    assert "Draft with drawdown" not in asked
    assert "Edit a copy" in asked
    assert warp.name in asked
    assert "Draft with drawdown" in weaver.get(f"{AT}?sure=yes").content.decode()
    # A page that was open before is told when it saves, and can save anyway.
    late = post(weaver, "do", version=1, operations=[slide(1)])
    assert (late.status_code, late.json()["in_progress"]) == (422, True)
    assert post(weaver, "do", version=1, operations=[slide(1)], sure=True).status_code == 200
    copy: Any = weaver.post(f"/drafts/{KEY}/copy", {"version": version(), "then": "edit"})
    assert copy.url.endswith("/edit")
    assert "Draft with drawdown" in weaver.get(copy.url).content.decode()
    progress = current_snapshot().entry("progress", warp.key)
    assert progress is not None
    weaver.post(f"/warps/{warp.key}/step", {"step": "cut off", "version": progress.version})
    assert "Draft with drawdown" in weaver.get(AT).content.decode()


def test_undo_goes_back_to_the_beginning_and_redo_forth_again(weaver: Client) -> None:
    seen = [threading()]
    for step in range(5):
        post(weaver, "do", version=version(), operations=[slide(step % 3 + 1)])
        seen.append(threading())
    for back in reversed(seen[:-1]):
        assert post(weaver, "undo", version=version()).json()["draft"]["threading"] == back
    none = post(weaver, "undo", version=version())
    assert (none.status_code, none.json()["says"]) == (422, "There is nothing more to undo.")
    for forth in seen[1:]:
        assert post(weaver, "redo", version=version()).json()["draft"]["threading"] == forth
    assert post(weaver, "redo", version=version()).json()["says"] == "There is nothing to redo."
    # Back and forth once more, and a step of another kind in the middle: what was undone is let go.
    post(weaver, "undo", version=version())
    post(weaver, "undo", version=version())
    answer = post(weaver, "redo", version=version()).json()
    assert (threading(), answer["can_undo"], answer["can_redo"]) == (seen[4], True, True)
    answer = post(weaver, "do", version=version(), operations=[slide(1)]).json()
    assert (answer["can_undo"], answer["can_redo"]) == (True, False)
    post(weaver, "undo", version=version())
    assert threading() == seen[4]


def test_a_long_evening_of_steps_is_listed_in_part_and_on_request_in_full(weaver: Client) -> None:
    for number in range(1, 13):
        assert post(weaver, "do", version=number, operations=[slide(1)]).status_code == 200
    few = weaver.get(f"/drafts/{KEY}/look").content.decode()
    listed = [int(number) for number in re.findall(r"look\?version=(\d+)\"", few)]
    assert listed == list(range(12, 5, -1))  # and the thirteenth, which is here
    assert "All 13 versions" in few
    every = weaver.get(f"/drafts/{KEY}/look?versions=all").content.decode()
    assert [int(n) for n in re.findall(r"look\?version=(\d+)\"", every)] == list(range(12, 0, -1))
    assert "All 13 versions" not in every
    assert "You are viewing version 1" in weaver.get(f"/drafts/{KEY}/look?version=1").content.decode()


def test_the_guild_page_offers_no_undo_that_it_refuses_after_undo_and_redo_here(weaver: Client) -> None:
    post(weaver, "do", version=1, operations=[slide(1)])
    for number, way in enumerate(("undo", "redo", "undo", "redo", "undo"), 2):
        assert post(weaver, way, version=number).status_code == 200
        for line in history.latest():
            if line.can_undo:
                with transaction.atomic():
                    store.undo(line.number, who="one")
                    transaction.set_rollback(True)


def test_what_the_guild_page_takes_back_can_be_redone_here(weaver: Client) -> None:
    post(weaver, "do", version=1, operations=[slide(1)])
    after = threading()
    number = editor.steps(KEY).undo
    assert number is not None
    weaver.post(f"/guild/undo/{number}", {"back": "/guild"})
    assert editor.steps(KEY).undo is None
    assert post(weaver, "redo", version=version()).json()["draft"]["threading"] == after


def test_an_operation_on_a_version_that_is_gone_changes_nothing(weaver: Client) -> None:
    post(weaver, "do", version=1, operations=[slide(1)])
    before = threading()
    for way in ("do", "undo", "redo"):
        late = post(weaver, way, version=1, operations=[slide(2)])
        assert late.status_code == 409
        assert late.json()["says"].startswith("Somebody changed this draft while you were editing it.")
    assert (threading(), version()) == (before, 2)


def test_an_operation_on_a_draft_that_is_removed_says_so(weaver: Client) -> None:
    key = editor_new_key(weaver)
    entry = current_snapshot().entry("drafts", key)
    assert entry is not None
    store.remove("drafts", key, version=entry.version, who="here")
    gone = weaver.post(
        f"/drafts/{key}/edit/do", json.dumps({"version": 1, "operations": [slide(1)]}), "application/json"
    )
    assert (gone.status_code, gone.json()["gone"]) == (409, True)


@pytest.mark.parametrize("body", ["", "[]", "{", '{"version": 1}', '{"version": true, "operations": [1]}'])
def test_a_body_that_means_nothing_gets_one_clear_line(weaver: Client, body: str) -> None:
    answer = weaver.post(f"{AT}/do", body, content_type="application/json")
    assert answer.status_code == 422
    assert answer.json()["says"].endswith(".")
    assert version() == 1


def test_a_color_more_gives_the_warp_on_it_a_yarn_more(weaver: Client) -> None:
    order = next(order for order in current_snapshot().guild.warps if order.draft == KEY)
    answer = post(
        weaver,
        "do",
        version=1,
        operations=[
            {"do": "palette", "number": 4, "value": "#123456"},
            {"do": "color", "side": "warp", "first": 1, "colors": [4]},
        ],
    )
    assert answer.status_code == 200
    snapshot = current_snapshot()
    planned = snapshot.plan_of(order.key)
    assert planned is not None
    assert planned.error is None
    assert len(planned.order.warp_yarns) == len(order.warp_yarns) + 1
    post(weaver, "undo", version=2)
    planned = current_snapshot().plan_of(order.key)
    assert planned is not None
    assert planned.order.warp_yarns == order.warp_yarns


def test_notes_and_foreign_sections_survive_an_operation(weaver: Client) -> None:
    record = Record.objects.get(kind="drafts", key=KEY)
    text = record.fields["wif"] + "[PRIVATE SHED]\r\nLamp=on\r\n"
    store.write("drafts", KEY, {"wif": text}, version=1, who="here")
    before = parsed(text).draft
    post(weaver, "do", version=2, operations=[slide(1)])
    after = reader.parse(Record.objects.get(kind="drafts", key=KEY).fields["wif"].encode()).draft
    assert (after.title, after.notes, after.extra) == (before.title, before.notes, before.extra)
    assert any(section.name == "PRIVATE SHED" for section in after.extra)


@pytest.mark.parametrize(
    ("asked", "says", "field"),
    [
        ({"limit": "3"}, "over 3 threads", None),
        ({"limit": "3/8 in", "sett": "20", "picks": "16"}, "over 6 picks or 7 ends", None),
        ({"limit": "10 mm", "sett": "8 /cm"}, "over 8 threads", None),
        ({"limit": "10 mm"}, "over 5 threads", "sett"),
        ({"limit": "0"}, "over 5 threads", "limit"),
        ({"limit": "long"}, "over 5 threads", "limit"),
        ({"limit": "1 in", "sett": "0"}, "over 5 threads", "sett"),
        ({"limit": "1 in", "sett": "20", "picks": "many"}, "over 5 threads", "picks"),
    ],
)
def test_floats_are_judged_in_threads_or_at_the_sett(
    weaver: Client, asked: dict[str, str], says: str, field: str | None
) -> None:
    found = weaver.get(f"{AT}/marks", asked).json()["found"]
    assert says in found["says"][0]["text"]
    assert (found["error"] or {"field": None})["field"] == field


def test_a_draft_that_comes_apart_is_said_and_marked(weaver: Client) -> None:
    post(weaver, "do", version=1, operations=[{"do": "thread", "first": 3, "shafts": [0]}])
    found = weaver.get(f"{AT}/marks").json()["found"]
    says = {each["kind"]: each for each in found["says"]}
    assert says["empty"]["text"].startswith("Not threaded: end 3.")
    assert says["parts"]["text"].endswith("the top one is shaded.")
    assert (says["parts"]["level"], found["marks"]["loose_ends"]) == ("warn", [3])
    assert "comes apart" in says["parts"]["text"]
    assert [3] in [part["ends"] for part in found["marks"]["parts"]]


def test_every_word_that_the_script_says_is_there_and_used() -> None:
    script = "".join(path.read_text() for path in MODULES.glob("[eo]*.js"))
    script = re.sub(r"Refused\((.)", r"word(\1refused_", script)
    known = editor_script_words.words()
    quoted = set(re.findall(r'"([a-z_0-9]+)"', script))
    # Some are put together: `part_${part}`.
    begun = tuple(re.findall(r"`([a-z_]+)\$", script))
    called = set(re.findall(r'word\("([a-z_0-9]+)"', script))
    assert called <= set(known)
    assert [name for name in known if name not in quoted and not name.startswith(begun)] == []


def test_a_helper_looks_and_changes_nothing(weaver: Client) -> None:
    phone = joined(Role.HELPER)
    assert phone.get(AT).headers["Location"] == f"/drafts/{KEY}/look"
    body = json.dumps({"version": 1, "operations": [slide(1)]})
    assert phone.post(f"{AT}/do", body, content_type="application/json").status_code == 403
    assert version() == 1


def editor_new_key(weaver: Client, **typed: str) -> str:
    fields = {
        "title": "Blue start",
        "ends": "12",
        "picks": "8",
        "shafts": "4",
        "treadles": "",
        "begin": "empty",
    }
    answer = weaver.post("/drafts-new", fields | typed)
    assert answer.status_code == 302, answer.content.decode()
    return answer.headers["Location"].removeprefix("/drafts/").removesuffix("/edit")


def test_a_draft_from_nothing(weaver: Client) -> None:
    key = editor_new_key(weaver)
    draft = current_snapshot().drafts[key]
    assert (draft.title, draft.ends, draft.picks, draft.shafts, draft.treadles) == (
        "Blue start",
        12,
        8,
        4,
        None,
    )
    assert not draft.lifts.any()
    key = editor_new_key(weaver, treadles="6", begin="straight")
    other = current_snapshot().drafts[key]
    assert (other.treadles, (other.threading + 1).tolist()[:5]) == (6, [1, 2, 3, 4, 1])


def test_the_beginning_of_a_draft_is_not_undone(weaver: Client) -> None:
    key = editor_new_key(weaver)
    assert editor.steps(key) == editor.Steps(None, None)
    at, step = f"/drafts/{key}/edit", {"do": "thread", "first": 1, "shafts": [2]}
    weaver.post(f"{at}/do", json.dumps({"version": 1, "operations": [step]}), "application/json")
    assert weaver.post(f"{at}/undo", json.dumps({"version": 2}), "application/json").status_code == 200
    assert weaver.post(f"{at}/undo", json.dumps({"version": 3}), "application/json").status_code == 422
    assert current_snapshot().drafts[key].ends == 12


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("ends", "0"),
        ("ends", "20001"),
        ("picks", "many"),
        ("shafts", "65"),
        ("treadles", "-1"),
        ("title", " "),
    ],
)
def test_a_wrong_count_is_said_beside_its_field_and_stays_as_typed(
    weaver: Client, field: str, text: str
) -> None:
    fields = {"title": "T", "ends": "12", "picks": "8", "shafts": "4", "treadles": "4", "begin": "empty"}
    answer = weaver.post("/drafts-new", fields | {field: text})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert f'id="{field}-error"' in page
    assert f'value="{text.strip()}"' in page


def test_a_cloth_too_large_for_the_page_is_not_edited(weaver: Client) -> None:
    grown = [{"do": "repeat", "side": "warp", "first": 1, "last": 64, "times": 300}]
    grown += [{"do": "repeat", "side": "weft", "first": 1, "last": 32, "times": 200}]
    answer = post(weaver, "do", version=1, operations=grown)
    assert answer.status_code == 422
    assert "too large to edit" in answer.json()["says"]
    draft = operations.apply(
        current_snapshot().drafts[KEY],
        [operations.Repeat("warp", 1, 64, 300), operations.Repeat("weft", 1, 32, 200)],
    )
    assert not editor.editable(draft)

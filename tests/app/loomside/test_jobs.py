"""The job pages' addresses: what they hold, keep, refuse and keep aside."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from loomready.app.archive import backup_extras, import_review
from loomready.app.loomside import jobs_data
from loomready.app.models import Change, Fact, JobPlan
from loomready.app.progress.warp_progress import step_of
from loomready.app.state import facts, store
from loomready.app.state.snapshot import current_snapshot
from loomready.loomside.log.facts import JOBS, check_sum
from loomready.loomside.log.plan_diff import plan_name
from loomready.model.dressing_order import SELDOM
from loomready.problems import BadInput
from loomready.warp.result import WarpPlan

pytestmark = pytest.mark.django_db
HAND, OTHER = "aaaaaaaaaaaaaaaa", "bbbbbbbbbbbbbbbb"


def plan_of(warp: str) -> WarpPlan:
    planned = current_snapshot().plan_of(warp)
    assert planned is not None
    assert planned.plan is not None
    return planned.plan


def data_of(weaver: Client, address: str) -> dict[str, Any]:
    text = weaver.get(address).content.decode()
    found = re.search(r'<script type="application/json" id="job-data">(.*?)</script>', text, re.DOTALL)
    assert found is not None
    made: dict[str, Any] = json.loads(found.group(1))
    return made


def post(weaver: Client, warp: str, rows: Any, after: int = 0) -> dict[str, Any]:
    answer = weaver.post(
        f"/beside/{warp}/facts?after={after}", json.dumps({"facts": rows}), content_type="application/json"
    )
    assert answer.status_code == 200
    made: dict[str, Any] = answer.json()
    return made


def change_warp(warp: str, **fields: Any) -> None:
    entry = current_snapshot().entry("warps", warp)
    assert entry is not None
    store.write("warps", warp, entry.fields | fields, version=entry.version, who="test")


@pytest.mark.parametrize("name", sorted(set(JOBS) - SELDOM))
@pytest.mark.parametrize("warp", ["scarves", "cushions", "towels"])
def test_a_page_holds_every_job_of_its_warp(weaver: Client, warp: str, name: str) -> None:
    data = data_of(weaver, f"/beside/{warp}/{name}")
    plan = plan_of(warp)
    assert set(data["jobs"]) == set(JOBS) - SELDOM
    assert data["jobs"]["threading"]["units"] == plan.web.ends
    assert data["jobs"]["weaving"]["units"] == plan.picks


def test_jobs_stand_in_the_order_in_which_the_guild_dresses_its_looms(weaver: Client) -> None:
    assert data_of(weaver, "/beside/towels/winding")["order"][1:4] == ["beaming", "threading", "sleying"]
    weaver.post("/beside/towels/tick", {"job": "winding"})
    assert "beam the warp: towels" in weaver.get("/").content.decode()
    entry = current_snapshot().entry("guild", "guild")
    assert entry is not None
    fields = entry.fields | {"dressing": "front to back"}
    store.write("guild", "guild", fields, version=entry.version, who="test")
    assert data_of(weaver, "/beside/towels/winding")["order"][1:4] == ["sleying", "threading", "beaming"]
    assert "sley the reed: towels" in weaver.get("/").content.decode()


def test_facts_of_two_phones_are_merged_and_none_counts_twice(weaver: Client) -> None:
    plan = data_of(weaver, "/beside/towels/threading")["jobs"]["threading"]["plan"]
    mine = [["threading", plan, 1, 8, 1, 1, HAND], ["threading", plan, 9, 16, 1, 2, HAND]]
    theirs = [["threading", plan, 9, 16, 1, 1, OTHER]]
    post(weaver, "towels", mine)
    told = post(weaver, "towels", [*theirs, *mine])
    assert len(told["facts"]) == 3
    assert told["plans"]["threading"] == plan
    assert post(weaver, "towels", theirs, told["last"])["facts"] == []
    assert Fact.objects.count() == 3
    page = weaver.get("/beside").content.decode()
    assert f"16 of {plan_of('towels').web.ends}" in page


def test_facts_of_a_warp_that_is_gone_are_kept_aside_and_count_again_when_it_is_back(weaver: Client) -> None:
    plan = data_of(weaver, "/beside/towels/winding")["jobs"]["winding"]["plan"]
    entry = current_snapshot().entry("warps", "towels")
    assert entry is not None
    gone = store.remove("warps", "towels", version=entry.version, who="test")
    told = post(weaver, "towels", [["winding", plan, 1, 12, 1, 1, HAND]])
    assert "set aside" in told["word"]
    assert "Set aside" in weaver.get("/beside").content.decode()
    store.undo(gone.pk, who="test")
    assert len(data_of(weaver, "/beside/towels/winding")["facts"]) == 1
    assert "Set aside" not in weaver.get("/beside").content.decode()


@pytest.mark.parametrize("body", ["", "[]", "{}", '{"facts": 3}', '{"facts": {}}', "[" * 5000])
def test_what_is_no_list_of_steps_is_refused(weaver: Client, body: str) -> None:
    answer = weaver.post("/beside/towels/facts", body, content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()["word"]


def test_a_changed_plan_says_what_stays_done_and_what_differs(weaver: Client) -> None:
    before = data_of(weaver, "/beside/towels/threading")["jobs"]["threading"]
    ends = before["units"]
    rows = [
        ["threading", before["plan"], 1, 16, 1, 1, HAND],
        ["threading", before["plan"], ends, ends, 1, 2, HAND],
    ]
    post(weaver, "towels", rows)
    entry = current_snapshot().entry("warps", "towels")
    assert entry is not None
    change_warp("towels", selvedge_ends=int(entry.fields.get("selvedge_ends", 0)) + 4)
    now = data_of(weaver, "/beside/towels/threading")["jobs"]["threading"]
    assert now["plan"] != before["plan"]
    assert before["plan"] in now["earlier"]
    assert now["otherwise"] or now["earlier"][before["plan"]]
    assert now["ahead"]
    # Undone, everything counts as before.
    change_warp("towels", selvedge_ends=int(entry.fields.get("selvedge_ends", 0)))
    again = data_of(weaver, "/beside/towels/threading")["jobs"]["threading"]
    assert again["plan"] == before["plan"]
    assert again["otherwise"] == []


def test_a_plan_that_nobody_worked_by_is_forgotten_in_time(weaver: Client) -> None:
    for number in range(facts.MOST_PLANS + 5):
        facts.remember("towels", {("winding", plan_name("winding", [str(number)])): [str(number)]})
    assert JobPlan.objects.filter(warp="towels", job="winding").count() <= facts.MOST_PLANS + 1


def test_a_plan_that_a_page_was_opened_by_counts_after_the_plan_has_changed(weaver: Client) -> None:
    """The page was opened, then the plan changed, then its first steps came."""
    before = data_of(weaver, "/beside/towels/threading")["jobs"]["threading"]
    assert not JobPlan.objects.exists()
    entry = current_snapshot().entry("warps", "towels")
    assert entry is not None
    change_warp("towels", selvedge_ends=int(entry.fields.get("selvedge_ends", 0)) + 4)
    post(weaver, "towels", [["threading", before["plan"], 1, 16, 1, 1, HAND]])
    now = data_of(weaver, "/beside/towels/threading")["jobs"]["threading"]
    assert now["lost"] == []
    assert before["plan"] in now["earlier"]


def test_a_page_that_greets_the_server_has_its_plan_kept(weaver: Client) -> None:
    plans = {name: job["plan"] for name, job in data_of(weaver, "/beside/towels/threading")["jobs"].items()}
    post(weaver, "towels", [])
    assert dict(JobPlan.objects.values_list("job", "plan")) == plans


def parcel(rows: list[Any], **more: Any) -> SimpleUploadedFile:
    made = {
        "format": 1,
        "guild": {"id": jobs_data.guild_id(), "name": "Tin Roof Loom Room"},
        "warp": "towels",
        "facts": rows,
        "sum": check_sum(rows),
        **more,
    }
    return SimpleUploadedFile("towels-done.json", json.dumps(made).encode())


def test_a_file_hands_its_steps_in_once(weaver: Client) -> None:
    plan = data_of(weaver, "/beside/towels/sleying")["jobs"]["sleying"]["plan"]
    rows = [["sleying", plan, 1, 20, 1, 1, HAND]]
    for told in ("1 step imported", "0 steps imported"):
        answer = weaver.post("/beside/towels/hand-in", {"file": parcel(rows)})
        assert told in answer.content.decode()
    assert Fact.objects.count() == 1


def test_an_edited_file_is_taken_as_far_as_it_means_something_and_says_so(weaver: Client) -> None:
    plan = data_of(weaver, "/beside/towels/sleying")["jobs"]["sleying"]["plan"]
    rows = [["sleying", plan, 1, 20, 1, 1, HAND], ["sleying", plan, 0, "x", 1, 1, HAND]]
    answer = weaver.post("/beside/towels/hand-in", {"file": parcel(rows, sum="00000000")}).content.decode()
    assert "1 step imported" in answer
    assert "was changed after it was saved" in answer
    assert "Not imported: 1" in answer


def test_a_file_of_another_guild_is_taken_only_when_she_says_so(weaver: Client) -> None:
    rows = [["sleying", "0" * 16, 1, 20, 1, 1, HAND]]
    home = {"id": "f" * 16, "name": "Another room"}
    answer = weaver.post("/beside/towels/hand-in", {"file": parcel(rows, guild=home)})
    assert answer.status_code == 409
    assert "Another room" in answer.content.decode()
    assert Fact.objects.count() == 0
    weaver.post("/beside/towels/hand-in", {"file": parcel(rows, guild=home), "other": "yes"})
    assert Fact.objects.count() == 1


@pytest.mark.parametrize(
    "text", [b"", b"{}", b"<html>", b'{"facts": [], "guild": 3, "warp": "x", "sum": ""}', b"\xff"]
)
def test_a_file_that_is_none_of_ours_gets_a_clear_word(weaver: Client, text: bytes) -> None:
    answer = weaver.post("/beside/towels/hand-in", {"file": SimpleUploadedFile("x.json", text)})
    assert answer.status_code == 422
    assert "not a file of steps" in answer.content.decode()


def test_a_finished_job_is_ticked_off_for_the_warp(weaver: Client) -> None:
    weaver.post("/beside/towels/tick", {"job": "winding"})
    assert step_of(current_snapshot(), "towels") == "wound"
    assert "wound" in current_snapshot().entries["warps", "towels"].fields


def test_a_measured_beam_counts_in_turns(weaver: Client) -> None:
    assert not data_of(weaver, "/beside/towels/beaming")["jobs"]["beaming"]["turns"]
    weaver.post("/beside/towels/beam", {"around": "24 in", "sticks": "6 in"})
    job = data_of(weaver, "/beside/towels/beaming")["jobs"]["beaming"]
    assert job["turns"]
    assert job["steps"][0]["sticks"] == 5  # 24 in and a little more for the thickness of the warp
    refused = weaver.post("/beside/towels/beam", {"around": "thick"})
    assert refused.status_code == 422


def test_the_saved_file_needs_nothing_else(weaver: Client) -> None:
    answer = weaver.get("/beside/towels/threading.html")
    text = answer.content.decode()
    assert "attachment" in answer["Content-Disposition"]
    assert not re.search(r'(?:src|href)="(?!http://testserver/beside/towels/threading")[^"]+"', text)
    assert "import " not in re.sub(r"<style>.*?</style>", "", text, flags=re.DOTALL).split("</main>")[1]
    assert len(answer.content) < 500_000


@pytest.mark.parametrize("address", ["/beside/nothing/winding", "/beside/towels/knitting", "/beside/nothing"])
def test_what_is_not_there_is_not_found(weaver: Client, address: str) -> None:
    assert weaver.get(address).status_code == 404


def test_ends_left_over_are_met_with_choices_and_the_plan_follows(weaver: Client) -> None:
    before = plan_of("scarves").web.ends
    plan = data_of(weaver, "/beside/scarves/threading")["jobs"]["threading"]["plan"]
    post(weaver, "scarves", [["threading", plan, 1, 16, 1, 1, HAND]])
    page = weaver.get("/beside/scarves/count?which=over&ends=2").content.decode()
    assert "Leave the 2 ends out" in page
    assert "2 ends more at the last edge" in page
    version = re.search(r'name="version" value="(\d+)"', page)
    assert version is not None
    chosen = {"which": "over", "ends": "2", "choice": "selvedge", "version": version.group(1)}
    answer = weaver.post("/beside/scarves/count", chosen)
    assert answer.status_code == 302
    assert plan_of("scarves").web.ends == before + 2
    now = data_of(weaver, "/beside/scarves/threading")["jobs"]["threading"]
    assert now["otherwise"] == []
    assert "16 of" in weaver.get("/beside").content.decode()
    change = Change.objects.filter(kind="warps", key="scarves").first()
    assert change is not None
    store.undo(change.pk, who="test")
    assert plan_of("scarves").web.ends == before
    assert weaver.post("/beside/scarves/count", chosen).status_code == 422


@pytest.mark.parametrize("ends", ["0", "-3", "many", "99999", "1.5"])
def test_a_count_that_means_nothing_is_said_beside_its_field(weaver: Client, ends: str) -> None:
    answer = weaver.get(f"/beside/towels/count?which=short&ends={ends}")
    assert answer.status_code == 422
    assert f'value="{ends}"' in answer.content.decode()


def test_where_cloths_have_drafts_of_their_own_the_page_says_why_the_plan_does_not_follow(
    weaver: Client,
) -> None:
    text = weaver.get("/beside/towels/count?which=over&ends=2").content.decode()
    assert "Leave the 2 ends out" in text
    assert "carries pieces with different drafts" in text
    assert "drafts of their own" not in weaver.get("/beside/scarves/count?which=over&ends=2").content.decode()


def test_a_backup_brings_every_step_back_once(weaver: Client) -> None:
    plan = data_of(weaver, "/beside/towels/winding")["jobs"]["winding"]["plan"]
    post(weaver, "towels", [["winding", plan, 1, 12, 1, 1, HAND], ["winding", plan, 1, 6, 0, 2, OTHER]])
    facts.take("gone", [["winding", plan, 1, 12, 1, 1, HAND]], "test", trusted=True)
    weaver.post("/beside/towels/beam", {"around": "24 in"})
    kept = backup_extras.text_of(current_snapshot())
    things = backup_extras.things_in(kept.encode())
    assert import_review.compare(current_snapshot(), things).new == ()
    Fact.objects.filter(warp="towels").delete()
    compared = import_review.compare(current_snapshot(), things)
    assert compared.new == (("steps at the loom of warp", ("towels",)),)
    for _ in range(2):
        store.load(import_review.choose(current_snapshot(), things, theirs=False), who="test")
        assert Fact.objects.count() == 3
    assert backup_extras.text_of(current_snapshot()) == kept


def test_steps_by_an_earlier_plan_count_again_in_a_restored_home(weaver: Client) -> None:
    plan = data_of(weaver, "/beside/towels/threading")["jobs"]["threading"]["plan"]
    post(weaver, "towels", [["threading", plan, 1, 40, 1, 1, HAND]])
    kept = backup_extras.text_of(current_snapshot())
    things = backup_extras.things_in(kept.encode())
    Fact.objects.all().delete()
    JobPlan.objects.all().delete()
    assert import_review.compare(current_snapshot(), things).same == 0
    store.load(import_review.choose(current_snapshot(), things, theirs=False), who="test")
    change_warp("towels", selvedge_ends=4)
    job = data_of(weaver, "/beside/towels/threading")["jobs"]["threading"]
    assert job["plan"] != plan
    assert job["lost"] == []
    assert job["earlier"][plan]


def test_a_backup_with_a_changed_plan_of_a_job_is_refused(weaver: Client) -> None:
    plan = data_of(weaver, "/beside/towels/threading")["jobs"]["threading"]["plan"]
    post(weaver, "towels", [["threading", plan, 1, 40, 1, 1, HAND]])
    tree = json.loads(backup_extras.text_of(current_snapshot()))
    tree["facts"]["towels"]["plans"][0][2][7] = "another shaft"
    with pytest.raises(BadInput, match="changed or broken"):
        backup_extras.things_in(json.dumps(tree).encode())


@pytest.mark.parametrize("rows", ["x", [["winding"]], [["knitting", "0" * 16, 1, 2, 1, 1, HAND]]])
def test_a_backup_with_a_broken_step_is_refused_in_one_line(weaver: Client, rows: Any) -> None:
    with pytest.raises(BadInput) as caught:
        backup_extras.things_in(json.dumps({"facts": {"towels": {"made": rows}}}).encode())
    assert "\n" not in str(caught.value)


def test_the_address_of_a_warp_that_is_off_its_loom_leads_to_its_last_job(weaver: Client) -> None:
    assert weaver.get("/beside/towels").url == "/beside/towels/winding"
    weaver.post("/warps/towels/step", {"step": "cut off"})
    assert weaver.get("/beside/towels").url == "/beside/towels/weaving"

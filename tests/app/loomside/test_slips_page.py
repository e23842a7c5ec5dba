"""A warp's test weave: its data for the page, marks as facts, the plan changed to what is on the loom."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest
from django.test import Client

from loomready.app.archive import backup_extras
from loomready.app.changes import history
from loomready.app.loomside import jobs_data, slips_marks
from loomready.app.models import Change
from loomready.app.state import facts, store
from loomready.app.state import old_test_weave as records
from loomready.app.state.old_test_weave import KIND, WeaveSeen, Window
from loomready.app.state.snapshot import current_snapshot
from loomready.loomside.log import facts as engine
from loomready.loomside.log.plan_diff import plan_name
from loomready.loomside.steps.lifting import lifting
from loomready.loomside.steps.threading import loom_shaft
from loomready.problems import BadInput
from loomready.slips import at_loom, job
from loomready.slips.result import Slip
from loomready.warp.result import WarpPlan
from tests.demo.in_the_app import fill_home

PAGE = "/beside/scarves/test-weave"
pytestmark = pytest.mark.django_db


def plan_of(warp: str = "scarves") -> WarpPlan:
    there = current_snapshot().plan_of(warp)
    assert there is not None
    assert there.plan is not None
    return there.plan


def work_of(warp: str = "scarves") -> job.Job:
    work = job.job(plan_of(warp))
    assert work is not None
    return work


def standing(warp: str = "scarves") -> job.Standing:
    plan, work = plan_of(warp), work_of(warp)
    return job.standing(work, slips_marks.marks_of(current_snapshot(), plan, work))


def mark(name: str, *slips: Slip, value: bool = True) -> None:
    work = work_of()
    codes = [work.layout.code(slip) for slip in slips]
    slips_marks.write(plan_of(), work, [(name, code, code, value) for code in codes], "a weaver")


def data(weaver: Client, address: str = PAGE) -> dict[str, object]:
    response = weaver.get(address)
    assert response.status_code == 200, response.content[-800:]
    found = re.search(r'id="job-data">(.*?)</script>', response.content.decode(), re.S)
    assert found is not None
    made: dict[str, object] = json.loads(found[1])
    return made


def slip(kind: str, end: int) -> Slip:
    on = (work_of().planned.threading + 1).tolist()
    if kind == "crossed":
        return Slip("crossed", end, None, on[end - 1], on[end], 19.0)
    return Slip("wrong shaft", end, None, on[end - 1], on[end - 1] % 4 + 1, 19.0)


def test_the_page_has_the_test_weave_between_tying_on_and_weaving(weaver: Client) -> None:
    page = data(weaver)
    order = page["order"]
    assert isinstance(order, list)
    assert order[-3:] == ["tying", "test-weave", "weaving"]
    assert '"test-weave"' in weaver.get("/beside/scarves/test-weave.html").content.decode()


@pytest.mark.parametrize("warp", ["scarves", "towels", "cushions", "nothing"])
def test_every_warp_of_the_guild_has_a_page(weaver: Client, warp: str) -> None:
    there = current_snapshot().plan_of(warp)
    assert weaver.get(f"/beside/{warp}/test-weave").status_code == (200 if there else 404)


def test_cells_that_differ_are_slips_with_a_way_to_mend_them(weaver: Client) -> None:
    work = work_of()
    own = work.use_own
    wrong = slip("wrong shaft", 12)
    there = work.planned.threading.copy()
    there[11] = (wrong.found or 0) - 1
    seen = job.lifts_of(work, own)[:, there[8:16]]
    slips_marks.write(plan_of(), work, slips_marks.looked_at(work, own, 9, seen), "a weaver")
    at = standing()
    (found,) = at.found.slips
    assert (found.kind, found.end, found.planned, found.found) == (
        "wrong shaft",
        12,
        wrong.planned,
        wrong.found,
    )
    assert at.found.looked == 8
    assert at.found.mending
    assert at.mended == frozenset()
    mark("mended", found)
    assert standing().mended == {0}


def test_a_slip_that_is_left_is_not_mended(weaver: Client) -> None:
    mark("kept", slip("crossed", 40), slip("wrong shaft", 100))
    mark("left", slip("crossed", 40))
    at = standing()
    assert at.left == {[each.kind for each in at.found.slips].index("crossed")}
    assert {number for action in at.found.mending[0].actions for number in action.slips} == {
        place for place in range(2) if place not in at.left
    }


def test_marks_of_nothing_are_refused(weaver: Client) -> None:
    with pytest.raises(BadInput, match="expected 0 to"):
        slips_marks.write(plan_of(), work_of(), [("other", 0, 1, True)], "a weaver")


def test_what_was_seen_is_in_the_backup_and_in_the_next_page(weaver: Client) -> None:
    mark("kept", slip("crossed", 40))
    assert "test-weave" in json.dumps(facts.since("scarves", 0))
    rows = data(weaver)["facts"]
    assert isinstance(rows, list)
    assert [row[0] for row in rows] == ["test-weave"]


def test_a_record_of_an_earlier_version_becomes_marks_that_the_page_sends(weaver: Client) -> None:
    work = work_of()
    cells = at_loom.cells_planned(work.planned, job.lifts_of(work, work.use_own))[:, 8:16].copy()
    cells[0, 3] ^= True
    rows = tuple("".join("01"[int(cell)] for cell in row) for row in cells)
    tested = WeaveSeen(work.picks(work.use_own), (Window(9, rows),), (slip("crossed", 40),))
    store.write(KIND, "scarves", tested.fields(), version=None, who="me")
    at = standing()
    assert at.found.looked == 8
    assert [each.kind for each in at.found.slips] == ["crossed"]
    page = data(weaver)
    jobs = page["jobs"]
    assert isinstance(jobs, dict)
    sent = jobs["test-weave"]["of_record"]
    assert all(engine.read(row).job == "test-weave" for row in sent)
    before = slips_marks.marks_of(current_snapshot(), plan_of(), work).done
    weaver.post("/beside/scarves/facts", json.dumps({"facts": sent}), content_type="application/json")
    assert np.array_equal(slips_marks.marks_of(current_snapshot(), plan_of(), work).done, before)
    entry = current_snapshot().entry(KIND, "scarves")
    assert entry is not None
    assert records.checked("scarves", entry.fields) == entry.fields
    assert "tested" in backup_extras.text_of(current_snapshot())


def test_the_web_that_is_reported_right_makes_the_warp_tested(weaver: Client) -> None:
    plan = plan_of()
    signs = job.signs(plan)
    row = ["test-weave", plan_name("test-weave", signs), 1, plan.web.ends, 1, 1, "a" * 16]
    weaver.post("/beside/scarves/facts", json.dumps({"facts": [row]}), content_type="application/json")
    shown = weaver.get("/beside").content.decode()
    assert "/beside/scarves/weaving" in shown.partition("Continue")[0]


def as_planned_now() -> list[int]:
    return (work_of().planned.threading + 1).tolist()


def test_slips_that_are_not_mended_become_the_plan_and_one_undo_takes_that_back(weaver: Client) -> None:
    before = as_planned_now()
    mark("kept", slip("crossed", 40), slip("wrong shaft", 100))
    mark("mended", slip("wrong shaft", 100))
    page = f"{PAGE}/plan"
    shown = weaver.get(page).content.decode()
    assert "Change the plan" in shown
    version = re.search(r'name="version" value="(\d+)"', shown)
    assert version is not None
    assert weaver.post(page, {"version": version[1], "choice": "stands"}).status_code == 302
    after = as_planned_now()
    assert after[39:41] == [before[40], before[39]]
    assert after[:39] + after[41:] == before[:39] + before[41:]
    assert standing().found.slips == ()
    last = Change.objects.order_by("-pk").first()
    assert last is not None
    weaver.post(f"/guild/undo/{last.pk}", {"sure": "yes"})
    assert as_planned_now() == before


def test_the_same_slip_on_the_other_side_becomes_the_plan_and_is_left_to_make(weaver: Client) -> None:
    entry = current_snapshot().entry("warps", "towels")
    assert entry is not None
    items = [item for item in entry.fields["items"] if "draft" not in item]  # one draft has the threading
    store.write("warps", "towels", {**entry.fields, "items": items}, version=entry.version, who="me")
    before = work_of("towels").planned.threading
    assert before.tolist() == before[::-1].tolist()
    one, two = before[39:41].tolist()
    wrong = Slip("crossed", 40, None, one + 1, two + 1, 19.0)
    loom = before.copy()
    loom[39:41] = two, one
    code = work_of("towels").layout.code(wrong)
    slips_marks.write(plan_of("towels"), work_of("towels"), [("kept", code, code, True)], "a weaver")
    page = "/beside/towels/test-weave/plan"
    shown = weaver.get(page).content.decode()
    other = len(before) - 40
    assert "Make the same slip on the other side" in shown
    assert f"thread ends {other} and {other + 1} again" in shown
    version = re.search(r'name="version" value="(\d+)"', shown)
    assert version is not None
    assert weaver.post(page, {"version": version[1], "choice": "mirrored"}).status_code == 302
    after = work_of("towels").planned.threading
    assert np.flatnonzero(after != before).tolist() == [39, 40, other - 1, other]
    assert after.tolist() == after[::-1].tolist()
    at = standing("towels")
    assert at.found.there.tolist() == loom.tolist()
    assert [each.end for each in at.found.slips] == [other]


def test_what_stands_on_the_loom_is_woven_and_drawn_and_other_warps_keep_the_draft(weaver: Client) -> None:
    was = plan_of()
    entry = current_snapshot().entry("warps", "scarves")
    assert entry is not None
    store.write("warps", "twin", {**entry.fields, "key": "twin"}, version=None, who="me")
    mark("kept", slip("crossed", 3))
    shown = weaver.get(f"{PAGE}/plan").content.decode()
    version = re.search(r'name="version" value="(\d+)"', shown)
    assert version is not None
    weaver.post(f"{PAGE}/plan", {"version": version[1], "choice": "stands"})
    now = plan_of()
    assert now.draft.threading.tolist() != was.draft.threading.tolist()
    page = data(weaver, "/beside/scarves/weaving")
    jobs = page["jobs"]
    assert isinstance(jobs, dict)
    edges = dict(jobs["weaving"]["edges"]["first"])
    on = as_planned_now()
    assert [edges[end] for end in (3, 4)] == on[2:4]
    assert plan_of("twin").draft.threading.tolist() == was.draft.threading.tolist()


def test_without_slips_there_is_nothing_to_plan(weaver: Client) -> None:
    assert 'name="choice"' not in weaver.get(f"{PAGE}/plan").content.decode()
    assert weaver.post(f"{PAGE}/plan", {"version": "1"}).status_code == 422


def test_a_web_too_wide_for_marks_has_no_test_weave_in_the_list_or_on_the_page_and_the_list_says_why(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "too wide" not in weaver.get("/beside").content.decode()
    jobs_data.steps_of.cache_clear()
    monkeypatch.setattr(job, "MOST_MARKS", 1000)
    try:
        page = data(weaver, "/beside/scarves/threading")
        listed = weaver.get("/beside").content.decode()
        assert isinstance(page["order"], list)
        assert "test-weave" not in page["order"]
        assert "/beside/scarves/test-weave" not in listed
        assert "This web is too wide for the page of the test weave." in listed
    finally:
        jobs_data.steps_of.cache_clear()


@pytest.mark.parametrize("warp", ["scarves", "towels", "cushions"])
def test_no_layout_of_a_web_needs_more_marks_than_were_reckoned_with(
    weaver: Client, monkeypatch: pytest.MonkeyPatch, warp: str
) -> None:
    monkeypatch.setattr(job, "MOST_MARKS", work_of(warp).layout.bits - 1)
    assert not job.fits_marks(plan_of(warp))


def test_picks_that_treadles_make_have_their_treadles_as_the_weaving_page_has(weaver: Client) -> None:
    found = 0
    for warp in ("scarves", "towels", "cushions"):
        plan, page = plan_of(warp), data(weaver, f"/beside/{warp}/test-weave")
        jobs = page["jobs"]
        assert isinstance(jobs, dict)
        pressed, own = (jobs["test-weave"][name] for name in ("pressed", "own"))
        assert len(pressed["own"]) == len(own)
        woven = lifting(plan.draft, plan.loom, loom_shaft(plan), plan.treadles)
        if woven.treadles is None:
            assert not any(pressed["own"])
            continue
        made = {
            (tuple(np.flatnonzero(up) + 1), treadles)
            for up, treadles in zip(woven.up, woven.treadles, strict=True)
        }
        for pick, treadles in zip(own, pressed["own"], strict=True):
            assert (tuple(pick), tuple(treadles)) in made
            found += 1
    assert found


def report(weaver: Client, name: str, *slips: Slip, value: int = 1) -> None:
    """Facts as a page sends them."""
    plan, work = plan_of(), work_of()
    start, counter = work.layout.blocks[name][0], facts.highest_counter("scarves")
    rows = []
    for number, each in enumerate(slips, 1):
        bit = start + work.layout.code(each) + 1
        named = plan_name("test-weave", job.signs(plan))
        rows.append(["test-weave", named, bit, bit, value, counter + number, "7" * 8])
    answer = weaver.post(
        "/beside/scarves/facts", json.dumps({"facts": rows}), content_type="application/json"
    )
    assert answer.status_code == 200, answer.content


def test_slips_that_are_kept_and_left_are_lines_in_the_list_of_changes_with_an_undo(weaver: Client) -> None:
    crossed = slip("crossed", 40)
    report(weaver, "kept", crossed)
    report(weaver, "left", crossed)
    last, before = history.latest(2)
    assert before.says.startswith("test weave of warp scarves: found Ends 40-41 crossed")
    assert "stays as it is: Ends 40-41" in last.says
    assert last.can_undo
    assert "stays as it is: Ends 40-41" in weaver.get("/guild").content.decode()
    assert weaver.post(f"/guild/undo/{before.number}").status_code == 409  # the later one first
    weaver.post(f"/guild/undo/{last.number}")
    assert standing().left == frozenset()
    weaver.post(f"/guild/undo/{before.number}")
    assert standing().found.slips == ()
    undone = history.latest(2)  # an undo is told on the line of what it undid
    assert [line.number for line in undone] == [last.number, before.number]
    assert [line.undone for line in undone] == [True, True]
    assert not any(line.can_undo for line in undone)


def test_an_undo_is_itself_undone(weaver: Client) -> None:
    report(weaver, "kept", slip("crossed", 40))
    weaver.post(f"/guild/undo/{history.latest(1)[0].number}")
    weaver.post(f"/guild/undo/{history.latest(1)[0].again}")
    assert [each.kind for each in standing().found.slips] == ["crossed"]


def test_several_slips_of_one_act_are_one_line(weaver: Client) -> None:
    report(weaver, "kept", slip("crossed", 40), slip("wrong shaft", 100))
    (line, *_others) = history.latest(2)
    assert "End 100" in line.says
    assert "Ends 40-41" in line.says
    assert Change.objects.filter(kind="slips").count() == 1


def test_cells_that_are_tapped_are_no_lines(weaver: Client) -> None:
    lines = len(history.latest())
    work = work_of()
    bit = work.layout.blocks["looked"][0] + 1
    named = plan_name("test-weave", job.signs(plan_of()))
    rows = [["test-weave", named, bit, bit + 7, 1, 1, "7" * 8]]
    weaver.post("/beside/scarves/facts", json.dumps({"facts": rows}), content_type="application/json")
    assert len(history.latest()) == lines


def test_the_page_of_a_photograph_names_the_treadles_of_each_pick_and_what_to_tie(client: Client) -> None:
    fill_home("seersucker-towels")
    page = client.get("/beside/seersucker towels/test-weave/photo").content.decode()
    assert re.findall(r"<li>treadle (\d): shafts ([\d ]+) up</li>", page)[:3] == [
        ("1", "1 3"),
        ("2", "2 4"),
        ("3", "1 4"),
    ]
    assert "For pick 3 tie treadle 3, which is free, so that shafts 1 and 4 rise." in page


def test_the_page_of_a_photograph_names_levers_alone_where_no_treadle_is_tied(client: Client) -> None:
    fill_home("large-print-tea-towels")
    page = client.get("/beside/tea towels/test-weave/photo").content.decode()
    assert re.search(r"<li>[\d ]+</li>", page)
    assert "treadle" not in page.split("1. Weave these picks")[1].split("2. Take the picture")[0]

"""The test weave on a phone: secret slips found by taps, without a network, on two phones, in a file."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser, Page, expect

from loomready.app.loomside import slips_marks
from loomready.app.models import Fact
from loomready.app.state.snapshot import current_snapshot
from loomready.slips import at_loom, job
from loomready.slips.marks import ODDS
from loomready.warp.result import WarpPlan
from tests.app.access import violations
from tests.app.conftest import fresh
from tests.app.loomside.weaver import Weaver
from tests.slips import webs

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def phone(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 390)


def plan_of(warp: str) -> WarpPlan:
    there = current_snapshot().plan_of(warp)
    assert there is not None
    assert there.plan is not None
    return there.plan


def work_of(warp: str) -> job.Job:
    work = job.job(plan_of(warp))
    assert work is not None
    return work


def standing(warp: str) -> job.Standing:
    """What the server knows."""
    plan, work = plan_of(warp), work_of(warp)
    return job.standing(work, slips_marks.marks_of(current_snapshot(), plan, work))


def wait_saved(page: Page) -> None:
    expect(page.get_by_text("saved", exact=True)).to_be_visible()


def secret(warp: str, seed: int) -> tuple[np.ndarray, tuple[str, int, int | None, int | None]]:
    """The web with one slip that nobody was told of, away from the edges."""
    planned = work_of(warp).planned.threading
    there, ((kind, end, was, found),) = webs.with_slips(planned[8:-16], 1, np.random.default_rng(seed))
    return np.concatenate([planned[:8], there, planned[-16:]]), (kind, end + 8, was, found)


@pytest.mark.parametrize(("warp", "seed"), [("scarves", 1), ("scarves", 2), ("cushions", 3), ("towels", 4)])
def test_a_secret_slip_is_found_by_taps_mended_and_the_loom_weaves_what_was_planned(
    phone: Page, warp: str, seed: int
) -> None:
    there, (kind, end, _was, _found) = secret(warp, seed)
    weaver = Weaver(phone, there)
    weaver.begins(warp)
    while weaver.answers(kind, end):
        assert weaver.taps < 20
    weaver.tap("Yes, that is it")
    expect(phone.get_by_role("button", name="Slips (1)")).to_be_visible()
    told = phone.get_by_text(re.compile(r"found by questions · (Odds|practically certain)"))
    expect(told).to_be_visible()
    wait_saved(phone)
    (slip,) = standing(warp).found.slips
    assert slip.odds in ODDS
    assert np.array_equal(standing(warp).found.there, there)
    steps = phone.locator(".tick")
    for place in range(steps.count()):
        steps.nth(place).click()
        weaver.taps += 1
    weaver.there = work_of(warp).planned.threading  # the steps are done
    weaver.tap("Compare the mended warp")
    around = slip.end or 1
    expect(phone.locator(f'[data-cell="1-{around}"]')).to_be_visible()
    phone.get_by_role("button", name="more").click()
    phone.get_by_label("Go to end, pick or turn").fill(str(around))
    phone.get_by_role("button", name="Go", exact=True).click()
    work = work_of(warp)
    assert weaver.cells(around, [list(pick) for pick in work.picks(work.use_own)]) == 0
    phone.get_by_role("button", name=re.compile("^Slips")).click()
    expect(phone.get_by_text("None seen so far.")).to_be_visible()
    weaver.tap("The web is right")
    expect(phone.locator("#place")).to_have_text(re.compile(r"\d+ of \d+ ends compared with the cloth\."))
    phone.reload()  # a page may begin with a web that is right
    expect(phone.locator("#place")).to_have_text(re.compile(r"\d+ of \d+ ends compared with the cloth\."))
    wait_saved(phone)
    assert standing(warp).found.slips == ()
    assert slips_marks.marks_of(current_snapshot(), plan_of(warp), work).block("tested").all()
    phone.goto("/beside")
    expect(phone.get_by_role("link", name=f"weaving {warp}")).to_be_visible()


def test_a_slip_is_found_by_comparing_cells_without_a_network(phone: Page) -> None:
    there, (_kind, end, _was, _found) = secret("scarves", 6)
    weaver, work = Weaver(phone, there), work_of("scarves")
    weaver.begins("scarves")
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Compare cells").click()
    picks = [list(pick) for pick in work.picks(work.use_own)]
    for start in (end, end + 8):
        phone.get_by_role("button", name="more").click()
        phone.get_by_label("Go to end, pick or turn").fill(str(start))
        phone.get_by_role("button", name="Go", exact=True).click()
        weaver.cells(start, picks)
    phone.get_by_role("button", name="Slips (1)").click()
    expect(phone.get_by_text("No usual way takes less time.")).to_be_visible()
    phone.locator(".tick").first.click()
    expect(phone.locator(".tick").first).to_have_attribute("aria-pressed", "true")
    expect(phone.get_by_text(re.compile("offline"))).to_be_visible()
    assert not Fact.objects.filter(warp="scarves", job="test-weave").exists()
    phone.context.set_offline(False)
    wait_saved(phone)
    at = standing("scarves")
    assert np.array_equal(at.found.there, there)
    assert len(at.mended) == 1


def test_what_two_phones_saw_is_joined_and_either_undoes_its_own(
    demo: None, chromium: Browser, live_server: object
) -> None:
    one, other = (next(fresh(chromium, str(live_server), 390)) for _ in range(2))
    web = work_of("scarves").planned.threading
    for page in (one, other):
        Weaver(page, web).begins("scarves")
    for page, words in ((one, "gap at 30"), (other, "end 60")):
        page.get_by_label("Or say it").fill(words)
        page.get_by_role("button", name="Use this").click()
    one.get_by_role("button", name=re.compile("Compare cells")).click()
    other.get_by_role("button", name=re.compile("Compare cells")).click()
    for page, end in ((one, 9), (other, 17)):
        page.get_by_role("button", name="more").click()
        page.get_by_label("Go to end, pick or turn").fill(str(end))
        page.get_by_role("button", name="Go", exact=True).click()
        page.locator(".cells .one").nth(3).click()
        page.get_by_role("button", name="Looked at these ends").click()
    for page in (one, other):
        page.get_by_role("button", name=re.compile("^Slips")).click()
        expect(page.get_by_text("16 of 258 ends compared with the cloth.")).to_be_visible()
    one.get_by_role("button", name="undo").click()
    for page in (one, other):
        expect(page.get_by_text("8 of 258 ends compared with the cloth.")).to_be_visible()
    for page in (one, other):
        page.context.close()


def test_the_saved_file_finds_a_slip_alone_and_the_guild_imports_it(phone: Page, tmp_path: Path) -> None:
    phone.goto("/beside/scarves/test-weave")
    phone.get_by_role("button", name="more").click()
    with phone.expect_download() as got:
        phone.get_by_role("link", name="Save this job as a file").click()
    file = tmp_path / "job.html"
    got.value.save_as(file)
    there, (kind, end, _was, _found) = secret("scarves", 2)
    phone.context.set_offline(True)
    phone.goto(file.as_uri())
    weaver = Weaver(phone, there)
    phone.get_by_role("button", name="Start").click()
    expect(phone.get_by_text("Weave these picks")).to_be_visible()
    phone.keyboard.press("PageDown")
    weaver.points_at(end)
    while weaver.answers(kind, end):
        assert weaver.taps < 20
    weaver.tap("Yes, that is it")
    expect(phone.get_by_text("Change the plan on the guild's page: it needs the network.")).to_be_visible()
    phone.get_by_role("button", name="more").click()
    with phone.expect_download() as got:
        phone.get_by_role("button", name="Save steps done as a file").click()
    done = tmp_path / "done.json"
    got.value.save_as(done)
    assert json.loads(done.read_text())["facts"]
    phone.context.set_offline(False)
    phone.goto("/beside/scarves/test-weave")
    phone.get_by_role("button", name="more").click()
    phone.get_by_label("Import steps done on another device").set_input_files(done)
    with phone.expect_navigation():
        phone.get_by_role("button", name="Import", exact=True).click()
    assert np.array_equal(standing("scarves").found.there, there)


def test_cells_are_tapped_by_keyboard_and_outlive_a_reload(phone: Page) -> None:
    Weaver(phone, work_of("scarves").planned.threading).begins("scarves")
    phone.get_by_role("button", name="Compare cells").click()
    phone.locator('[data-cell="4-3"]').focus()
    phone.keyboard.press("Space")
    expect(phone.locator('[data-cell="4-3"]')).to_be_focused()
    phone.keyboard.press("ArrowDown")
    phone.keyboard.press("ArrowLeft")  # end 1 is at the right: one end on
    expect(phone.locator('[data-cell="3-4"]')).to_be_focused()
    phone.keyboard.press("Space")
    tapped = phone.locator('.cells [aria-pressed="true"]')
    expect(tapped).to_have_count(2)
    phone.reload()
    phone.get_by_role("button", name="Compare cells").click()
    expect(tapped).to_have_count(2)
    assert {cell.get_attribute("data-cell") for cell in tapped.all()} == {"4-3", "3-4"}


def test_a_slip_that_stays_is_no_work_and_becomes_the_plan(phone: Page) -> None:
    there, (kind, end, _was, _found) = secret("scarves", 1)
    weaver = Weaver(phone, there)
    weaver.begins("scarves")
    weaver.points_at(end)
    while weaver.answers(kind, end):
        assert weaver.taps < 20
    weaver.tap("Yes, that is it")
    expect(phone.locator(".tick")).to_have_count(1)
    expect(phone.locator(".patches .patch")).to_have_count(2)
    assert violations(phone) == []
    weaver.tap("Leave it")
    expect(phone.locator(".tick")).to_have_count(0)
    expect(phone.get_by_role("button", name="Go on; leave the rest as it is")).to_be_visible()
    wait_saved(phone)
    with phone.expect_navigation():
        phone.get_by_role("link", name="Change the plan to what is on the loom").click()
    assert violations(phone) == []
    with phone.expect_navigation():
        phone.get_by_role("button", name="Change the plan").first.click()
    plan = plan_of("scarves")
    assert np.array_equal(at_loom.on_loom(plan).threading, there)
    assert standing("scarves").found.slips == ()


def test_all_sixteen_shafts_of_a_pick_are_seen_on_a_phone(phone: Page) -> None:
    phone.goto("/beside/towels/test-weave")
    phone.get_by_role("button", name="Start").click()
    expect(phone.get_by_text("Weave these picks")).to_be_visible()
    cell = phone.locator("table.lifts tr").first.locator("td")
    expect(cell).to_have_count(16)
    for place in (0, 15):
        expect(cell.nth(place)).to_be_in_viewport(ratio=1)
    assert phone.locator("table.lifts").evaluate(
        "it => it.parentElement.scrollWidth <= it.parentElement.clientWidth"
    )
    button, card = phone.locator(".go").bounding_box(), phone.locator("#card").bounding_box()
    assert button is not None
    assert card is not None
    assert button["height"] < card["height"] / 2  # the picks get the room


def test_the_stretches_of_a_question_lie_side_by_side_as_on_the_loom(phone: Page) -> None:
    Weaver(phone, work_of("scarves").planned.threading).begins("scarves")
    boxes = [button.bounding_box() for button in phone.locator(".replies.across button").all()]
    assert len(boxes) == 4
    places = [(box["x"], box["y"]) for box in boxes if box is not None]
    assert len({y for _x, y in places}) == 1
    assert [x for x, _y in places] == sorted((x for x, _y in places), reverse=True)  # end 1 is at the right


def test_the_page_fits_a_phone_has_large_targets_and_is_reachable(phone: Page) -> None:
    phone.goto("/beside")
    phone.get_by_role("link", name="test weave scarves").click()
    phone.get_by_role("button", name="Start").click()
    expect(phone.get_by_text("Weave these picks")).to_be_visible()
    assert violations(phone) == []
    phone.keyboard.press("PageDown")
    expect(phone.get_by_role("button", name="Questions")).to_be_visible()
    assert violations(phone) == []
    phone.get_by_role("button", name="Compare cells").click()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    box = phone.locator(".cells .one").first.bounding_box()
    assert box is not None
    assert box["width"] >= 38
    assert box["height"] >= 44
    assert violations(phone) == []

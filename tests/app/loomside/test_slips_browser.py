"""The test weave on a phone: secret slips found by taps, cells by keyboard, taps that outlive a reload."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from playwright.sync_api import Browser, Page, expect

from loomready.app.state import store
from loomready.app.state import tested as records
from loomready.app.state.snapshot import open_room
from loomready.slips import at_loom
from tests.app.conftest import fresh
from tests.app.test_access import violations

pytestmark = pytest.mark.django_db(transaction=True)
PAGE = "/beside/scarves/test-weave"


@pytest.fixture
def phone(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 390)


def planned() -> at_loom.Planned:
    there = open_room().plan_of("scarves")
    assert there is not None
    assert there.plan is not None
    return at_loom.on_loom(there.plan)


def rising(text: str) -> set[int]:
    """The ends that an answer says rise: "these rise: 41, 43"."""
    return {int(end) for end in text.partition(":")[2].split(",")} if ":" in text else set()


@pytest.mark.parametrize("seed", [1, 2])
def test_a_secret_wrong_shaft_is_found_by_questions_in_seven_taps_or_fewer(phone: Page, seed: int) -> None:
    random = np.random.default_rng(seed)
    web = planned()
    end = int(random.integers(20, 200))
    there = web.threading.copy()
    there[end - 1] = (there[end - 1] + 1 + int(random.integers(3))) % 4
    phone.goto(PAGE)
    phone.get_by_label("Or say it").fill(f"ends {end - 1} to {end + 1}")
    with phone.expect_navigation():
        phone.get_by_role("button", name="Take this").click()
    keep = phone.get_by_role("button", name="Yes, keep this slip")
    for tap in range(8):
        if keep.is_visible():
            break
        assert tap < 7
        asks = phone.locator("#ask .asks").inner_text()
        if "What do you see" in asks:
            answer = phone.get_by_role("link", name="One end lies differently")
        else:
            lifted = {int(each) - 1 for each in asks.partition("shaft")[2].split() if each.isdecimal()}
            links = phone.locator("#ask .answers a")
            ends = [int(each) for each in links.first.locator(".ends > span").all_inner_texts()]
            wanted = {each for each in ends if there[each - 1] in lifted}
            said = [
                rising(links.nth(n).locator(".hidden").text_content() or "") for n in range(links.count())
            ]
            answer = (
                links.nth(said.index(wanted)) if wanted in said else phone.get_by_text("I can't see that")
            )
        with phone.expect_navigation():
            answer.click()
    with phone.expect_navigation():
        keep.click()
    found = phone.locator("#found")
    expect(found).to_contain_text(
        f"End {end} on shaft {there[end - 1] + 1}, planned on shaft {web.threading[end - 1] + 1}"
    )
    step = phone.locator("#mend .tick").first
    with phone.expect_navigation():
        step.click()
    expect(phone.locator("#mend .tick").first).to_have_attribute("aria-pressed", "true")


def test_cells_are_tapped_by_keyboard_and_outlive_a_reload_until_they_are_saved(phone: Page) -> None:
    phone.goto(f"{PAGE}?end=9#cells")
    boxes = phone.locator(".cells input")
    boxes.first.focus()
    phone.keyboard.press("Space")
    phone.keyboard.press("ArrowDown")
    phone.keyboard.press("ArrowLeft")  # end 1 is at the right: one end on
    phone.keyboard.press("Space")
    tapped = phone.locator(".cells input:checked")
    expect(tapped).to_have_count(2)
    names = [box.get_attribute("value") for box in tapped.all()]
    phone.reload()
    expect(tapped).to_have_count(2)
    assert [box.get_attribute("value") for box in tapped.all()] == names
    assert {str(name).partition("-")[2] for name in names} == {"9", "10"}
    with phone.expect_navigation():
        phone.get_by_role("button", name="Looked at these ends").click()
    expect(phone.get_by_role("heading", name="Ends 17 to 24")).to_be_visible()
    tested, _entry = records.of(open_room(), "scarves")
    assert [window.first for window in tested.windows] == [9]
    phone.goto(f"{PAGE}?end=9#cells")
    expect(tapped).to_have_count(2)


def test_taps_of_a_page_that_somebody_else_overtook_are_not_lost(phone: Page) -> None:
    phone.goto(f"{PAGE}?end=9#cells")
    phone.locator(".cells input").first.check(force=True)
    web = planned()
    lifts = at_loom.own_picks(web)
    other = at_loom.window(web, lifts, 1, [])
    made = records.WeaveSeen(at_loom.shafts_of(lifts), (other,))
    store.write(records.KIND, "scarves", made.fields(), version=None, who="another phone")
    with phone.expect_navigation():
        phone.get_by_role("button", name="Looked at these ends").click()
    expect(phone.get_by_text("Somebody changed this")).to_be_visible()
    phone.goto("/beside")
    phone.goto(f"{PAGE}?end=9#cells")
    expect(phone.locator(".cells input:checked")).to_have_count(1)


def test_the_page_fits_a_phone_has_large_targets_and_is_reachable(phone: Page) -> None:
    phone.goto("/beside")
    phone.get_by_role("link", name="test weave: find slips, mend them scarves").click()
    expect(phone.get_by_role("heading", name="Test weave of scarves")).to_be_visible()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    box = phone.locator(".cells label").first.bounding_box()
    assert box is not None
    assert box["width"] >= 40
    assert box["height"] >= 44
    assert violations(phone) == []

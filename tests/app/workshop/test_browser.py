"""The workshop as a weaver walks it, by visible labels only, on a phone and on a desk."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Page, expect

from loomready.draft.draft import Draft, lift_plan
from loomready.draft.wif import writer

pytestmark = pytest.mark.django_db(transaction=True)


def leaning_waves() -> Draft:
    """Advancing runs on sixteen shafts and back again, with an end too high on either side of the turn."""
    there = [(first + step) % 16 + 1 for first in (0, 4, 8) for step in range(12)]
    threading = there + there[-2:0:-1]
    threading[9] = threading[9] % 16 + 1
    threading[50] = (threading[50] + 1) % 16 + 1
    lifts = [[(pick + up) % 16 + 1 for up in (0, 1, 2, 3, 5, 6, 9, 12)] for pick in range(16)]
    return lift_plan(threading, lifts, title="Leaning waves")


def ten_treadles() -> Draft:
    """Eight shafts one by one, and twice two together: a treadle for each of the ten lifts."""
    lifts = [*([shaft] for shaft in range(1, 9)), [1, 2], [3, 4]]
    draft = lift_plan(range(1, 9), lifts, title="Ten treadles")
    return replace(draft, tieup=draft.lifts.T.copy(), treadling=np.eye(10, dtype=np.bool_))


def bring_in(page: Page, draft: Draft, folder: Path) -> None:
    """A draft comes in as a file, and its page is opened."""
    file = folder / f"{draft.title}.wif"
    writer.save(file, draft)
    page.get_by_role("link", name="Drafts", exact=True).click()
    page.get_by_label("WIF files").set_input_files(file)
    page.get_by_role("button", name="Import").click()
    page.get_by_role("link", name="view it").click()
    expect(page.get_by_role("heading", level=1, name=draft.title)).to_be_visible()


def plan_and_print(page: Page, name: str, loom: str) -> None:
    """From a draft's page: a new warp on it, and its packet."""
    page.wait_for_load_state("networkidle")
    with page.expect_navigation():
        page.get_by_role("link", name="Use for a warp").click()
    page.get_by_role("link", name="Plan a new warp").click()
    page.get_by_label("Name").fill(name)
    page.get_by_label("Loom").select_option(label=loom)
    page.get_by_label("Finished width").fill("10 in")
    page.get_by_label("Finished length").fill("20 in")
    page.get_by_role("button", name="Plan the warp").click()
    expect(page.get_by_role("heading", level=1, name=name)).to_be_visible()
    with page.expect_download() as download:
        page.get_by_role("button", name=re.compile("^Print")).click()
    assert download.value.path().read_bytes().startswith(b"%PDF")


def test_a_two_block_lace_is_made_from_nothing_and_printed(demo: None, page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Drafts", exact=True).click()
    page.get_by_role("link", name="Make a draft").click()
    page.get_by_role("link", name=re.compile("^4 shafts")).click()
    page.get_by_role("link", name=re.compile("^Huck lace")).click()
    expect(page.get_by_role("heading", level=1, name="Huck lace")).to_be_visible()
    page.wait_for_load_state()
    cloth = page.get_by_role("img", name="The cloth")
    before = cloth.get_attribute("src")
    profile = page.get_by_role("textbox", name="Profile of the threading")
    board = page.get_by_role("group", name="Profile of the threading")
    profile.fill("abc")
    expect(page.get_by_text("3 blocks need 5 shafts")).to_be_visible()
    profile.fill("AB")
    expect(page.get_by_text("3 blocks need 5 shafts")).to_have_count(0)
    page.get_by_role("button", name="Add a unit").first.click()
    board.get_by_role("button", name="unit 3, block B").focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(profile).to_have_value("ABA")
    expect(cloth).not_to_have_attribute("src", before or "")
    page.get_by_label("Name").fill("Window lace")
    page.get_by_role("button", name="Save draft").click()
    expect(page.get_by_role("heading", level=1, name="Window lace")).to_be_visible()
    plan_and_print(page, "curtain", "Porch loom · 4 shafts")


def balance(page: Page) -> None:
    """Open the balance page of the draft shown, once its own page is all there."""
    page.wait_for_load_state("networkidle")
    with page.expect_navigation():
        page.get_by_role("link", name="Balance").click()


def test_a_typed_name_stays_when_the_options_change(demo: None, page: Page) -> None:
    page.goto("/make/point-twill")
    name = page.get_by_label("Name")
    given = name.input_value()
    page.get_by_label("Shafts").fill("8")
    expect(name).not_to_have_value(given)
    name.fill("Towels for the kitchen")
    page.get_by_label("Repeats").fill("3")
    expect(page.locator("#made input[name=repeats]")).to_have_value("3")
    expect(name).to_have_value("Towels for the kitchen")


def test_a_leaning_draft_of_many_shafts_is_balanced_and_printed(
    demo: None, page: Page, tmp_path: Path
) -> None:
    page.goto("/")
    bring_in(page, leaning_waves(), tmp_path)
    balance(page)
    expect(page.get_by_text("Not symmetrical. It is closest to symmetrical about end 1")).to_be_visible()
    with page.expect_navigation():
        page.get_by_role("button", name="Use this draft Change 2 ends").click()
    balance(page)
    expect(page.get_by_text("Symmetrical as a continuous repeat, about end 1.")).to_be_visible()
    page.get_by_label("Approximate number of ends").fill("211")
    with page.expect_navigation():
        page.get_by_role("button", name="Find").click()
    with page.expect_navigation():
        page.get_by_role("button", name=re.compile("Start threading here 211 ends")).click()
    balance(page)
    expect(page.get_by_text("Both edges match as it is.")).to_be_visible()
    page.get_by_role("link", name="Leaning waves").click()
    plan_and_print(page, "waves", "Loom on the cart · 16 shafts")


def test_ten_treadles_become_a_lift_plan_and_eight_treadles_and_are_printed(
    demo: None, page: Page, tmp_path: Path
) -> None:
    page.goto("/")
    bring_in(page, ten_treadles(), tmp_path)
    page.get_by_role("link", name="Convert tie-up / lift plan").click()
    page.get_by_role("link", name="View Convert to lift plan").click()
    expect(page.get_by_text("The same cloth, thread for thread.")).to_be_visible()
    page.get_by_role("button", name="Save as a new version").click()
    page.get_by_role("link", name="Convert tie-up / lift plan").click()
    expect(page.get_by_text("This draft already has a lift plan.")).to_be_visible()
    page.get_by_label("Treadles on the loom").fill("8")
    page.get_by_label("Most treadles in one pick").select_option(label="two")
    page.get_by_label("Shed").select_option(label="rising")
    page.get_by_role("button", name="Find the fewest treadles").click()
    expect(page.get_by_text("It can be woven with 8 treadles.")).to_be_visible()
    expect(page.get_by_text("Proved: no tie-up with fewer treadles")).to_be_visible()
    page.get_by_role("button", name="Save as a new version").click()
    expect(page.get_by_role("heading", level=1, name="Ten treadles")).to_be_visible()
    plan_and_print(page, "eight", "Attic loom · 8 shafts")


def test_overshot_gets_its_ground_and_a_weft_yarn_more(demo: None, page: Page) -> None:
    page.goto("/make/overshot")
    page.get_by_label("Ground picks").uncheck()
    expect(page.get_by_text("22 × 24")).to_be_visible()
    page.get_by_label("Name").fill("Table square")
    page.get_by_role("button", name="Save draft").click()
    page.get_by_role("link", name="Add tabby (ground) picks").click()
    expect(page.get_by_text("22 × 48")).to_be_visible()
    page.wait_for_load_state("networkidle")
    with page.expect_navigation():
        page.get_by_role("button", name="Save as a new version").click()
    plan_and_print(page, "square", "Porch loom · 4 shafts")
    page.go_back()
    page.goto("/warps/square")
    expect(page.get_by_label("Weft yarn 2")).to_be_visible()

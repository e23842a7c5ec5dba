"""More of the main paths by visible labels only, on a phone and on a desk: in, onward, by keys, and back."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from loomready.app.models import Change, Record
from tests.app.conftest import AT_BOTH_WIDTHS, DRAFTS, fresh
from tests.app.test_browser import begin

pytestmark = pytest.mark.django_db(transaction=True)


def test_many_files_come_in_and_each_that_fails_says_why(page: Page) -> None:
    begin(page, "Start your own guild")
    page.get_by_role("link", name="Drafts", exact=True).click()
    letter = {"name": "letter.wif", "mimeType": "text/plain", "buffer": b"Dear all, the key is under the mat"}
    good = [
        {"name": path.name, "mimeType": "text/plain", "buffer": path.read_bytes()}
        for path in sorted(DRAFTS.glob("*.wif"))
    ]
    page.get_by_label("WIF files").set_input_files([*good, letter])  # type: ignore[list-item]
    page.get_by_role("button", name="Import").click()
    expect(page.get_by_text("is in the gallery")).to_have_count(len(good))
    expect(page.get_by_role("listitem").filter(has_text="letter.wif")).to_contain_text("expected")
    page.get_by_role("link", name="Broken twill with borders", exact=True).click()
    expect(page.get_by_text("Holds together")).to_be_visible()
    with page.expect_download() as download:
        page.get_by_role("link", name="WIF", exact=True).click()
    assert download.value.suggested_filename == "broken-twill.wif"


def test_files_dropped_on_the_page_come_in(page: Page) -> None:
    begin(page, "Start your own guild")
    page.get_by_role("link", name="Drafts", exact=True).click()
    page.wait_for_url("**/drafts")
    text = (DRAFTS / "broken-twill.wif").read_text()
    page.evaluate(
        """(text) => {
            const data = new DataTransfer();
            data.items.add(new File([text], "twill.wif"));
            document.querySelector("main").dispatchEvent(
                new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
        }""",
        text,
    )
    expect(page.get_by_text("is in the gallery")).to_be_visible()


def test_files_that_are_too_large_are_said_before_they_are_sent(demo: None, page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Drafts", exact=True).click()
    page.wait_for_url("**/drafts")
    field = page.get_by_label("WIF files")
    field.evaluate("(field) => { field.dataset.most = '100' }")
    field.set_input_files(DRAFTS / "broken-twill.wif")
    page.get_by_role("button", name="Import").click()
    assert "too large" in field.evaluate("(field) => field.validationMessage")
    expect(page.get_by_text("is in the gallery")).to_have_count(0)


def test_a_new_warp_is_brought_to_a_clean_plan_by_its_remedies_and_printed(demo: None, page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Warps", exact=True).click()
    page.get_by_role("link", name="New warp").click()
    page.get_by_label("Name").fill("Aunt’s runner (wide)")
    page.get_by_label("Loom").select_option(label="Porch loom · 4 shafts")
    page.get_by_label("Finished width").fill("37 1/2 in")
    page.get_by_label("Finished length").fill("1 ft 6 in")
    page.get_by_label("How many").fill("1")
    page.get_by_role("button", name="Plan the warp").click()
    expect(page.get_by_role("heading", name="Aunt’s runner (wide)")).to_be_visible()
    answers = page.locator("#answers")
    for _ in range(8):
        stops = answers.locator("section.note").filter(has_text="Stop.")
        before = stops.count()
        if not before:
            break
        undo = page.locator(".changes li").count()
        stops.first.get_by_role("button").first.click()
        expect(page.locator(".changes li")).to_have_count(min(undo + 1, 4))
    expect(answers.get_by_text("Stop.")).to_have_count(0)
    with page.expect_download() as download:
        page.get_by_role("button", name="Print the packet").click()
    assert download.value.path().read_bytes().startswith(b"%PDF")
    assert download.value.suggested_filename == "Aunts runner wide.pdf"


def test_a_cone_that_grew_is_asked_about_on_the_phone(demo: None, page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Shelf", exact=True).click()
    page.locator("#cottolin-green summary").click()
    page.get_by_role("link", name="Weigh fern-big").click()
    expect(page.get_by_role("textbox", name="On the scale")).to_be_focused()
    page.keyboard.type("1 lb 3 oz")
    page.keyboard.press("Enter")
    expect(page.get_by_text("This cone is heavier than before.")).to_be_visible()
    expect(page.get_by_role("textbox", name="On the scale")).to_have_value("1 lb 3 oz")
    expect(page.get_by_text("read as 19 oz")).to_be_visible()
    page.get_by_role("button", name="The weight is right").click()
    expect(page.get_by_role("heading", name="Shelf", exact=True)).to_be_visible()
    page.locator("#cottolin-green summary").click()
    page.get_by_role("link", name="Weigh fern-big").click()
    expect(page.get_by_text("last time 19 oz")).to_be_visible()


def test_a_wound_warp_is_changed_on_purpose_only(demo: None, page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="towels", exact=True).first.click()
    page.get_by_role("button", name="wound", exact=True).click()
    expect(page.get_by_role("button", name="wound", exact=True)).to_have_attribute("aria-current", "step")
    page.get_by_role("textbox", name="Finished width").fill("12 in")
    page.keyboard.press("Tab")
    expect(page.get_by_text("This warp is wound already.")).to_be_visible()
    expect(page.get_by_role("textbox", name="Finished width")).to_have_value("12 in")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.get_by_role("link", name="Don't change it").click()
    expect(page.get_by_role("textbox", name="Finished width")).to_have_value("17 in")
    page.get_by_role("textbox", name="Picks", exact=True).fill("20 /in")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name=re.compile("Undo: warp towels: picks"))).to_be_visible()
    page.get_by_role("textbox", name="Finished width").fill("12 in")
    page.keyboard.press("Tab")
    page.get_by_role("button", name="Plan it as another warp").click()
    expect(page.get_by_role("heading", name="towels 2")).to_be_visible()
    expect(page.get_by_role("textbox", name="Finished width")).to_have_value("12 in")
    page.goto("/warps/towels")
    page.get_by_role("textbox", name="Finished width").fill("12 in")
    page.keyboard.press("Tab")
    page.get_by_role("button", name="Change the plan anyway").click()
    expect(page.get_by_text("This warp is wound already.")).to_have_count(0)
    expect(page.get_by_role("textbox", name="Finished width")).to_have_value("12 in")


@AT_BOTH_WIDTHS
@pytest.mark.parametrize("by", ["finger", "keys"])
def test_a_stretch_of_the_web_leads_to_what_is_told_about_it(demo: None, page: Page, by: str) -> None:
    page.goto("/")
    page.get_by_role("link", name="towels", exact=True).first.click()
    stretch = page.get_by_role("link", name=re.compile(r"^bout 2 · \d+, ends"))
    if by == "finger":
        stretch.click(force=True)
    else:
        stretch.focus()
        page.keyboard.press("Enter")
    told = page.get_by_role("listitem").filter(has_text="bout 2 ·")
    expect(told).to_be_focused()
    expect(told).to_be_in_viewport()
    expect(told).to_contain_text("fern-big gives")
    page.get_by_role("link", name="dents", exact=True).click()
    expect(page.get_by_role("link", name=re.compile(r"^dents \d+–\d+, ends")).first).to_be_visible()


@AT_BOTH_WIDTHS
def test_home_leads_to_what_there_is_to_look_at_and_to_do(demo: None, page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="32 heddles must move: towels").click()
    expect(page.get_by_text("32 heddles must move: 4 from shaft")).to_be_in_viewport()
    page.get_by_role("link", name="Home", exact=True).click()
    page.get_by_role("link", name="Wind the warp: scarves", exact=True).click()
    expect(page).to_have_url(re.compile("/scarves/winding$"))


@AT_BOTH_WIDTHS
def test_the_cloth_is_seen_in_its_whole_width(demo: None, page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="scarves", exact=True).first.click()
    page.get_by_role("link", name="Show the full width").click()
    expect(page.get_by_role("img", name=re.compile("from selvedge to selvedge"))).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.usefixtures("without_packets")
def test_a_backup_restores_a_guild_that_is_gone(
    demo: None, page: Page, chromium: Browser, live_server: object
) -> None:
    page.goto("/")
    page.get_by_role("link", name="towels", exact=True).first.click()
    page.get_by_role("button", name="threaded", exact=True).click()
    page.get_by_role("link", name="Guild", exact=True).click()
    with page.expect_download() as download:
        page.get_by_role("button", name="Download a backup").click()
    whole = download.value.path().read_bytes()
    forget_all()
    others = fresh(chromium, str(live_server), 1440)
    other = next(others)
    begin(other, "Start your own guild")
    other.get_by_role("link", name="Guild", exact=True).click()
    other.get_by_label("A backup or a guild file").set_input_files(
        {"name": "b.zip", "mimeType": "application/zip", "buffer": whole}
    )
    other.get_by_role("button", name="Compare").click()
    other.get_by_label("Use the imported version").check()
    other.get_by_role("button", name="Import").click()
    other.get_by_role("link", name="Home", exact=True).click()
    expect(other.get_by_role("heading", name="Tin Roof Loom Room")).to_be_visible()
    card = other.get_by_role("article").filter(has_text="towels")
    expect(card.get_by_role("listitem").filter(has_text="threaded")).to_have_attribute("aria-current", "step")
    next(others, None)


def forget_all() -> None:
    """As on another computer: nothing is here."""
    Change.objects.all().delete()
    Record.objects.all().delete()

"""The main paths as a newcomer walks them, by visible labels only, on a phone and on a desk."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from tests.app.conftest import AT_BOTH_WIDTHS, DRAFTS, fresh

pytestmark = pytest.mark.django_db(transaction=True)


def begin(page: Page, which: str) -> None:
    page.goto("/")
    page.get_by_role("button", name=which).click()


COUNTS_CLICKS = """
addEventListener("click", (event) => {
  if (event.isTrusted) sessionStorage.clicks = 1 + Number(sessionStorage.clicks || 0);
}, true);
"""


@AT_BOTH_WIDTHS
def test_from_nothing_to_a_printed_packet_in_at_most_22_clicks(page: Page) -> None:
    page.add_init_script(COUNTS_CLICKS)
    begin(page, "Start your own guild")
    page.get_by_role("link", name="Add a yarn").click()
    page.get_by_label("Name").fill("Cotton, slate")
    page.get_by_label("Count on the label").fill("8/2 Ne")
    page.get_by_role("button", name="Save yarn").click()

    page.get_by_role("link", name="Weigh its first cone").click()
    page.get_by_label("On the scale").fill("612")
    page.get_by_role("button", name="Save cone").click()

    page.get_by_role("link", name="Add a loom").click()
    page.get_by_label("Name").fill("Window loom")
    page.get_by_label("Weaving width").fill("24")
    page.get_by_label("Loom waste").fill("24 in")
    page.get_by_role("button", name="Save loom").click()

    page.get_by_role("link", name="Add a reed").click()
    page.get_by_label("Name").fill("12-dent")
    page.get_by_label("Dents").fill("12")
    page.get_by_label("Width").fill("25")
    page.get_by_role("button", name="Save reed").click()

    page.get_by_role("link", name="Import a draft").click()
    page.get_by_label("WIF files").set_input_files(DRAFTS / "broken-twill.wif")
    page.get_by_role("button", name="Import").click()
    expect(page.get_by_text("is in the gallery")).to_be_visible()
    expect(page.get_by_text("5 of 6 done.")).to_be_visible()

    page.get_by_role("link", name="Plan a warp", exact=True).click()
    page.get_by_label("Name").fill("first runner")
    page.get_by_label("Finished width").fill("14")
    page.get_by_label("Finished length").fill("48 in")
    page.get_by_role("button", name="Plan the warp").click()
    expect(page.get_by_role("heading", name="first runner")).to_be_visible()
    expect(page.get_by_text("Width in the reed", exact=True)).to_be_visible()
    with page.expect_download() as download:
        page.get_by_role("button", name="Print anyway").click()
    assert download.value.path().read_bytes().startswith(b"%PDF")
    clicks = 1 + page.evaluate("Number(sessionStorage.clicks)")  # one more: the file was chosen
    assert 10 < clicks <= 22


def test_a_light_cone_is_settled_by_a_remedy(demo: None, page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Shelf").click()
    page.locator("#cottolin-green summary").click()
    page.get_by_role("link", name="Weigh fern-big").click()
    expect(page.get_by_label("On the scale")).to_be_focused()
    page.keyboard.type("150")  # the scale's number and Enter, nothing else
    page.keyboard.press("Enter")
    expect(page.locator("#cottolin-green").get_by_text("short", exact=True).first).to_be_visible()
    page.locator("#cottolin-green summary").click()
    page.locator("#cottolin-green").get_by_role("link", name="towels").click()
    expect(page.get_by_text("Stop.")).to_be_visible()
    page.get_by_role("button", name="narrower").first.click()
    expect(page.get_by_text("Stop.")).to_have_count(0)


@AT_BOTH_WIDTHS
def test_figures_follow_while_the_width_is_turned(demo: None, page: Page) -> None:
    page.goto("/warps/scarves")
    expect(page.locator("summary", has_text="Finished width")).to_contain_text("9.49 in")
    page.get_by_role("textbox", name="Finished width").fill("30 cm")
    page.keyboard.press("Tab")
    expect(page.locator("summary", has_text="Finished width")).not_to_contain_text("9.49 in")
    page.get_by_role("button", name=re.compile("^Finished width more")).click()
    expect(page.get_by_role("textbox", name="Finished width")).to_have_value("31 cm")
    page.locator("summary", has_text="Warp length").click()
    expect(page.get_by_text("woven length × (1 + take-up)")).to_be_visible()


def test_a_slip_of_the_pen_is_said_beside_its_field(demo: None, page: Page) -> None:
    page.goto("/warps/scarves")
    page.get_by_role("textbox", name="Finished width").fill("wide")
    page.keyboard.press("Tab")
    field = page.get_by_role("textbox", name="Finished width")
    expect(field).to_have_value("wide")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_text("is not a quantity")).to_be_visible()


@AT_BOTH_WIDTHS
def test_the_keyboard_and_the_page_stay_where_they_were(demo: None, page: Page) -> None:
    page.goto("/warps/scarves")
    for name in ("Finished width more", "Add a piece"):
        button = page.get_by_role("button", name=re.compile(f"^{name}"))
        button.scroll_into_view_if_needed()
        button.focus()
        before = button.evaluate("e => e.getBoundingClientRect().top")
        undo = page.locator(".changes li").count()
        page.keyboard.press("Enter")
        expect(page.locator(".changes li")).to_have_count(undo + 1)
        expect(button).to_be_focused()
        assert abs(button.evaluate("e => e.getBoundingClientRect().top") - before) < 3


def test_what_is_typed_while_an_answer_is_on_its_way_is_kept_and_saved(demo: None, page: Page) -> None:
    page.goto("/warps/towels")
    page.wait_for_load_state("networkidle")
    held: list[Route] = []
    page.route("**/warps/towels", lambda route: held.append(route) if not held else route.continue_())
    page.locator("#allowances > summary").click()
    page.locator("#take_up").fill("9 %")
    page.keyboard.press("Tab")
    page.keyboard.type("7 %")
    page.keyboard.press("Tab")
    page.keyboard.type("6")
    length = page.locator("#shrink_length")
    with page.expect_response(lambda answer: "draw_in=7" in (answer.request.post_data or "")):
        held[0].continue_()
    expect(length).to_be_focused()
    expect(length).to_have_value("6")
    page.keyboard.type(".5 %")
    with page.expect_response(lambda answer: "shrink_length=6.5" in (answer.request.post_data or "")):
        page.keyboard.press("Tab")
    page.reload()
    for name, value in (("take_up", "9 %"), ("draw_in", "7 %"), ("shrink_length", "6.5 %")):
        expect(page.locator(f"#{name}")).to_have_value(value)


def test_a_remedy_done_with_the_keyboard_leaves_it_at_the_answers(demo: None, page: Page) -> None:
    page.goto("/shelf/cone/fern-big/weigh")
    expect(page.get_by_label("On the scale")).to_be_focused()
    page.keyboard.type("150")
    page.keyboard.press("Enter")
    expect(page.locator("#cottolin-green").get_by_text("short", exact=True).first).to_be_visible()
    page.goto("/warps/towels")
    page.get_by_role("button", name="narrower").first.press("Enter")
    expect(page.get_by_text("Stop.")).to_have_count(0)
    expect(page.locator("#answers")).to_be_focused()


@AT_BOTH_WIDTHS
def test_on_a_phone_the_main_figures_stay_in_sight(demo: None, page: Page) -> None:
    page.goto("/warps/scarves")
    page.get_by_role("textbox", name="Finished width").scroll_into_view_if_needed()
    brief = page.locator(".brief")
    if (page.viewport_size or {})["width"] < 700:
        expect(brief).to_be_in_viewport()
        expect(brief).to_contain_text("in reed")
        expect(brief).to_contain_text("ready")
        assert page.evaluate("document.documentElement.scrollWidth") == 360
    else:
        expect(brief).to_be_hidden()


def test_on_paper_the_figures_come_before_the_cloth(demo: None, page: Page) -> None:
    page.goto("/warps/scarves")
    page.emulate_media(media="print")
    figures, cloth = page.locator(".figures").bounding_box(), page.locator(".cloth-frame").bounding_box()
    assert figures is not None
    assert cloth is not None
    assert figures["y"] < cloth["y"]
    expect(page.get_by_role("heading", name="Progress")).to_be_hidden()
    expect(page.get_by_role("heading", name="Changes")).to_be_hidden()
    page.goto("/shelf")
    expect(page.get_by_role("link", name="Weigh fern-big")).to_be_hidden()


@AT_BOTH_WIDTHS
def test_a_long_name_of_a_loom_stays_on_the_page(demo: None, page: Page) -> None:
    page.goto("/looms/loom/porch")
    page.get_by_label("Name").fill("W" * 150)
    page.get_by_role("button", name="Save loom").click()
    for address in ("/", "/looms"):
        page.goto(address)
        expect(page.get_by_text("W" * 150).first).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_what_was_done_can_be_undone(demo: None, page: Page) -> None:
    page.goto("/warps/scarves")
    page.get_by_role("textbox", name="Finished width").fill("12 in")
    page.keyboard.press("Tab")
    page.get_by_role("button", name="Undo: warp scarves: finished width 9.5 in → 12 in").click()
    expect(page.get_by_role("textbox", name="Finished width")).to_have_value("9.5 in")


def test_the_second_of_two_editors_sees_both_versions(
    demo: None, page: Page, chromium: Browser, live_server: object
) -> None:
    page.goto("/warps/scarves")
    others = fresh(chromium, str(live_server), 1440)
    other = next(others)
    other.goto("/warps/scarves")
    other.get_by_role("textbox", name="Finished width").fill("11 in")
    other.keyboard.press("Tab")
    expect(other.get_by_role("button", name=re.compile("Undo: warp scarves"))).to_have_count(1)
    page.get_by_role("textbox", name="Finished width").fill("12 in")
    page.keyboard.press("Tab")
    expect(page.get_by_role("heading", name="Two versions")).to_be_visible()
    expect(page.get_by_role("cell", name="11 in")).to_be_visible()
    page.get_by_role("button", name="Save mine over theirs").click()
    expect(page.get_by_role("textbox", name="Finished width")).to_have_value("12 in")
    next(others, None)


@pytest.mark.usefixtures("without_packets")
def test_a_backup_comes_back_into_another_guild(demo: None, page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Guild", exact=True).click()
    with page.expect_download() as download:
        page.get_by_role("button", name="Download a backup").click()
    page.goto("/warps/scarves")
    page.get_by_role("textbox", name="Finished width").fill("12 in")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name=re.compile("Undo: warp scarves"))).to_have_count(1)
    page.get_by_role("link", name="Guild", exact=True).click()
    page.get_by_label("A backup or a guild file").set_input_files(
        {"name": "b.zip", "mimeType": "application/zip", "buffer": download.value.path().read_bytes()}
    )
    page.get_by_role("button", name="Compare").click()
    expect(page.get_by_text("warp scarves")).to_be_visible()  # every file is read first
    page.get_by_label("Use the imported version").check()
    page.get_by_role("button", name="Import").click()
    page.goto("/warps/scarves")
    expect(page.get_by_role("textbox", name="Finished width")).to_have_value("9.5 in")

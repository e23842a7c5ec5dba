"""The editor in a browser: by click, by key, by finger; what you see is what is saved."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from playwright.sync_api import Browser, Locator, Page, Route, expect

from loomready.app.archive.new_guild import begin_with
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.draft.wif import writer
from tests.app.access import violations
from tests.app.conftest import fresh

pytestmark = pytest.mark.django_db(transaction=True)
KEY = "drafts/broken-twill.wif"


@pytest.fixture
def desk(chromium: Browser, live_server: object) -> Iterator[Page]:
    begin_with("demo")
    yield from fresh(chromium, str(live_server), 1440)


@pytest.fixture
def phone(chromium: Browser, live_server: object) -> Iterator[Page]:
    begin_with("demo")
    context = chromium.new_context(
        base_url=str(live_server), viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True
    )
    yield context.new_page()
    context.close()


def opened(page: Page, key: str = KEY) -> Locator:
    page.goto(f"/drafts/{key}/look")
    page.get_by_role("link", name="Edit", exact=True).click()
    sheet = page.get_by_label("Draft with drawdown")
    expect(page.get_by_text("No loose threads.")).to_be_visible()
    return sheet


def says(page: Page, text: str | re.Pattern[str]) -> None:
    expect(page.get_by_role("status")).to_have_text(text)


def kept(page: Page, version: int | str) -> None:
    """Save now what is not saved yet: it is the version of that number."""
    page.get_by_label("Draft with drawdown").press("Control+s")
    expect(page.get_by_text(re.compile(f"^Version {version}, saved$"))).to_be_visible()


def threading(key: str = KEY) -> list[int]:
    return (current_snapshot().drafts[key].threading + 1).tolist()


def on_sheet(page: Page, part: str, **place: int) -> tuple[float, float]:
    """Where a thread's cell lies on the sheet, in pixels of the page from the sheet's corner."""
    x, y = page.evaluate(
        """async ([part, place]) => {
            const editor = document.getElementById('editor').editor;
            const base = document.querySelector('script[src*="workshop/editor"]').src;
            const { columnX, endX, pickY, shaftY } = await import(new URL('editor_sheet.js', base));
            const at = editor.layout();
            const x = place.column ? columnX(at, place.column) + at.columnWidth / 2
                : place.end ? endX(at, editor.draft, place.end - 1) + at.cell / 2 : at[part].x + at.bar / 2;
            const y = place.shaft ? shaftY(at, editor.draft, place.shaft) + at.rowHeight / 2
                : place.pick ? pickY(at, place.pick - 1) + at.cell / 2 : at[part].y + at.bar / 2;
            return [x / devicePixelRatio, y / devicePixelRatio];
        }""",
        [part, place],
    )
    return x, y


def click(page: Page, part: str, *, shift: bool = False, **place: int) -> None:
    x, y = on_sheet(page, part, **place)
    page.get_by_label("Draft with drawdown").click(
        position={"x": x, "y": y}, modifiers=["Shift"] if shift else []
    )


def test_threads_are_typed_one_after_the_other(desk: Page) -> None:
    sheet = opened(desk)
    sheet.focus()
    desk.keyboard.type("4321")
    says(desk, "End 4 on shaft 1 → end 5 on shaft 1")
    expect(desk.get_by_text("4 changes, saved as one version when you pause or leave")).to_be_visible()
    kept(desk, 2)
    assert threading()[:4] == [4, 3, 2, 1]


def test_a_press_sets_a_thread_and_a_drag_a_whole_run_as_one_step(desk: Page) -> None:
    sheet = opened(desk)
    click(desk, "threading", end=2, shaft=4)
    says(desk, "End 2 on shaft 4")
    kept(desk, 2)
    box = sheet.bounding_box()
    assert box is not None
    places = [on_sheet(desk, "threading", end=end, shaft=shaft) for end, shaft in ((10, 1), (13, 4))]
    (x, y), (to_x, to_y) = [(box["x"] + px, box["y"] + py) for px, py in places]
    desk.mouse.move(x, y)
    desk.mouse.down()
    desk.mouse.move(to_x, to_y, steps=12)
    desk.mouse.up()
    kept(desk, 3)
    assert threading()[1] == 4
    assert threading()[9:13] == [1, 2, 3, 4]
    desk.get_by_role("button", name="Undo").click()
    kept(desk, 4)
    assert threading()[1] == 4


def test_a_run_is_selected_by_keys_and_mirrored(desk: Page) -> None:
    sheet = opened(desk)
    before = threading()
    sheet.focus()
    for _ in range(7):
        desk.keyboard.press("Shift+ArrowLeft")  # end 1 lies at the right: on is left
    expect(desk.get_by_text("Ends 1 to 8: 8 selected").last).to_be_visible()
    desk.keyboard.press("m")
    kept(desk, 2)
    assert threading() == before[:8] + before[:7][::-1] + before[8:]
    desk.keyboard.press("Control+z")
    kept(desk, 3)
    assert threading() == before
    desk.keyboard.press("Control+Shift+z")
    kept(desk, 4)
    assert len(threading()) == 71


def test_every_verb_has_its_button(desk: Page) -> None:
    opened(desk)
    desk.get_by_role("button", name="Select").click()
    click(desk, "threading", end=1, shaft=2)
    click(desk, "threading", end=4, shaft=2, shift=True)
    expect(desk.get_by_text("Ends 1 to 4: 4 selected").first).to_be_visible()
    straight = threading()[:4]

    def does(name: str, version: int) -> list[int]:
        desk.get_by_role("button", name=name, exact=True).click()
        kept(desk, version)
        return threading()[:8]

    assert does("Reverse", 2)[:4] == straight[::-1]
    assert does("Reverse", 3)[:4] == straight
    assert does("Slide up", 4)[:4] == [shaft % 4 + 1 for shaft in straight]
    assert does("Slide down", 5)[:4] == straight
    fifth = threading()[4]
    assert does("Move out", 6)[:5] == [fifth, *straight]
    assert does("Move in", 7)[:5] == [*straight, fifth]
    assert does("Repeat", 8) == straight * 2
    desk.get_by_label("How many").fill("3")
    assert does("Insert", 9) == [0, 0, 0, *straight, straight[0]]
    assert does("Delete", 10) == straight * 2
    desk.get_by_role("button", name="Copy", exact=True).click()
    says(desk, "Copied. Move the cursor and paste.")
    assert does("Paste", 11)[:2] == [straight[0], straight[0]]


def test_a_run_is_taken_out_and_put_in_elsewhere(desk: Page) -> None:
    sheet = opened(desk)
    before = threading()
    sheet.focus()
    desk.keyboard.press("v")
    says(desk, "Nothing is copied yet. Select ends or picks and copy them first.")
    desk.keyboard.press("Shift+ArrowLeft")
    desk.keyboard.press("x")
    desk.keyboard.press("End")
    desk.keyboard.press("v")
    kept(desk, 2)
    assert threading() == [*before[2:-1], *before[:2], before[-1]]
    desk.keyboard.press("a")
    desk.keyboard.press("a")
    desk.keyboard.press("v")
    says(desk, "You copied ends. Move the cursor to one of them and paste.")


def test_undo_goes_on_after_the_page_is_loaded_anew(desk: Page) -> None:
    sheet = opened(desk)
    before = threading()
    sheet.focus()
    for number, key in enumerate("udu", 2):
        desk.keyboard.press(key)
        kept(desk, number)
    desk.reload()
    for number in (5, 6, 7):
        desk.get_by_role("button", name="Undo").click()
        kept(desk, number)
    expect(desk.get_by_role("button", name="Undo")).to_be_disabled()
    assert threading() == before


def test_of_two_windows_the_second_is_told_and_loses_nothing(
    desk: Page, chromium: Browser, live_server: object
) -> None:
    sheet = opened(desk)
    others = fresh(chromium, str(live_server), 1440)
    other = next(others)
    opened(other).focus()
    other.keyboard.type("3")
    kept(other, 2)
    sheet.focus()
    desk.keyboard.press("End")
    desk.keyboard.type("2")
    expect(desk.get_by_role("alert")).to_contain_text(
        "Somebody changed this draft while you were editing it."
    )
    assert threading()[0] == 3
    desk.get_by_role("button", name="Show it and repeat my changes").click()
    kept(desk, 3)
    assert (threading()[0], threading()[-1]) == (3, 2)
    other.keyboard.type("1")
    other.get_by_role("button", name="Show the newer draft").click()
    kept(other, 3)
    expect(other.get_by_role("alert")).to_have_count(0)
    assert threading()[0] == 3
    next(others, None)


def test_what_somebody_else_changed_shows_when_it_is_heard_of(
    desk: Page, chromium: Browser, live_server: object
) -> None:
    sheet = opened(desk)
    sheet.focus()
    others = fresh(chromium, str(live_server), 1440)
    other = next(others)
    opened(other).focus()
    other.keyboard.type("3")
    kept(other, 2)
    desk.evaluate("document.dispatchEvent(new CustomEvent('loomready:news', { cancelable: true }))")
    says(desk, "Somebody changed this draft; this is the current version.")
    desk.keyboard.press("End")
    desk.keyboard.type("2")
    kept(desk, 3)
    assert (threading()[0], threading()[-1]) == (3, 2)
    next(others, None)


def test_steps_are_one_version_when_the_page_is_left_and_are_undone_one_by_one_before_and_after(
    desk: Page,
) -> None:
    sheet = opened(desk)
    before = threading()
    sheet.focus()
    desk.keyboard.type("432")
    desk.keyboard.press("Control+z")
    expect(desk.get_by_text("2 changes, saved as one version when you pause or leave")).to_be_visible()
    kept(desk, 2)
    assert threading()[:3] == [4, 3, before[2]]
    # Undo within the version: only its last step goes.
    desk.keyboard.press("Control+z")
    says(desk, re.compile("^Undone: "))
    expect(desk.get_by_text("1 change, saved when you pause or leave")).to_be_visible()
    desk.get_by_role("link", name="View").click()
    expect(desk.get_by_text("version 4")).to_have_count(2)
    assert threading()[:2] == [4, before[1]]


def test_steps_that_a_reload_cuts_off_are_not_lost(desk: Page) -> None:
    opened(desk).focus()
    desk.keyboard.type("43")
    desk.reload()
    expect(desk.get_by_text("No loose threads.")).to_be_visible()
    kept(desk, 2)
    assert threading()[:2] == [4, 3]
    # The server is away for a while: a browser asks before the page goes, and the tab remembers.
    desk.route("**/edit/do", lambda route: route.abort())
    desk.keyboard.type("1")
    desk.get_by_label("Draft with drawdown").press("Control+s")
    expect(desk.get_by_text("Not saved yet: no answer. Trying again.")).to_be_visible()
    desk.unroute("**/edit/do")
    desk.once("dialog", lambda dialog: dialog.accept())
    desk.reload()
    kept(desk, 3)
    assert threading()[0] == 1


def test_a_second_press_leaves_an_end_threaded_and_unthreading_is_an_act_of_its_own(desk: Page) -> None:
    opened(desk)
    shaft = threading()[1]
    for _ in range(2):
        click(desk, "threading", end=2, shaft=shaft)
        says(desk, f"End 2 is on shaft {shaft} already; to take it out, press 0 or Unthread")
    kept(desk, 1)
    desk.get_by_role("button", name="Unthread").click()
    says(desk, re.compile("^End 2 not threaded"))
    expect(
        desk.get_by_text("Not threaded: end 2. It lies under every pick, loose on the back.")
    ).to_be_visible()
    kept(desk, 2)
    assert threading()[1] == 0


def test_undo_right_after_a_step_takes_that_step_back(desk: Page) -> None:
    sheet = opened(desk)
    before = threading()
    sheet.focus()
    desk.keyboard.type("4")
    desk.keyboard.press("Control+z")
    says(desk, re.compile("^Undone: "))
    kept(desk, 1)
    assert threading() == before
    desk.keyboard.press("Control+Shift+z")
    says(desk, re.compile("^Redone: "))
    kept(desk, 2)
    assert threading()[0] == 4


def test_a_number_beyond_the_shafts_is_said_and_changes_nothing(desk: Page) -> None:
    sheet = opened(desk)
    before = threading()
    sheet.focus()
    desk.keyboard.type("9")
    says(desk, "9 is not possible here; expected 0 to 4. Nothing changed.")
    desk.get_by_label("Shafts").fill("3")
    desk.get_by_role("button", name="Change", exact=True).click()
    says(desk, "Shaft 4 has ends; move them to other shafts first. Nothing changed.")
    desk.get_by_label("How many").fill("many")
    desk.get_by_role("button", name="Repeat", exact=True).click()
    says(desk, "Expected a whole number from 1 to 20000 for How many.")
    kept(desk, 1)
    assert threading() == before


def test_two_digits_make_one_shaft(desk: Page) -> None:
    sheet = opened(desk)
    desk.get_by_label("Shafts").fill("16")
    desk.get_by_role("button", name="Change", exact=True).click()
    kept(desk, 2)
    sheet.focus()
    desk.keyboard.type("12")
    says(desk, re.compile("^End 1 on shaft 12 →"))
    desk.keyboard.type("1")
    says(desk, "Typed 1; more digits?")
    desk.keyboard.press("Enter")
    says(desk, re.compile("^End 2 on shaft 1 →"))


def test_tie_up_treadling_and_colors_by_keyboard(desk: Page) -> None:
    sheet = opened(desk)
    draft = current_snapshot().drafts[KEY]
    assert draft.tieup is not None
    sheet.focus()
    desk.keyboard.press("a")
    says(desk, re.compile("^Tie-up: treadle 1 and shaft 1: "))
    desk.keyboard.press("Space")
    kept(desk, 2)
    desk.keyboard.press("a")
    says(desk, re.compile("^Treadling: pick 1: treadle "))
    desk.keyboard.type("52")
    says(desk, re.compile("^Pick 2: treadle 2 → pick 3"))
    desk.keyboard.press("a")
    says(desk, re.compile("^Warp colors: end 1 in color "))
    desk.keyboard.type("2")
    says(desk, re.compile("^End 1 in color 2 → end 2"))
    kept(desk, 3)
    after = current_snapshot().drafts[KEY]
    assert after.tieup is not None
    assert after.treadling is not None
    assert after.tieup[0, 0] != draft.tieup[0, 0]
    assert after.treadling[:2].argmax(axis=1).tolist() == [4, 1]
    assert after.warp_colors[0] == 1


def test_a_color_is_changed_and_one_is_added(desk: Page) -> None:
    opened(desk)
    desk.get_by_role("button", name="Color 2").click()
    desk.get_by_label("This color").fill("#aa5500")
    kept(desk, 2)
    desk.get_by_role("button", name="Add a color").click()
    kept(desk, 3)
    palette = current_snapshot().drafts[KEY].palette
    assert palette[1] == palette[-1] == (0xAA, 0x55, 0)
    click(desk, "weft", pick=3)
    kept(desk, 4)
    assert current_snapshot().drafts[KEY].weft_colors[2] == len(palette) - 1


def test_treadles_become_a_lift_plan_and_come_back(desk: Page) -> None:
    opened(desk)
    expect(desk.get_by_text("o: a tied shaft rises.")).to_be_visible()
    desk.get_by_role("button", name="Convert to lift plan").click()
    kept(desk, 2)
    expect(desk.get_by_text("A lift plan names the shafts that are lifted.")).to_be_visible()
    assert current_snapshot().drafts[KEY].treadles is None
    desk.get_by_role("button", name="Convert to tie-up").click()
    kept(desk, 3)
    assert current_snapshot().drafts[KEY].treadles == 4


def test_long_floats_are_said_at_the_limit_she_sets(desk: Page) -> None:
    opened(desk)
    expect(desk.get_by_text("No float goes over 5 threads.")).to_be_visible()
    desk.get_by_label("Longest float allowed").fill("2")
    desk.keyboard.press("Tab")
    expect(desk.get_by_text(re.compile(r"floats go over 2 threads: "))).to_be_visible()
    desk.get_by_label("Longest float allowed").fill("3/8 in")
    desk.keyboard.press("Tab")
    expect(desk.get_by_text("A limit in length needs the sett")).to_be_visible()
    desk.get_by_label("Sett").fill("24")
    desk.keyboard.press("Tab")
    expect(desk.get_by_text("No float goes over 9 threads.")).to_be_visible()


def test_the_sheet_shows_what_the_marks_mean(desk: Page) -> None:
    """A mark that is switched off changes the picture; switched on again it is the same picture."""
    sheet = opened(desk)
    sheet.focus()
    desk.get_by_label("Longest float allowed").fill("1")
    desk.keyboard.press("Tab")
    expect(desk.get_by_text(re.compile(r"floats go over 1 thread: "))).to_be_visible()
    picture = "() => document.getElementById('sheet').toDataURL()"
    desk.wait_for_timeout(100)
    with_marks = desk.evaluate(picture)
    desk.get_by_label("Floats").uncheck()
    desk.wait_for_timeout(100)
    without = desk.evaluate(picture)
    assert without != with_marks
    desk.get_by_label("back of the cloth").check()
    desk.wait_for_timeout(100)
    assert desk.evaluate(picture) != without
    desk.get_by_label("back of the cloth").uncheck()
    desk.get_by_label("Floats").check()
    desk.wait_for_timeout(100)
    assert desk.evaluate(picture) == with_marks


def test_keys_are_listed(desk: Page) -> None:
    sheet = opened(desk)
    sheet.focus()
    desk.keyboard.press("?")
    expect(desk.get_by_role("heading", name="Shortcuts")).to_be_visible()
    assert violations(desk) == []
    desk.keyboard.press("Escape")
    expect(desk.get_by_role("heading", name="Shortcuts")).to_be_hidden()


def test_a_finger_taps_numbers_drags_and_holds(phone: Page) -> None:
    sheet = opened(phone)
    assert phone.evaluate("document.documentElement.scrollWidth") == 360
    x, y = on_sheet(phone, "threading", end=3, shaft=1)
    sheet.tap(position={"x": x, "y": y})
    kept(phone, 2)
    assert threading()[2] == 1
    phone.get_by_role("group", name="Shaft for end 3; 0 is not threaded").get_by_role(
        "button", name="4"
    ).tap()
    kept(phone, 3)
    assert threading()[2] == 4
    says(phone, re.compile("^End 3 on shaft 4 → end 4"))
    # A long hold selects; a drag on from there takes more with it.
    phone.evaluate("scrollTo(0, 0)")
    box = sheet.bounding_box()
    assert box is not None
    client = phone.context.new_cdp_session(phone)

    def finger(kind: str, end: int | None = None) -> None:
        points = []
        if end is not None:
            px, py = on_sheet(phone, "threading", end=end, shaft=2)
            points = [{"x": box["x"] + px, "y": box["y"] + py}]
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    finger("touchStart", 2)
    phone.wait_for_timeout(650)
    finger("touchMove", 6)
    finger("touchEnd")
    expect(phone.get_by_text("Ends 2 to 6: 5 selected").last).to_be_visible()
    kept(phone, 3)
    phone.get_by_role("button", name="Slide up").tap()
    kept(phone, 4)


def test_two_fingers_make_threads_larger(phone: Page) -> None:
    sheet = opened(phone)
    box = sheet.bounding_box()
    assert box is not None
    client = phone.context.new_cdp_session(phone)
    middle_x, middle_y = box["x"] + 90, box["y"] + box["height"] - 90

    def fingers(kind: str, apart: float) -> None:
        points = [
            {"x": middle_x + side * apart / 2, "y": middle_y, "id": id} for id, side in ((0, -1), (1, 1))
        ]
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points if apart else []})

    size = "document.getElementById('editor').editor.look.cell"
    before = phone.evaluate(size)
    fingers("touchStart", 40)
    for apart in (60, 80, 100):
        fingers("touchMove", apart)
    fingers("touchEnd", 0)
    assert phone.evaluate(size) == pytest.approx(2.5 * before, rel=0.1)
    kept(phone, 1)
    phone.get_by_role("button", name="Whole cloth").tap()
    says(phone, "The whole cloth")
    assert phone.evaluate(size) < before


def test_a_draft_begins_from_nothing(desk: Page) -> None:
    desk.goto("/drafts")
    desk.get_by_role("link", name="New draft").click()
    desk.get_by_label("Title").fill("Two blocks")
    desk.get_by_label("Ends").fill("16")
    desk.get_by_label("Picks").fill("0")
    desk.get_by_role("button", name="Start").click()
    expect(desk.get_by_text("Expected a whole number from 1 to 20000.")).to_be_visible()
    desk.get_by_label("Picks").fill("12")
    desk.get_by_label("Treadles").fill("")
    desk.get_by_role("button", name="Start").click()
    expect(desk.get_by_role("heading", name="Two blocks")).to_be_visible()
    expect(desk.get_by_text("Version 1, saved")).to_be_visible()
    draft = current_snapshot().drafts["drafts/two-blocks.wif"]
    assert (draft.ends, draft.picks, draft.treadles) == (16, 12, None)


@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (1440, "light")])
def test_the_editor_has_no_violation(chromium: Browser, live_server: object, width: int, scheme: str) -> None:
    begin_with("demo")
    pages = fresh(chromium, str(live_server), width, scheme)
    page = next(pages)
    opened(page).focus()
    page.keyboard.press("a")
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") == width
    page.goto("/drafts-new")
    assert violations(page) == []
    next(pages, None)


def test_twenty_thousand_ends_are_shown_without_a_pause(desk: Page) -> None:
    """What is not seen is not painted, and a step does not copy what it leaves alone."""
    desk.goto("/drafts-new")
    for name, text in (
        ("Title", "Large"),
        ("Ends", "20000"),
        ("Picks", "2000"),
        ("Shafts", "24"),
        ("Treadles", "24"),
    ):
        desk.get_by_label(name).fill(text)
    desk.get_by_role("button", name="Start").click()
    expect(desk.get_by_text("Version 1, saved")).to_be_visible()
    sheet = desk.get_by_label("Draft with drawdown")
    sheet.focus()
    desk.keyboard.press("f")
    says(desk, "The whole cloth")
    desk.keyboard.press("End")
    says(desk, "End 20000 on shaft 8")
    desk.keyboard.type("7")
    says(desk, re.compile("^End 20000 on shaft 7"))
    kept(desk, 2)
    assert threading("drafts/large.wif")[-1] == 7


def test_a_selected_run_is_moved_by_dragging_it(desk: Page) -> None:
    sheet = opened(desk)
    before = threading()
    click(desk, "threading", end=3, shaft=before[2] % 4 + 1)  # a press alone sets, as ever
    kept(desk, 2)
    before = threading()
    sheet.focus()
    for _ in range(2):
        desk.keyboard.press("Shift+ArrowLeft")
    expect(desk.get_by_text("Ends 3 to 5: 3 selected").last).to_be_visible()
    box = sheet.bounding_box()
    assert box is not None
    drag = [on_sheet(desk, "threading", end=end, shaft=2) for end in (4, 11)]
    (x, y), (to_x, to_y) = [(box["x"] + px, box["y"] + py) for px, py in drag]
    desk.mouse.move(x, y)
    desk.mouse.down()
    desk.mouse.move(to_x, to_y, steps=9)
    expect(desk.get_by_text("Ends 10 to 12: 3 selected").last).to_be_visible()
    desk.mouse.up()
    kept(desk, 3)
    assert threading() == before[:2] + before[5:12] + before[2:5] + before[12:]
    assert desk.evaluate("document.getElementById('editor').editor.found") is not None
    click(desk, "threading", end=11, shaft=before[3] % 4 + 1)  # a press in it sets that thread
    kept(desk, 4)


def test_a_copy_put_in_keeps_its_spacing(desk: Page) -> None:
    sheet = opened(desk)
    entry = current_snapshot().entry("drafts", KEY)
    assert entry is not None
    spaced = writer.dumps(
        replace(current_snapshot().drafts[KEY], warp_spacing_mm=np.linspace(1, 2, 64).round(3))
    ).decode()
    store.write("drafts", KEY, {"wif": spaced}, version=1, who="somebody")
    desk.reload()
    expect(desk.get_by_text("Version 2, saved")).to_be_visible()
    sheet.focus()
    for key in ("Shift+ArrowLeft", "c", "End", "v", "v"):
        desk.keyboard.press(key)
    kept(desk, 3)
    spacing = current_snapshot().drafts[KEY].warp_spacing_mm
    assert spacing is not None
    assert np.allclose(spacing[63:67], [*spacing[:2], *spacing[:2]])


def test_a_tie_up_is_turned_to_the_other_shed_with_its_cloth_or_without(desk: Page) -> None:
    opened(desk)
    before = current_snapshot().drafts[KEY]
    assert before.tieup is not None
    desk.get_by_role("button", name="Convert to sinking-shed tie-up (same cloth)").click()
    kept(desk, 2)
    after = current_snapshot().drafts[KEY]
    assert not after.rising
    assert (after.tieup != before.tieup).all()
    assert (after.lifts == before.lifts).all()
    expect(desk.get_by_text("x: a tied shaft sinks, and the others rise.")).to_be_visible()
    desk.get_by_role("button", name="Treat tie-up as rising (changes the cloth)").click()
    kept(desk, 3)
    assert (current_snapshot().drafts[KEY].lifts != before.lifts).all()


def test_until_the_draft_is_there_the_page_says_so_and_nothing_can_be_pressed(desk: Page) -> None:
    desk.route("**/edit/draft?*", lambda route: route.abort() if failing else held.append(route))
    failing = False
    held: list[Route] = []
    with desk.expect_request("**/edit/draft?*"):
        desk.goto(f"/drafts/{KEY}/edit")
    expect(desk.get_by_text("Reading the draft…")).to_be_visible()
    inert = "button => button.closest('[inert]') !== null"
    assert desk.get_by_role("button", name="Slide up").evaluate(inert)
    held[0].continue_()
    desk.get_by_role("button", name="Slide up").click()
    kept(desk, 2)
    expect(desk.get_by_text("Reading the draft…")).to_have_count(0)
    failing = True
    desk.reload()
    expect(desk.get_by_text("No answer. Reload the page")).to_be_visible()


def test_a_small_draft_fills_the_sheet_and_a_large_one_stays_as_she_looked_at_it(desk: Page) -> None:
    opened(desk)
    cell = "document.getElementById('editor').editor.look.cell"
    desk.get_by_role("button", name="Whole cloth").click()
    fills = desk.evaluate(cell)
    for _ in range(2):
        desk.get_by_role("button", name="Smaller threads").click()
    assert desk.evaluate(cell) < fills
    desk.reload()
    desk.get_by_role("button", name="Select").click()
    assert desk.evaluate(cell) == fills
    for _ in range(2):
        desk.get_by_role("button", name="Larger threads").click()
    larger = desk.evaluate(cell)
    assert larger > fills
    desk.reload()
    desk.get_by_role("button", name="Select").click()
    assert desk.evaluate(cell) == larger

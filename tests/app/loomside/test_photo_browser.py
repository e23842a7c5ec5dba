"""Slips from a photograph on a phone: four taps, what was read, and a yes or a no to each slip."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from django.conf import settings
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from loomready.app.loomside import photo_kept, slips_marks
from loomready.app.state.snapshot import current_snapshot
from loomready.slips import at_loom, job
from loomready.slips.photo.certainty import picks_for_photo
from loomready.slips.result import Slip
from tests.app.access import violations
from tests.app.conftest import fresh
from tests.slips.photo.simulated import GRADES, Photograph, photograph

pytestmark = pytest.mark.django_db(transaction=True)
PAGE = "/beside/scarves/test-weave"
STRETCH = 90  # ends in the picture
WRONG = 41
CORNERS = ("First end, first pick", "Last end, first pick", "First end, last pick", "Last end, last pick")


@pytest.fixture
def phone(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 390)


def kept_slips() -> tuple[Slip, ...]:
    """The slips of the warp that were confirmed."""
    snapshot = current_snapshot()
    there = snapshot.plan_of("scarves")
    assert there is not None
    assert there.plan is not None
    work = job.job(there.plan)
    assert work is not None
    return slips_marks.marks_of(snapshot, there.plan, work).kept(work.planned.threading)


def woven() -> tuple[Photograph, int]:
    """Photographed: the first ends of the demo's warp, one of them on a wrong shaft; and on which."""
    there = current_snapshot().plan_of("scarves")
    assert there is not None
    assert there.plan is not None
    planned = at_loom.on_loom(there.plan)
    lifts = picks_for_photo(planned)
    web = planned.threading[:STRETCH].copy()
    shaft = next(each for each in sorted(set(web[web >= 0].tolist())) if each != web[WRONG - 1])
    web[WRONG - 1] = shaft
    up = np.pad(lifts, ((0, 0), (0, 1)))[:, web]
    return photograph(up, GRADES["easy"], np.random.default_rng(5)), shaft + 1


def tap_corners(phone: Page, photo: Photograph, path: Path) -> None:
    """Choose the picture and tap its four corners, each in its turn."""
    phone.get_by_label("Last end in the picture").fill(str(STRETCH))
    phone.get_by_label("Photograph", exact=True).set_input_files(path)
    stage = phone.locator("#stage")
    expect(stage).to_be_visible()
    wide = Image.open(path).width
    for number, (x, y) in enumerate(photo.corners):
        expect(phone.get_by_role("radio", name=CORNERS[number])).to_be_checked()
        box = stage.bounding_box()
        assert box is not None
        stage.click(position={"x": x * box["width"] / wide, "y": y * box["width"] / wide})
        if number < 3:
            phone.get_by_role("button", name="Next corner").click()


def test_four_taps_find_a_slip_that_is_taken_only_with_a_yes(phone: Page, tmp_path: Path) -> None:
    photo, shaft = woven()
    path = tmp_path / "weave.jpg"
    path.write_bytes(photo.data)
    phone.goto(PAGE)
    phone.get_by_role("button", name="Start").click()
    expect(phone.get_by_text("Weave these picks")).to_be_visible()
    phone.keyboard.press("PageDown")
    phone.get_by_role("button", name="Questions").click()
    with phone.expect_navigation():
        phone.get_by_role("link", name="From a photograph (a trial)").click()
    tap_corners(phone, photo, path)
    expect(phone.get_by_text("All four corners are tapped")).to_be_visible()
    phone.get_by_role("button", name="Read the photograph").click()
    expect(phone.get_by_role("heading", name="Read in the photograph")).to_be_visible()
    found = phone.locator("#found")
    expect(found).to_contain_text(f"End {WRONG}")
    expect(found).to_contain_text(f"on shaft {shaft}")
    assert kept_slips() == ()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    assert violations(phone) == []
    with phone.expect_navigation():
        phone.get_by_role("button", name=f"Right End {WRONG}").click()
    expect(found).to_contain_text("Right: it is on the page of the test weave")
    (kept,) = kept_slips()
    assert (kept.kind, kept.end, kept.found) == ("wrong shaft", WRONG, shaft)
    with phone.expect_navigation():
        phone.get_by_role("button", name="Keep this picture and the threading").click()
    folder = Path(settings.HOME) / photo_kept.FOLDER
    (saved,) = folder.glob("*.jpg")
    assert not Image.open(saved).getexif()
    assert f'"end": {WRONG}' in saved.with_suffix(".json").read_text()
    for each in (saved, saved.with_suffix(".json")):
        each.unlink()
    folder.rmdir()
    with phone.expect_navigation():
        phone.get_by_role("button", name="Change End").click()
    assert kept_slips() == ()


def test_taps_stay_when_the_photograph_is_refused_and_chosen_again(phone: Page, tmp_path: Path) -> None:
    path = tmp_path / "gray.png"
    Image.new("RGB", (900, 300), (90, 90, 90)).save(path)
    phone.goto(f"{PAGE}/photo")
    corners = ((20.0, 280.0), (880.0, 280.0), (20.0, 20.0), (880.0, 20.0))
    tap_corners(phone, Photograph(b"", corners), path)
    typed = [phone.locator(f"#corner{number}").input_value() for number in range(1, 5)]
    phone.get_by_role("button", name="Read the photograph").click()
    expect(phone.get_by_text("there is no contrast between warp and weft")).to_be_visible()
    with phone.expect_navigation():
        phone.get_by_role("link", name="Back", exact=True).click()
    phone.get_by_label("Photograph", exact=True).set_input_files(path)
    expect(phone.get_by_text("All four corners are tapped")).to_be_visible()
    assert [phone.locator(f"#corner{number}").input_value() for number in range(1, 5)] == typed


def test_the_enlarged_view_sets_a_corner_exactly_by_dragging_and_by_keys(phone: Page, tmp_path: Path) -> None:
    path = tmp_path / "gray.png"
    Image.new("RGB", (900, 300), (90, 90, 90)).save(path)
    phone.goto(f"{PAGE}/photo")
    phone.get_by_label("Photograph", exact=True).set_input_files(path)
    phone.locator("#stage").click(position={"x": 100, "y": 50})
    field = phone.locator("#corner1")
    before = [float(each) for each in field.input_value().split(",")]
    lens = phone.locator("#lens")
    lens.focus()
    phone.keyboard.press("ArrowRight")
    phone.keyboard.press("ArrowUp")
    moved = [float(each) for each in field.input_value().split(",")]
    assert np.allclose(np.subtract(moved, before), [1, -1], atol=0.11)
    box = lens.bounding_box()
    assert box is not None
    phone.mouse.move(box["x"] + 100, box["y"] + 50)
    phone.mouse.down()
    phone.mouse.move(box["x"] + 70, box["y"] + 50)
    phone.mouse.up()
    dragged = [float(each) for each in field.input_value().split(",")]
    assert dragged[0] > moved[0] + 2
    assert abs(dragged[1] - moved[1]) < 0.2


def test_without_a_picture_or_corners_the_page_says_what_is_missing(phone: Page) -> None:
    phone.goto(f"{PAGE}/photo")
    phone.get_by_role("button", name="Read the photograph").click()
    expect(phone.get_by_role("alert").filter(has_text="tap all four corners first")).to_be_visible()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    assert violations(phone) == []

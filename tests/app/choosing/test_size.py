"""The page of sizes: every size with what it leaves, one tap into the plan."""

from __future__ import annotations

import itertools
import re

import pytest
from django.test import Client
from playwright.sync_api import Browser, expect

from loomready.app.choosing.size_page import fitted
from loomready.app.choosing.size_picture import Point, picture
from loomready.app.models import Change, Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.units import Shown
from tests.app.conftest import fresh

pytestmark = pytest.mark.django_db(transaction=True)


def version(key: str) -> str:
    return str(Record.objects.get(kind="warps", key=key).version)


def thin(cone: str, gross: str) -> None:
    """A cone weighed again, with hardly anything on it."""
    record = Record.objects.get(kind="cones", key=cone)
    store.write("cones", cone, record.fields | {"gross": gross}, version=record.version, who="test")


@pytest.mark.parametrize("key", ["scarves", "cushions", "towels"])
def test_each_size_taken_is_what_the_plan_then_has(weaver: Client, key: str) -> None:
    sizes = fitted(current_snapshot(), key).sizes
    for size in sizes:
        asked = {"repeats": size.repeats, "sets": size.sets, "version": version(key)}
        answer = weaver.post(f"/warps/{key}/size", asked)
        assert (answer.status_code, answer.headers["Location"]) == (302, f"/warps/{key}")
        planned = current_snapshot().plan_of(key)
        assert planned is not None
        assert planned.plan is not None
        assert planned.plan.web.repeats == size.repeats
        assert planned.plan.warp_length_m == pytest.approx(size.warp_length_m)
        assert not {problem.code for problem in planned.plan.problems if problem.level == "stop"}
        change = Change.objects.filter(kind="warps", key=key, undone=False, undoes=None).first()
        if change is not None and version(key) != asked["version"]:  # the size as planned changes nothing
            store.undo(change.pk, who="test")
    assert fitted(current_snapshot(), key).sizes == sizes


def test_a_size_that_is_not_there_is_refused_and_nothing_is_written(weaver: Client) -> None:
    for repeats, sets in (("99", "1"), ("4", "3"), ("x", "1"), ("", "")):
        answer = weaver.post(
            "/warps/towels/size", {"repeats": repeats, "sets": sets, "version": version("towels")}
        )
        assert answer.status_code == 409
        assert "The shelf has changed in the meantime" in answer.content.decode()
    assert version("towels") == "1"


def test_a_size_taken_over_somebody_elses_change_shows_both(weaver: Client) -> None:
    record = Record.objects.get(kind="warps", key="towels")
    store.write("warps", "towels", record.fields | {"finished_width": "9 in"}, version=1, who="test")
    answer = weaver.post("/warps/towels/size", {"repeats": "1", "sets": "5", "version": "1"})
    assert answer.status_code == 409
    assert "9 in" in answer.content.decode()


def test_the_page_names_what_binds_and_what_each_cone_keeps(weaver: Client) -> None:
    page = weaver.get("/warps/towels/size?repeats=1&sets=5").content.decode()
    assert "4.41 in wide, 15 pieces" in page
    assert re.search(r"fern-small: \d+ ends?;\s+left on the cone: sure [\d,]+ yd", page)
    assert "the loom&#x27;s heddles" in page


def test_a_page_of_no_size_says_what_lacks(weaver: Client) -> None:
    thin("cottolin-cream-1", "1.5 oz")
    page = weaver.get("/warps/towels/size").content.decode()
    assert "No size works." in page
    assert "Cottolin, cream is short" in page
    assert "Use this size" not in page


def test_an_order_that_means_nothing_is_said_on_the_page(weaver: Client) -> None:
    record = Record.objects.get(kind="warps", key="towels")
    Record.objects.filter(pk=record.pk).update(
        fields=record.fields | {"warp_yarns": ["cottolin-green", "cottolin-cream"]}, version=2
    )
    answer = weaver.get("/warps/towels/size")
    assert answer.status_code == 200
    assert "expected one yarn for each warp color" in answer.content.decode()


def test_no_such_warp_is_a_page_of_ours(weaver: Client) -> None:
    assert weaver.get("/warps/tea/size").status_code == 404
    assert weaver.get("/warps/tea/colors").status_code == 404


def test_the_stairs_are_walked_by_keyboard_alone(demo: None, chromium: Browser, live_server: object) -> None:
    pages = fresh(chromium, str(live_server), 1440)
    page = next(pages)
    page.goto("/warps/scarves")
    page.get_by_role("link", name="Change size").click()
    corner = page.get_by_role("link", name="5.96 in wide, 4 pieces")
    corner.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="5.96 in wide, 4 pieces")).to_be_visible()
    page.get_by_role("button", name="Use this size", exact=True).focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="scarves", exact=True)).to_be_visible()
    expect(page.get_by_text("5.96 in (asked for 6 in)").first).to_be_visible()
    page.get_by_role("button", name="Undo").first.click()
    expect(page.get_by_role("textbox", name="Finished width")).to_have_value("9.5 in")
    next(pages, None)


def test_a_corner_is_found_under_the_finger_on_a_phone(
    demo: None, chromium: Browser, live_server: object
) -> None:
    pages = fresh(chromium, str(live_server), 360)
    page = next(pages)
    page.goto("/warps/cushions/size")
    corner = page.get_by_role("link", name=re.compile("6 pieces"))
    box = corner.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 24
    corner.click()
    page.get_by_role("button", name="Use this size", exact=True).click()
    expect(page.get_by_role("heading", name="cushions", exact=True)).to_be_visible()
    next(pages, None)


def test_sizes_that_hardly_anybody_would_weave_are_folded_and_not_drawn(weaver: Client) -> None:
    page = weaver.get("/warps/scarves/size").content.decode()
    shown, _fold, folded = page.partition('<details class="narrow-sizes">')
    assert "5.96 in wide" in shown
    assert "2.43 in" not in shown
    assert "2.43 in" in folded
    asked = weaver.get("/warps/scarves/size?repeats=1&sets=7").content.decode()
    assert "2.43 in wide, 14 pieces" in asked.partition('<details class="narrow-sizes" open>')[0]


def test_the_sets_stand_at_even_distances() -> None:
    points = [
        Point(width_mm=100.0 / sets, sets=sets, words="", address="", color=None, chosen=False)
        for sets in (30, 1)
    ]
    drawn = picture(points, (100.0, 1), Shown("us")).wide
    heights = [float(each) for each in re.findall(r'<path class="rule" d="M\d+ ([\d.]+)H', drawn)]
    steps = {round(low - high, 1) for low, high in itertools.pairwise(heights)}
    assert len(heights) > 5
    assert max(steps) - min(steps) <= 0.11

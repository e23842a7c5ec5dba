"""The page of colors: choices as cloth, one tap into the plan; the steps of a warp one after the other."""

from __future__ import annotations

import io
import re

import numpy as np
import pytest
from django.test import Client
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from loomready.app.choosing.colors_page import cloth_of
from loomready.app.models import Change, Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from tests.app.access import violations_on_phone_and_desk
from tests.app.choosing.test_size import thin, version
from tests.app.conftest import AT_BOTH_WIDTHS, fresh
from tests.demo.in_the_app import fill_home

pytestmark = pytest.mark.django_db(transaction=True)
WIDE = "like=one-another&any_fiber=yes&band=60+%25"
NOT_PROMISED = ("wool-moss", "wool-plum", "wool-wheat", "cotton-oat", "cotton-spruce", "cottolin-brick")


def lean() -> None:
    """A shelf with hardly more than the yarns of the three warps."""
    for yarn in (*NOT_PROMISED, "cottolin-ink", "fine-ink", "fine-pearl", "fine-teal", "fine-coral"):
        thin(f"{yarn}-1", "47 g")
    thin("fine-pearl-2", "47 g")


def test_a_choice_lands_in_the_plan_and_is_taken_back(weaver: Client) -> None:
    posted = {
        "yarn": ["wool-undyed", "wool-rust", "wool-indigo"],
        "version": version("scarves"),
    }
    answer = weaver.post("/warps/scarves/colors", posted)
    assert (answer.status_code, answer.headers["Location"]) == (302, "/warps/scarves")
    fields = Record.objects.get(kind="warps", key="scarves").fields
    assert fields["warp_yarns"] == ["wool-undyed", "wool-rust", "wool-indigo"]
    assert fields["weft_yarns"] == ["wool-undyed"]
    assert fields["items"][1]["weft_yarns"] == ["wool-indigo"]
    planned = current_snapshot().plan_of("scarves")
    assert planned is not None
    assert planned.plan is not None
    assert all(need.enough for need in planned.plan.yarns)
    change = Change.objects.filter(kind="warps", key="scarves").first()
    assert change is not None
    store.undo(change.pk, who="test")
    assert Record.objects.get(kind="warps", key="scarves").fields["weft_yarns"] == ["wool-indigo"]


def test_a_choice_may_go_on_to_the_size(weaver: Client) -> None:
    posted = {"yarn": ["cotton-gold", "cotton-walnut"], "version": version("cushions"), "then": "size"}
    assert weaver.post("/warps/cushions/colors", posted).headers["Location"] == "/warps/cushions/size"


@pytest.mark.parametrize("yarns", [[], ["cotton-gold"], ["cotton-gold", "tea"], ["a"] * 9])
def test_yarns_that_are_not_there_are_refused(weaver: Client, yarns: list[str]) -> None:
    answer = weaver.post("/warps/cushions/colors", {"yarn": yarns, "version": version("cushions")})
    assert answer.status_code == 409
    assert version("cushions") == "1"
    assert weaver.get("/warps/cushions/colors/cloth.png", {"yarn": yarns}).status_code == 404


def test_each_choice_is_cloth_in_its_own_colors(weaver: Client) -> None:
    lean()
    page = weaver.get("/warps/cushions/colors").content.decode()
    seen = set()
    for address in re.findall(r'<img src="([^"]+)"', page):
        image = Image.open(io.BytesIO(weaver.get(address.replace("&amp;", "&")).content))
        assert image.size[0] >= 300
        seen.add(image.convert("RGB").tobytes())
    assert len(seen) == 2


def test_the_cloth_of_a_crammed_web_is_drawn_crammed(weaver: Client) -> None:
    fill_home("crammed-and-spaced")
    snapshot = current_snapshot()
    (order,) = snapshot.guild.warps
    pixels = np.asarray(Image.open(io.BytesIO(cloth_of(snapshot, order))).convert("RGB"), dtype=np.float64)
    ecru, slate = (snapshot.guild.yarn(key).color for key in ("ecru", "slate"))
    column = pixels.mean(axis=0)
    to_slate, to_ecru = (np.abs(column - color).sum(axis=1) for color in (slate, ecru))
    # 4 dents of slate beside 18 of ecru and 4 empty ones: lying evenly its 12 ends would be two fifths.
    assert 0.05 < (to_slate < to_ecru).mean() < 0.25


def test_the_page_tells_what_each_column_means(weaver: Client) -> None:
    assert "64 ways to fill the colors" in weaver.get("/warps/scarves/colors").content.decode()
    lean()
    page = weaver.get("/warps/scarves/colors").content.decode()
    assert "Planned now." in page
    assert "Machado and others 2009" in page
    assert "2 ways to fill the colors; the most different come first." in page


def test_a_wish_that_cannot_be_read_is_said_beside_it_and_stays_as_typed(weaver: Client) -> None:
    answer = weaver.get("/warps/scarves/colors?distance=far")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="far"' in page
    assert 'id="distance-error"' in page


@pytest.mark.parametrize(
    "query", ["order_by=beauty", "distance=0", "band=-5+%25", "page=-1", "page=999999999", "like=what"]
)
def test_odd_wishes_break_no_page(weaver: Client, query: str) -> None:
    assert weaver.get(f"/warps/scarves/colors?{query}").status_code in {200, 422}


def more_yarns() -> None:
    """A dozen cottolins more, a full cone of each."""
    for number in range(12):
        fields = {"key": f"more-{number}", "name": f"More {number}", "fiber": "cottolin", "tex": "150 tex"}
        color = f"#{20 * number + 10:02x}8040"
        store.write("yarns", fields["key"], fields | {"color": color}, version=None, who="test")
        cone = {"key": f"more-{number}-1", "yarn": fields["key"], "gross": "900 g", "tare": "40 g"}
        store.write("cones", cone["key"], cone, version=None, who="test")


def test_more_choices_come_as_she_scrolls(demo: None, chromium: Browser, live_server: object) -> None:
    pages = fresh(chromium, str(live_server), 1440)
    page = next(pages)
    page.goto("/")
    more_yarns()
    page.goto("/warps/towels/colors")
    choices = page.get_by_role("button", name="Use these yarns:")
    expect(choices.first).to_be_visible()
    shown = choices.count()
    page.get_by_role("link", name="More choices").scroll_into_view_if_needed()
    expect(choices.nth(shown + 5)).to_be_attached()
    next(pages, None)


def test_pages_of_choices_follow_one_another(weaver: Client) -> None:
    more_yarns()
    first = weaver.get("/warps/towels/colors").content.decode()
    more = re.search(r'href="([^"]+page=1)"', first)
    assert more is not None
    second = weaver.get(more.group(1).replace("&amp;", "&")).content.decode()
    shown = [set(re.findall(r'<img src="([^"]+)"', page)) for page in (first, second)]
    assert [len(each) for each in shown] == [12, 12]
    assert not shown[0] & shown[1]


def test_a_shelf_without_a_choice_says_why_and_what_would_widen_it(weaver: Client) -> None:
    lean()
    thin("fern-big", "40 g")
    thin("fern-small", "40 g")
    page = weaver.get("/warps/towels/colors").content.decode()
    assert "No set of colors works." in page
    assert "No yarn fits in place of Cottolin, fern green" in page


@AT_BOTH_WIDTHS
def test_colors_then_size_then_a_clean_plan_and_its_packet(demo: None, page: Page) -> None:
    page.goto("/")
    lean()
    page.goto("/warps/scarves")
    page.get_by_role("link", name="Change colors").click()
    expect(page.get_by_role("heading", name="Colors of scarves")).to_be_visible()
    page.wait_for_load_state("networkidle")  # the list orders itself again by script
    page.get_by_label("Sort by").select_option(label="Odd cones used up (share)")
    expect(page.locator(".choice .is-first").first).to_contain_text("Odd cones used up (share)")
    page.get_by_text("Odd cones used up (share)").locator("visible=true").last.click()
    expect(page.get_by_text("Odd is a cone").locator("visible=true")).to_be_visible()
    page.get_by_role("button", name="Use these yarns, then set size").first.click()
    expect(page.get_by_role("heading", name="Size of scarves")).to_be_visible()
    page.get_by_role("button", name="Use this size", exact=True).click()
    expect(page.get_by_role("heading", name="scarves", exact=True)).to_be_visible()
    expect(page.get_by_text("Stop.")).to_have_count(0)
    with page.expect_download() as download:
        page.get_by_role("button", name="Print the packet").click()
    assert download.value.path().read_bytes().startswith(b"%PDF")


def test_a_warp_after_its_making_leads_through_colors_and_size(demo: None, page: Page) -> None:
    page.goto("/warps-new?loom=cart")
    page.get_by_label("Name").fill("showpiece")
    page.get_by_label("Draft").select_option("drafts/advancing-waves.wif")
    page.get_by_label("Finished width").fill("8")
    page.get_by_label("Finished length").fill("24 in")
    page.get_by_role("button", name="Plan the warp").click()
    page.get_by_role("link", name="Change colors").click()
    page.get_by_role("button", name="Use these yarns, then set size").first.click()
    page.get_by_role("link", name="Keep the size and go to the plan").click()
    expect(page.get_by_role("heading", name="showpiece", exact=True)).to_be_visible()
    expect(page.get_by_text("Stop.")).to_have_count(0)
    expect(page.get_by_text("short", exact=True)).to_have_count(0)


def test_a_cone_taken_away_is_told_by_every_step(demo: None, page: Page) -> None:
    page.goto("/")
    lean()
    thin("cottolin-cream-1", "1.5 oz")
    page.goto("/warps/towels")
    expect(page.get_by_text("short", exact=True)).to_be_visible()
    page.get_by_role("link", name="Change size").click()
    expect(page.get_by_text("No size works.")).to_be_visible()
    expect(page.get_by_text("Cottolin, cream is short")).to_be_visible()
    page.get_by_role("link", name="Other colors from the shelf").click()
    expect(page.get_by_text("No set of colors works.")).to_be_visible()
    page.get_by_role("link", name="Allow coarser and finer yarns and any fiber").click()
    page.get_by_role("button", name="Use these yarns", exact=False).first.click()
    expect(page.get_by_role("heading", name="towels", exact=True)).to_be_visible()
    expect(page.get_by_text("short", exact=True)).to_have_count(0)


def test_the_pages_have_no_violation(demo: None, page: Page) -> None:
    found = []
    for address in ("/warps/towels/colors", f"/warps/towels/colors?{WIDE}", "/warps/scarves/size"):
        page.goto(address)
        found += [f"{address}: {line}" for line in violations_on_phone_and_desk(page)]
    assert found == []


def test_a_shelf_too_small_for_the_width_offers_the_width_that_has_colors(demo: None, page: Page) -> None:
    page.goto("/")
    lean()
    thin("wool-undyed-1", "85 g")
    thin("wool-indigo-1", "140 g")
    page.goto("/warps/scarves/colors")
    expect(page.get_by_text("No set of colors works.")).to_be_visible()
    page.get_by_role("button", name="then there are colors").click()
    expect(page.get_by_text("1 way to fill the colors")).to_be_visible()
    expect(page.get_by_role("button", name="Undo: warp scarves: finished width 9.5 in").first).to_be_visible()

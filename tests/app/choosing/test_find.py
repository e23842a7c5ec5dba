"""Finding a draft in the browser: searched, ordered, stopped, used, undone."""

from __future__ import annotations

import io
import re
import time

import numpy as np
import pytest
from django.test import Client
from PIL import Image
from playwright.sync_api import Page, expect

from loomready.app.models import Change
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.draft.structure.analysis import analyze
from tests.app.access import violations_on_phone_and_desk
from tests.app.conftest import AT_BOTH_WIDTHS

pytestmark = pytest.mark.django_db(transaction=True)
SHOWPIECE = {
    "loom": "cart",
    "picks": "10",
    "woven": "quiet",
    "sett": "20 /in",
    "ppi": "20 /in",
    "distance": "3 m",
}


def offers(weaver: Client, **asked: str) -> list[tuple[str, str]]:
    """Where each offer on the page is taken, and its heading."""
    for _ in range(200):
        text = re.sub(r"\s+", " ", weaver.get("/find-draft", SHOWPIECE | asked).content.decode())
        found = re.findall(
            r'href="(/find-draft/\w+/\w+)/look[^"]*"><span class="quiet">\d+</span> ([^<]*)</a>', text
        )
        if found:
            return found
        time.sleep(0.05)
    raise AssertionError("nothing found")


@AT_BOTH_WIDTHS
def test_a_showpiece_on_16_shafts_is_found_and_taken(demo: None, page: Page) -> None:
    page.goto("/drafts")
    page.get_by_role("link", name="Search drafts").click()
    page.get_by_label("Loom", exact=True).select_option(label="Loom on the cart · 16 shafts, levers")
    page.get_by_label("Pick repeat at most").fill("10")
    page.get_by_role("button", name="Search drafts").click()
    expect(page.get_by_role("button", name=re.compile("^Use this draft: 12,"))).to_be_visible()
    page.get_by_role("button", name="What is Steps to remember?").click()
    expect(page.get_by_text("The shortest description of the order of lifts")).to_be_visible()
    page.keyboard.press("Escape")
    page.get_by_role("link", name="Show more").scroll_into_view_if_needed()
    expect(page.get_by_role("button", name=re.compile("^Use this draft: 24,"))).to_be_visible()
    page.get_by_role("link", name="Contrast at a distance").first.click()
    expect(page.get_by_role("button", name=re.compile("^Use this draft: 1,"))).to_be_visible()
    page.get_by_role("heading", level=3).first.get_by_role("link").click()
    heading = page.get_by_role("heading", level=1).inner_text()
    page.get_by_role("button", name="Use this draft").click()
    expect(page.get_by_role("heading", name="New warp")).to_be_visible()
    page.goto("/drafts")
    expect(page.get_by_role("heading", name=heading).first).to_be_visible()


def test_another_draft_goes_onto_its_warp_in_one_tap_and_back_in_one(demo: None, page: Page) -> None:
    page.goto("/warps/scarves")
    before = page.get_by_role("combobox", name="Draft", exact=True).input_value()
    page.get_by_role("link", name="Search for a similar draft").click()
    page.get_by_role("button", name="Search drafts").click()
    page.get_by_role("button", name=re.compile("^Use this draft: 2,")).click()
    expect(page.get_by_role("heading", name="scarves")).to_be_visible()
    assert page.get_by_role("combobox", name="Draft", exact=True).input_value() != before
    page.get_by_role("button", name=re.compile("^Undo: .*warp scarves")).first.click()
    expect(page.get_by_role("combobox", name="Draft", exact=True)).to_have_value(before)
    page.goto("/drafts")
    expect(page.get_by_role("link", name=re.compile("walked tie-up|shaded weave|crossing"))).to_have_count(0)


def test_the_pages_are_there_for_everyone(demo: None, page: Page) -> None:
    page.goto("/find-draft?loom=cart&picks=8&sett=20+/in&ppi=20+/in&distance=3+m&woven=quiet")
    expect(page.get_by_role("button", name=re.compile("^Use this draft: 12,"))).to_be_visible()
    assert violations_on_phone_and_desk(page) == []
    page.get_by_role("heading", level=3).first.get_by_role("link").click()
    expect(page.get_by_role("link", name="Back to the results")).to_be_visible()
    assert violations_on_phone_and_desk(page) == []


def test_limits_that_nothing_meets_are_named_on_the_page(demo: None, page: Page) -> None:
    page.goto("/find-draft")
    page.get_by_label("Pick repeat at most").fill("1")
    page.get_by_role("button", name="Search drafts").click()
    expect(page.get_by_text("No draft meets all of these limits.")).to_be_visible()
    expect(page.get_by_text("The pick repeat: 1 excludes every draft; 2 does not.")).to_be_visible()
    page.get_by_role("link", name="Search this way").click()
    expect(page.get_by_label("Pick repeat at most")).to_have_value("2")
    expect(page.get_by_role("button", name=re.compile("^Use this draft: 1,"))).to_be_visible()


def test_what_cannot_be_is_said_beside_its_field(weaver: Client) -> None:
    for name, value, says in (
        ("picks", "many", "Is not a whole number"),
        ("picks", "9000", "9000 is not possible; expected 1 to 400"),
        ("sett", "close", "is not a quantity"),
        ("distance", "0 m", "Is not above 0"),
        ("float", "0", "0 is not possible"),
        ("width", "wide", "is not a quantity"),
    ):
        answer = weaver.get("/find-draft", SHOWPIECE | {name: value})
        text = answer.content.decode()
        assert answer.status_code == 422
        assert says in text, name
        assert f'value="{value}"' in text


def test_every_offer_meets_what_the_form_asks(weaver: Client) -> None:
    asked = {
        "loom": "attic",
        "float": "4",
        "symmetric": "yes",
        "plain": "yes",
        "woven": "talk",
        "picks": "12",
    }
    for where, _ in offers(weaver, **asked)[:4]:
        before = set(current_snapshot().drafts)
        weaver.post(f"{where}/take", SHOWPIECE | asked)
        snapshot = current_snapshot()
        (key,) = set(snapshot.drafts) - before
        found = analyze(snapshot.drafts[key])
        assert found.mirror_ends
        assert found.plain_weave
        assert found.repeat[1] <= 12
        assert found.treadles is not None
        assert found.treadles <= 8
        assert max(found.longest_warp_float or 99, found.longest_weft_float or 99) <= 4


def test_a_stopped_search_keeps_what_it_found(weaver: Client) -> None:
    found = offers(weaver, picks="64", loom="cart")
    token = found[0][0].split("/")[2]
    stopped = weaver.post(f"/find-draft/{token}/stop", headers={"HX-Request": "true"}).content.decode()
    assert "The drafts found so far are shown" in stopped
    assert offers(weaver, picks="64", loom="cart") == found


def test_the_same_question_finds_the_same(weaver: Client) -> None:
    assert offers(weaver, picks="9") == offers(weaver, picks="9")


def test_on_the_threading_of_a_warp_it_keeps_its_ends_and_their_yarns(weaver: Client) -> None:
    before = current_snapshot()
    order = next(each for each in before.guild.warps if each.key == "scarves")
    asked = {"warp": "scarves", "near": "threading", "loom": order.loom, "picks": "8", "width": ""}
    where, _ = offers(weaver, **asked)[2]
    answer = weaver.post(f"{where}/take", SHOWPIECE | asked | version("scarves"))
    assert answer.headers["Location"] == "/warps/scarves"
    snapshot = current_snapshot()
    made = next(each for each in snapshot.guild.warps if each.key == "scarves")
    assert made.draft != order.draft
    assert made.warp_yarns == order.warp_yarns
    now, then = snapshot.drafts[made.draft], before.drafts[order.draft]
    assert (now.threading == then.threading).all()
    assert (now.warp_colors == then.warp_colors).all()
    assert snapshot.plan_of("scarves").plan is not None  # type: ignore[union-attr]
    changes = Change.objects.order_by("-pk")[:2]
    assert changes[0].batch == changes[1].batch
    store.undo(changes[0].pk, who="here")
    assert current_snapshot().drafts.keys() == before.drafts.keys()


def test_a_wound_warp_is_not_set_on_another_threading(weaver: Client) -> None:
    fields = current_snapshot().entries["warps", "scarves"].fields | {"wound": "2026-09-20"}
    store.write("warps", "scarves", fields, version=int(version("scarves")["version"]), who="here")
    weaver.post("/warps/scarves/step", {"step": "threaded"})
    asked = {"warp": "scarves", "near": "any", "loom": "porch", "picks": "8", "width": ""}
    where, _ = offers(weaver, **asked)[0]
    before = current_snapshot()
    answer = weaver.post(f"{where}/take", SHOWPIECE | asked | version("scarves"))
    assert answer.status_code == 409
    assert "on the same threading" in answer.content.decode()
    assert current_snapshot().entries == before.entries


def test_two_who_change_a_warp_see_both_versions(weaver: Client) -> None:
    asked = {"warp": "scarves", "loom": "porch", "picks": "8", "width": ""}
    where, _ = offers(weaver, **asked)[0]
    late = SHOWPIECE | asked | version("scarves")
    store.write(
        "warps",
        "scarves",
        current_snapshot().entries["warps", "scarves"].fields | {"finished_width": "12 in"},
        version=int(late["version"]),
        who="another",
    )
    answer = weaver.post(f"{where}/take", late)
    assert answer.status_code == 409
    assert "Two versions" in answer.content.decode()


def test_a_search_that_is_gone_is_told(weaver: Client) -> None:
    answer = weaver.post("/find-draft/nothing/here/take", SHOWPIECE)
    assert answer.status_code == 404
    assert "search again" in answer.content.decode()


def version(warp: str) -> dict[str, str]:
    return {"version": str(current_snapshot().entries["warps", warp].version)}


def test_what_is_found_can_be_seen_from_the_distance_of_the_search(weaver: Client) -> None:
    (address, _title), *_rest = offers(weaver)
    page = weaver.get("/find-draft", SHOWPIECE).content.decode()
    assert re.search(r'id="seen-far"> from 3 m<', page)
    assert f'class="cloth-far"\n        src="{address}/far.jpg"' in page
    answers = [weaver.get(f"{each}/far.jpg") for each in (address, f"{address}x")]
    assert [answer.status_code for answer in answers] == [200, 404]
    seen = np.asarray(Image.open(io.BytesIO(answers[0].content)).convert("L"), dtype=float)
    near = re.search(r'class="cloth-near" src="([^"]*)"', page)
    assert near is not None
    close = np.asarray(Image.open(io.BytesIO(weaver.get(near[1]).content)).convert("L"), dtype=float)
    assert seen.shape == close.shape
    assert seen.std() < close.std()  # threads mix
    assert abs(seen.mean() - close.mean()) < 40

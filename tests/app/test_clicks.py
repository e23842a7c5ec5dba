"""How many clicks the usual acts take, by the labels that people see."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from django.test import Client
from playwright.sync_api import Browser, Dialog, Locator, Page, expect

from loomready.app.models import Record
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of
from tests.app.conftest import fresh
from tests.app.progress.test_lists import tick
from tests.app.progress.test_progress import report

pytestmark = pytest.mark.django_db(transaction=True)


class Clicks:
    """A page and how often it was clicked; a choice from a list counts as one."""

    def __init__(self, page: Page) -> None:
        self.page, self.many = page, 0

    def click(self, what: Locator) -> None:
        what.click()
        self.many += 1

    def choose(self, what: Locator, label: str) -> None:
        what.select_option(label=label)
        self.many += 1


@pytest.fixture
def desk(chromium: Browser, live_server: object, weaver: Client) -> Iterator[Page]:
    pages = fresh(chromium, str(live_server), 1440)
    yield next(pages)
    next(pages, None)


def test_from_home_to_the_next_group_to_thread_in_two_clicks(weaver: Client, desk: Page) -> None:
    tick(weaver, "cushions", "beamed")
    groups = report(weaver, "threading", 80, warp="cushions")
    assert groups > 80  # half of it is still to do
    desk.goto("/")
    home = Clicks(desk)
    home.click(desk.get_by_role("link", name="Thread the heddles: cushions", exact=True))
    expect(desk.get_by_text(re.compile(r"\bends? 81\b")).first).to_be_visible()
    assert home.many <= 2


def test_a_warp_is_duplicated_in_another_color_in_five_clicks(weaver: Client, desk: Page) -> None:
    desk.goto("/")
    home = Clicks(desk)
    home.click(desk.get_by_role("link", name="towels", exact=True))
    home.click(desk.get_by_role("button", name="Duplicate"))
    expect(desk.get_by_role("heading", name="towels 2")).to_be_visible()
    with desk.expect_response(lambda answer: "/warps/" in answer.url and answer.request.method == "POST"):
        home.choose(desk.get_by_label("Warp yarn 1"), "Cottolin, brick")
    assert home.many <= 5
    made = next(each for each in current_snapshot().guild.warps if each.name == "towels 2")
    assert made.warp_yarns == ("cottolin-brick",)


def test_a_wrong_weighing_is_mended_in_three_clicks_from_the_shelf(weaver: Client, desk: Page) -> None:
    address = "/shelf/cone/cottolin-cream-1/weigh"
    right = Record.objects.get(kind="cones", key="cottolin-cream-1").fields["gross"]
    assert weaver.post(address, form_of(weaver, address) | {"gross": "2 oz"}).status_code == 302
    desk.goto("/shelf")
    shelf = Clicks(desk)
    shelf.click(desk.get_by_role("link", name="Weigh Cottolin, cream #1"))
    shelf.click(desk.locator("#weighings").get_by_text("mistake?").first)
    desk.get_by_label("Right weight").first.fill(right)
    shelf.click(desk.get_by_role("button", name="Mark as a mistake").first)
    expect(desk.get_by_text("marked as a mistake")).to_be_visible()
    assert shelf.many == 3
    assert Record.objects.get(kind="cones", key="cottolin-cream-1").fields["gross"] == right


def test_plans_are_tried_side_by_side_kept_and_undone(weaver: Client, desk: Page) -> None:
    asked: list[str] = []

    def answer(dialog: Dialog) -> None:
        asked.append(dialog.type)
        if len(asked) == 1:
            dialog.accept()
        else:
            dialog.dismiss()

    desk.on("dialog", answer)
    desk.goto("/warps/scarves")
    desk.get_by_role("link", name="Try changes without saving").click()
    expect(desk).to_have_url(re.compile("what-if"))
    desk.wait_for_load_state()
    width = desk.get_by_label("Finished width")
    width.fill("12 in")
    width.press("Tab")
    expect(desk.get_by_text("finished width 9.5 in → 12 in")).to_be_visible()
    desk.get_by_role("button", name="Try another plan beside it").click()
    expect(desk.get_by_role("heading", name="Second changed plan")).to_be_visible()
    picks = desk.get_by_label("Picks").nth(1)
    picks.fill("24 /in")
    picks.press("Tab")
    expect(desk.get_by_text("picks 20 /in → 24 /in")).to_be_visible()
    expect(desk.get_by_text("finished width 9.5 in → 12 in")).to_be_visible()
    desk.reload()  # asked first, and the address keeps what was tried
    desk.get_by_role("link", name="Home", exact=True).click()
    expect(desk).to_have_url(re.compile("what-if"))
    assert asked == ["beforeunload", "beforeunload"]
    expect(desk.get_by_role("heading", name="Second changed plan")).to_be_visible()
    desk.get_by_role("button", name="Keep this plan").first.click()
    expect(desk.get_by_role("textbox", name="Finished width")).to_have_value("12 in")
    desk.get_by_role("button", name="Undo: warp scarves: finished width 9.5 in → 12 in").first.click()
    expect(desk.get_by_role("textbox", name="Finished width")).to_have_value("9.5 in")

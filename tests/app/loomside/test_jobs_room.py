"""Two helpers at one loom over the machine's network address: plain http, codes, a network that fails."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.app.loomside.test_jobs_browser import done_next, wait_saved
from tests.app.sharing.test_room import Room, opened

__all__ = ["opened"]


def finish(page: Page) -> int:
    """Go on with the page's keys until all is done; how many steps that took."""
    offer = page.get_by_role("button", name="Mark this job done today")
    for steps in range(1, 400):
        page.keyboard.press("PageDown")
        if offer.is_visible():
            return steps
    raise AssertionError("the job has no end")


def done_by_list(page: Page, job: str) -> str:
    page.goto("/beside")
    panel = page.locator("section.panel", has=page.get_by_role("heading", name="scarves"))
    return panel.get_by_role("listitem").filter(has_text=job).inner_text()


def test_two_helpers_dress_and_weave_over_the_network_address(opened: Room) -> None:
    owner = opened.owner()
    one, two = (opened.phone(opened.code(owner, "Helper", name)) for name in ("One phone", "Two phone"))
    assert not one.evaluate("isSecureContext")

    one.goto("/beside/scarves/winding")
    done_next(one, 3)
    wait_saved(one)
    two.goto("/beside/scarves/threading")
    two.get_by_role("button", name="more").click()
    expect(two.get_by_text("Over plain http a browser lets no page keep the screen on")).to_be_visible()
    two.get_by_label("Start at").select_option("the left, at the last end")
    two.get_by_role("button", name="close").click()
    one.get_by_role("button", name="more").click()
    one.get_by_role("button", name="threading").click()  # another job of the page, without a request
    one.context.set_offline(True)
    done_next(one, 4)
    expect(one.get_by_text(re.compile(r"^offline · \d+ saved here$"))).to_be_visible()
    finish(two)  # all of it from the left, what the right did among it: nobody has heard of that yet
    wait_saved(two)
    one.context.set_offline(False)
    wait_saved(one)
    expect(one.get_by_text("by others")).to_be_visible()
    assert "done" in done_by_list(one, "threading")

    one.goto("/beside/scarves/weaving")
    done_next(one, 21)
    wait_saved(one)
    assert "20 of" in done_by_list(one, "weaving")
    two.goto("/beside/scarves/threading")
    two.get_by_role("button", name="Mark this job done today").click()
    expect(two.get_by_role("heading", name="At the loom")).to_be_visible()
    two.goto("/beside/scarves/count?which=over&ends=2")
    expect(two.get_by_text("A keeper can make this change.").first).to_be_visible()
    for page in (owner, one, two):
        page.context.close()

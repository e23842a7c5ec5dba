"""What axe finds on a page, and whether a page fits its screen."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.app.conftest import DESK, PHONE

_RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "resultTypes": ["violations"],  # all that passes need not be told: half the time
}
# What colors and room decide. All else is the same on a wide, dark screen.
_OF_LOOKS = _RULES | {"runOnly": ["color-contrast", "target-size", "scrollable-region-focusable"]}


def violations(page: Page) -> list[str]:
    """What axe finds on the page, looked at from its top: what stays in sight covers nothing there."""
    page.evaluate("scrollTo(0, 0)")
    return _told(Axe().run(page, options=_RULES).response)


def violations_on_phone_and_desk(page: Page) -> list[str]:
    """What axe finds on a light phone and then on a wide, dark screen, with everything unfolded; and where
    the page is wider than its screen."""
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true })")
    found = violations(page) + _too_wide(page, PHONE)
    page.set_viewport_size({"width": DESK, "height": 800})
    page.emulate_media(color_scheme="dark")
    found += [f"wide, dark: {line}" for line in _told(page.evaluate("rules => axe.run(rules)", _OF_LOOKS))]
    found += _too_wide(page, DESK)
    page.emulate_media(color_scheme="light")
    page.set_viewport_size({"width": PHONE, "height": 800})
    return found


def _too_wide(page: Page, width: int) -> list[str]:
    wide = page.evaluate("document.documentElement.scrollWidth")
    return [f"wider than the screen: {wide} of {width} px"] if wide > width else []


def _told(answer: dict[str, Any]) -> list[str]:
    return [
        f"{each['id']}: {node['html'][:160]} {node.get('failureSummary', '')[:200]}"
        for each in answer["violations"]
        for node in each["nodes"][:3]
    ]

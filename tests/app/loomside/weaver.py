"""A weaver at a loom with secret slips, who answers the page by what is to be seen and knows nothing else."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from playwright.sync_api import Page, expect

SIGN = {
    "wrong shaft": "One end lies differently",
    "crossed": "Two ends side by side",
    "skipped": "The pattern is shifted",
    "extra": "The pattern is shifted",
}


@dataclass
class Weaver:
    """``there``: int[C], shafts from 0 as the ends stand on the loom; ``taps``: how many so far."""

    page: Page
    there: np.ndarray
    taps: int = 0

    def tap(self, name: str | re.Pattern[str]) -> None:
        self.page.get_by_role("button", name=name).first.click()
        self.taps += 1

    def begins(self, warp: str) -> None:
        """From the list of jobs to the cloth."""
        self.page.goto(f"/beside/{warp}/test-weave")
        self.page.get_by_role("button", name="Start").click()
        expect(self.page.get_by_text("Weave these picks")).to_be_visible()
        self.page.keyboard.press("PageDown")
        expect(self.page.get_by_role("button", name="Questions")).to_be_visible()

    def rises(self, end: int, shafts: set[int]) -> bool:
        return end <= len(self.there) and int(self.there[end - 1]) + 1 in shafts

    def points_at(self, end: int) -> None:
        """Types about where the fault is, as it was counted."""
        self.page.get_by_label("Or say it").fill(f"ends {end - 1} to {end + 1}")
        self.tap("Use this")

    def answers(self, kind: str, end: int) -> bool:
        """One answer to the question that stands there; false: the page asks nothing more.

        ``kind`` and ``end``: how the fault looks, and about where.
        """
        page = self.page
        yes = page.get_by_role("button", name="Yes, that is it")
        if yes.count():
            return False
        asks = page.locator("#card p.strong").first.inner_text()
        if "Where does" in asks:
            for button in page.locator(".replies button").all():
                first, last = (int(each) for each in re.findall(r"[0-9]+", button.inner_text())[:2])
                if first <= end <= last:
                    button.click()
                    break
            else:
                page.locator(".replies button").last.click()
            self.taps += 1
            return True
        if "What do you see" in asks:
            self.tap(re.compile(SIGN[kind]))
            return True
        if "rise?" in asks:
            shafts = {int(each) for each in re.findall(r"[0-9]+", asks)}
            for button in page.locator(".replies button").all():
                ends = [int(each) for each in button.locator(".ends > span").all_inner_texts()]
                rising = button.locator(".hidden").text_content() or ""
                told = set(map(int, re.findall(r"[0-9]+", rising)))
                if told == {each for each in ends if self.rises(each, shafts)}:
                    button.click()
                    break
            else:
                page.get_by_role("button", name="I can't see that").click()
            self.taps += 1
            return True
        return False

    def cells(self, first: int, picks: list[list[int]]) -> int:
        """Compares the eight ends that stand there; returns how many cells were tapped."""
        page, tapped = self.page, 0
        for name in [cell.get_attribute("data-cell") or "" for cell in page.locator(".cells .one").all()]:
            pick, end = map(int, name.split("-"))
            cell = page.locator(f'[data-cell="{name}"]')
            up = "up" in (cell.get_attribute("class") or "").split()
            if end <= len(self.there) and self.rises(end, set(picks[pick - 1])) != up:
                cell.click()
                tapped += 1
        self.tap("Looked at these ends")
        self.taps += tapped
        return tapped

"""A large guild: no list is taller than four screens, and a first visit costs little."""

from __future__ import annotations

import gzip
from typing import Any

import pytest
from django.test import Client
from playwright.sync_api import Browser, Page

from loomready.app.state.snapshot import current_snapshot
from tests.app import big_guild
from tests.app.conftest import fresh

LISTS = ("/", "/beside", "/warps", "/drafts", "/shelf")
FOUR_SCREENS = 3_600  # pixels, of 900 each
PHONE = 9_000  # a third of what the longest list was
FIRST_VISIT = 150_000  # bytes


@pytest.mark.django_db(transaction=True)
def test_lists_of_a_large_guild_stay_low_and_light(
    weaver: Client, chromium: Browser, live_server: object
) -> None:
    big_guild.fill()
    guild = current_snapshot()
    counts = [len(each) for each in (guild.guild.yarns, guild.guild.cones, guild.drafts, guild.guild.warps)]
    assert counts == [big_guild.YARNS, big_guild.CONES, big_guild.DRAFTS, big_guild.WARPS]
    for width, most in ((1440, FOUR_SCREENS), (360, PHONE)):
        for page in fresh(chromium, str(live_server), width):
            sizes = _Sizes(page)
            for address in LISTS:
                sizes.begin()
                page.goto(address, wait_until="networkidle")
                height = page.evaluate("document.documentElement.scrollHeight")
                assert height <= most, (address, width, height)
                assert page.evaluate("document.documentElement.scrollWidth") <= width, address
                assert 0 < sizes.sum() <= FIRST_VISIT, (address, width, sizes.sum())


class _Sizes:
    """What a page transfers the first time, in bytes."""

    def __init__(self, page: Page) -> None:
        self.wire = page.context.new_cdp_session(page)
        self.wire.send("Network.enable")
        self.wire.on("Network.responseReceived", self._received)
        self.wire.on("Network.loadingFinished", self._finished)
        self.begin()

    def begin(self) -> None:
        self.wire.send("Network.clearBrowserCache")
        self.answers: dict[str, str] = {}
        self.bytes: dict[str, float] = {}

    def _received(self, event: dict[str, Any]) -> None:
        self.answers[event["requestId"]] = event["response"]["url"]

    def _finished(self, event: dict[str, Any]) -> None:
        self.bytes[event["requestId"]] = event["encodedDataLength"]

    def sum(self) -> int:
        """All of it; styles and scripts packed, as by the real server (test_server)."""
        return round(sum(map(self._of, self.bytes)))

    def _of(self, number: str) -> float:
        if "/static/" not in self.answers[number]:
            return self.bytes[number]
        body = self.wire.send("Network.getResponseBody", {"requestId": number})["body"]
        return 300 + len(gzip.compress(body.encode()))

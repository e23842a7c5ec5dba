"""Takes the pictures of pages and sheets in docs/images again: python -m tests.docs.pictures

The pages are those of ``loomready open --demo`` in Chromium; the sheet is page 1 of the scarves' packet. Look
at each picture before you commit it.
"""

from __future__ import annotations

import io
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, sync_playwright
from typst import Compiler

from loomready import guildfile
from loomready.packet import packet
from loomready.warp.plan import plan_guild
from tests.chromium import launch

ROOT = Path(__file__).parents[2]
IMAGES = ROOT / "docs" / "images"
SHEET_HEIGHT = 910  # pixels of the first sheet that are shown


@contextmanager
def demo() -> Iterator[str]:
    """The address of a server with the demo guild."""
    with tempfile.TemporaryDirectory() as home:
        command = [sys.executable, "-m", "loomready", "open", "--home", home, "--port", "0"]
        process = subprocess.Popen([*command, "--no-browser", "--demo"], stdout=subprocess.PIPE, text=True)
        try:
            assert process.stdout is not None
            yield process.stdout.readline().split()[4].rstrip("/")
        finally:
            process.terminate()
            process.wait(timeout=20)


def page(
    browser: Browser, address: str, width: int, height: int, *, dark: bool = False, steps: int = 0
) -> bytes:
    """A picture of a page; ``steps`` at the loom are done first."""
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme="dark" if dark else "light"
    )
    made = context.new_page()
    made.goto(address)
    made.wait_for_load_state("networkidle")
    for _step in range(steps):
        made.keyboard.press("PageDown")
        made.wait_for_timeout(400)
    made.wait_for_load_state("networkidle")
    shot = made.screenshot()
    context.close()
    return shot


def test_weave(browser: Browser, address: str) -> bytes:
    """Eight ends of the test weave, to tap where the cloth differs."""
    context = browser.new_context(viewport={"width": 390, "height": 740})
    made = context.new_page()
    made.goto(address)
    made.get_by_role("button", name="Start").click()
    made.get_by_text("Weave these picks").wait_for()
    made.keyboard.press("PageDown")
    made.get_by_role("button", name="Compare cells").click()
    made.get_by_role("button", name="Ends after").click()
    made.locator(".cells").scroll_into_view_if_needed()
    made.wait_for_load_state("networkidle")
    shot = made.screenshot()
    context.close()
    return shot


def sheet() -> bytes:
    """Page 1 of the scarves' packet."""
    loaded = guildfile.load(ROOT / "demo" / "guild.toml")
    plan = plan_guild(loaded.guild, loaded.drafts, until="scarves").warps[-1]
    laid: list[Compiler] = []
    real = packet._pdf

    def kept(sheets: Compiler) -> bytes:
        laid.append(sheets)
        return real(sheets)

    packet._pdf = kept
    packet.packet_pdf(plan)
    packet._pdf = real
    pages = laid[-1].compile(format="png", ppi=100)
    first = pages[0] if isinstance(pages, list) else pages
    assert isinstance(first, bytes)
    image = Image.open(io.BytesIO(first)).convert("RGB")
    out = io.BytesIO()
    image.crop((0, 0, image.width, min(image.height, SHEET_HEIGHT))).save(out, "PNG", optimize=True)
    return out.getvalue()


def main() -> None:
    made = {"packet.png": sheet()}
    with demo() as address, sync_playwright() as playwright:
        browser = launch(playwright)
        made["planning-page.png"] = page(browser, f"{address}/warps/scarves", 1440, 1000)
        made["editor.png"] = page(browser, f"{address}/drafts/drafts/broken-twill.wif/edit", 1200, 760)
        threading = f"{address}/beside/scarves/threading"
        made["threading-page.png"] = page(browser, threading, 390, 740, dark=True, steps=4)
        made["test-weave-page.png"] = test_weave(browser, f"{address}/beside/scarves/test-weave")
        browser.close()
    for name, data in made.items():
        image = Image.open(io.BytesIO(data)).convert("RGB").quantize(256, Image.Quantize.FASTOCTREE)
        image.save(IMAGES / name, optimize=True)
        print(f"wrote {IMAGES / name}")


if __name__ == "__main__":
    main()

"""Which Chromium tests, pictures and bench drive: the one without windows if it is there, for speed."""

from __future__ import annotations

import shutil
from pathlib import Path

from playwright.sync_api import Browser, BrowserType, Playwright

NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
OPTIONS = ["--no-sandbox", "--disable-gpu", "--in-process-gpu"]  # one process less for each browser


def path_of(kind: BrowserType) -> str | None:
    """Where the program is; None: there is none."""
    own = kind.executable_path
    return next(filter(None, map(shutil.which, NAMES)), own if Path(own).exists() else None)


def launch(playwright: Playwright) -> Browser:
    """:raises RuntimeError: there is no Chromium here, and how to get it"""
    path = path_of(playwright.chromium)
    if path is None:
        raise RuntimeError(
            "Chromium is not here. On Debian or Ubuntu: apt-get install chromium-headless-shell; "
            "elsewhere: .venv/bin/playwright install chromium-headless-shell"
        )
    return playwright.chromium.launch(executable_path=path, args=OPTIONS)

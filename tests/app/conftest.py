"""A demo guild in a database of its own, and a headless Chromium where a test needs one."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.db.models import Model
from django.test import Client
from playwright.sync_api import Browser, Page, expect, sync_playwright

from loomready.app.archive import backup_writer
from loomready.app.archive.new_guild import begin_with
from loomready.app.models import Record
from loomready.app.server.home_folder import IDENTITY
from loomready.app.state.snapshot import forget_entries
from tests.chromium import launch

# Playwright's own loop runs in the thread of the tests; the database is used from it anyway.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

DRAFTS = Path(__file__).parents[2] / "demo" / "drafts"
PHONE, DESK = 360, 1440  # pixels
# For what lies otherwise on a wide page; all else is tried on a phone, where room is scarce.
AT_BOTH_WIDTHS = pytest.mark.parametrize("page", [PHONE, DESK], ids=["phone", "desk"], indirect=True)

# How long a browser test waits for anything at all: a busy machine makes it slow, not red.
PATIENCE_MS = 60_000
expect.set_options(timeout=PATIENCE_MS)


@pytest.fixture(autouse=True)
def own_id() -> Iterator[None]:
    """A guild's id that a test restores from a backup does not stay in the home that all tests share."""
    yield
    (Path(settings.HOME) / IDENTITY).unlink(missing_ok=True)


_made: dict[str, list[tuple[type[Model], list[Model]]]] = {}


def brought(name: str, make: Callable[[], object]) -> None:
    """A home that many tests begin with: made once a worker, then the same rows at the hour of the test."""
    if name not in _made:
        models = [model for model in apps.get_models() if model.__module__ == Record.__module__]
        assert not any(model._default_manager.exists() for model in models)
        make()
        _made[name] = [(model, list(model._default_manager.all())) for model in models]
        return
    for model, rows in _made[name]:
        model._default_manager.bulk_create(rows)
    forget_entries()  # a test before may have changed the same rows by hand


@pytest.fixture
def demo(db: None) -> None:
    """The demo guild."""
    brought("demo", lambda: begin_with("demo"))


@pytest.fixture
def without_packets(monkeypatch: pytest.MonkeyPatch) -> None:
    """Backups hold a stand-in for each packet: laying one out takes seconds."""
    monkeypatch.setattr(backup_writer.printing, "packet", lambda *_: b"%PDF")


@pytest.fixture
def weaver(demo: None, client: Client) -> Client:
    """A browser without a screen, in the demo guild."""
    return client


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = launch(playwright)
        yield browser
        browser.close()


@pytest.fixture
def page(request: pytest.FixtureRequest, chromium: Browser, live_server: object) -> Iterator[Page]:
    """A page of an empty home, on a phone."""
    yield from fresh(chromium, str(live_server), getattr(request, "param", PHONE))


def fresh(chromium: Browser, address: str, width: int, scheme: str = "light") -> Iterator[Page]:
    context = chromium.new_context(
        base_url=address,
        viewport={"width": width, "height": 800},
        color_scheme="dark" if scheme == "dark" else "light",
    )
    context.set_default_timeout(PATIENCE_MS)
    made = context.new_page()
    wrong: list[str] = []
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.on("console", lambda line: wrong.append(line.text) if "Content Security" in line.text else None)
    yield made
    context.close()
    assert not wrong

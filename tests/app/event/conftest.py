"""The guild of demo/event in a database of its own, at an hour of its own."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from django.test import Client

from loomready import guildfile
from loomready.app.archive.guild_files import things_of
from loomready.app.event import clock
from loomready.app.state import store
from loomready.app.state.snapshot import forget_entries

FOLDER = Path(__file__).parents[3] / "demo" / "event"
NOW = datetime(2027, 4, 5, 8, 0)


@pytest.fixture
def at_nine(monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock of the event's pages stands at a Monday morning, five weeks before the example."""
    monkeypatch.setattr(clock, "now", lambda: NOW)


@pytest.fixture
def example(db: None, at_nine: None) -> None:
    forget_entries()
    drafts = {f"drafts/{path.name}": path.read_bytes() for path in (FOLDER / "drafts").glob("*.wif")}
    store.load(things_of(guildfile.parse((FOLDER / "guild.toml").read_bytes()), drafts), who="the example")


@pytest.fixture
def keeper(example: None, client: Client) -> Client:
    """A browser without a screen at the computer itself."""
    return client

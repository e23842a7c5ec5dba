"""The guild of demo/event in a database of its own, at an hour of its own."""

from __future__ import annotations

import functools
import hashlib
import pickle
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from loomready import guildfile
from loomready.app.archive.guild_files import Things, things_of
from loomready.app.event import clock, planning
from loomready.app.state import store
from loomready.app.state.snapshot import forget_entries
from loomready.event.plan_event import EventPlan, plan_event
from loomready.event.work.search import Effort
from loomready.event.work.simulate import simulate

FOLDER = Path(__file__).parents[3] / "demo" / "event"
NOW = datetime(2027, 4, 5, 8, 0)
LITTLE = Effort(lists=5, small=0, middle=0, rounds=0, each=0.1, rota=0.02)
RUNS = 20


@pytest.fixture
def at_nine(monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock of the event's pages stands at a Monday morning, five weeks before the example."""
    monkeypatch.setattr(clock, "now", lambda: NOW)


def things() -> Things:
    """The records of the example."""
    drafts = {f"drafts/{path.name}": path.read_bytes() for path in (FOLDER / "drafts").glob("*.wif")}
    return things_of(guildfile.parse((FOLDER / "guild.toml").read_bytes()), drafts)


@pytest.fixture
def example(db: None, at_nine: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "HOME", tmp_path)  # its calendars are its own
    forget_entries()
    store.load(things(), who="the example")


@pytest.fixture
def keeper(example: None, client: Client) -> Client:
    """A browser without a screen at the computer itself."""
    return client


_plans: dict[bytes, EventPlan] = {}


@pytest.fixture
def quick_plans(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Plans are made in this process, each content once for all tests: the engine's own, only sooner."""

    def made_here(data: bytes, _wanted: object) -> EventPlan:
        asked = pickle.loads(data)
        known = {name: value for name, value in asked.items() if name not in ("drafts", "records")}
        name = hashlib.sha256(repr((known, sorted(asked["drafts"]))).encode()).digest()
        if name not in _plans:
            _plans[name] = plan_event(**asked, effort=LITTLE)
        return _plans[name]

    few = functools.partial(simulate, count=RUNS)
    monkeypatch.setattr("loomready.event.plan_event.simulate", few)
    monkeypatch.setattr(planning, "made_apart", made_here)
    monkeypatch.setattr(planning, "SOON_S", 240)
    yield
    planning.forget()

"""Hours are this machine's, and dates are written as the guild writes them."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.template import Context
from django.test import Client

from loomready.app.models import Change
from loomready.app.server import time_zone
from loomready.app.templatetags import loom
from tests.app.asking import form_of


@pytest.fixture
def chicago(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    with monkeypatch.context() as patched:
        patched.setenv("TZ", "America/Chicago")
        time.tzset()
        yield
    time.tzset()


@pytest.mark.parametrize(
    ("units", "day", "moment"),
    [("us", "Nov 25, 2026", "Nov 24, 2026, 8:05 p.m."), ("metric", "25 Nov 2026", "24 Nov 2026, 20:05")],
)
def test_a_day_and_an_hour_are_written_as_the_guild_does(
    chicago: None, units: str, day: str, moment: str
) -> None:
    context = Context({"units": units})
    assert loom.day(context, "2026-11-25") == day
    assert loom.moment(context, datetime(2026, 11, 25, 2, 5, tzinfo=UTC)) == moment


def test_what_is_no_date_stays_as_it_is() -> None:
    assert loom.day(Context(), "no date") == "no date"
    assert loom.day(Context(), None) == ""


@pytest.mark.django_db
def test_the_history_tells_the_hour_of_this_machine(weaver: Client, chicago: None) -> None:
    Change.objects.update(at=datetime(2026, 11, 25, 2, 5, tzinfo=UTC))
    assert "Nov 24, 2026, 8:05 p.m." in weaver.get("/guild").content.decode()
    weaver.post("/guild", form_of(weaver, "/guild") | {"units": "metric"})
    assert "24 Nov 2026, 20:05" in weaver.get("/guild").content.decode()


def test_the_machine_tells_its_zone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "zoneinfo" / "Europe" / "Oslo"
    place.parent.mkdir(parents=True)
    place.touch()
    link, named = tmp_path / "localtime", tmp_path / "timezone"
    link.symlink_to(place)
    named.write_text("Asia/Tokyo\n")
    monkeypatch.setenv("TZ", "America/Chicago")
    assert time_zone.of_machine(link, named) == "America/Chicago"
    monkeypatch.setenv("TZ", "/no/such zone")
    assert time_zone.of_machine(link, named) == "Europe/Oslo"
    assert time_zone.of_machine(tmp_path / "none", named) == "Asia/Tokyo"
    monkeypatch.setattr("time.timezone", 5 * 3600)
    assert time_zone.of_machine(tmp_path / "none", tmp_path / "none") == "Etc/GMT+5"

"""The computer's clock is set: codes and the shut door keep ten minutes, pages show what is saved."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from django.db import transaction
from django.test import Client
from django.utils import timezone

from loomready.app.models import Record
from loomready.app.sharing import devices
from loomready.app.sharing.roles import Role
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from tests.app.devices import guess

pytestmark = pytest.mark.django_db


class Clocks:
    """A wall clock that anybody sets, and one that only goes on."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.wall, self.steady = timezone.now(), 1000.0
        patch.setattr(timezone, "now", lambda: self.wall)
        patch.setattr(devices.time, "monotonic", lambda: self.steady)

    def go_on(self, minutes: float) -> None:
        self.wall += timedelta(minutes=minutes)
        self.steady += 60 * minutes

    def set(self, minutes: float) -> None:
        self.wall += timedelta(minutes=minutes)


@pytest.fixture
def clocks(monkeypatch: pytest.MonkeyPatch) -> Clocks:
    return Clocks(monkeypatch)


def test_a_code_ends_after_ten_minutes_though_the_clock_goes_back(demo: None, clocks: Clocks) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    clocks.set(-30)
    clocks.go_on(9)
    assert devices.open_codes().count() == 1
    clocks.go_on(2)
    assert devices.open_codes().count() == 0
    with pytest.raises(BadInput):
        devices.join(text, "")


def test_a_code_of_before_a_restart_lasts_no_longer_than_a_new_one(demo: None, clocks: Clocks) -> None:
    devices.invite(Role.HELPER, "")
    devices._ends.clear()
    clocks.set(-60 * 24)
    assert devices.open_codes().count() == 1
    clocks.go_on(11)
    assert devices.open_codes().count() == 0


def test_a_shut_door_opens_after_ten_minutes_though_the_clock_goes_back_a_day(
    demo: None, clocks: Clocks
) -> None:
    guess(devices.MOST_WRONG)
    assert devices.closed_until() is not None
    clocks.set(-60 * 24)
    clocks.go_on(9)
    assert devices.closed_until() is not None
    clocks.go_on(2)
    assert devices.closed_until() is None
    assert guess(1, 100) == [422]
    assert devices.closed_until() is None


def test_a_write_that_was_taken_back_is_never_shown_whatever_the_clock_says(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(timezone, "now", lambda: datetime.fromisoformat("2026-10-03T10:00:00+00:00"))
    reed = Record.objects.get(kind="reeds", key="8-dent")

    def write(width: str) -> None:
        store.write("reeds", "8-dent", reed.fields | {"width": width}, version=reed.version, who="here")

    with transaction.atomic():
        write("31 in")
        assert current_snapshot().entries["reeds", "8-dent"].fields["width"] == "31 in"
        transaction.set_rollback(True)
    write("32 in")
    assert current_snapshot().entries["reeds", "8-dent"].fields["width"] == "32 in"

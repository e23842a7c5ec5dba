"""Those who save at the same time take turns: nobody is told that the database is locked."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace

import pytest
from django.db import connection, connections, transaction

from loomready.app.models import Record
from loomready.app.server import storage_faults
from loomready.app.server.sqlite import base
from loomready.app.server.sqlite.base import Turns

WRITERS, HOLD_S = 8, 0.05
PATIENCE_S = 60.0  # a busy machine makes a test slow, not red


def wait_for(turns: Turns, waiting: int) -> None:
    """Until so many threads wait for their turn."""
    until = time.monotonic() + PATIENCE_S
    while len(turns._waiting) != waiting:
        assert time.monotonic() < until
        time.sleep(0.001)


def ended(threads: list[threading.Thread]) -> None:
    for each in threads:
        each.join(PATIENCE_S)
        assert not each.is_alive()


def test_turns_come_in_the_order_in_which_they_were_asked_for() -> None:
    turns, came = Turns(), list[int]()
    assert turns.take()

    def wait(number: int) -> None:
        assert turns.take()
        came.append(number)
        turns.give()

    threads = []
    for number in range(6):
        threads.append(threading.Thread(target=wait, args=(number,)))
        threads[-1].start()
        wait_for(turns, number + 1)
    turns.give()
    ended(threads)
    assert came == list(range(6))


def test_a_turn_that_does_not_come_is_given_up_and_the_next_gets_it() -> None:
    turns = Turns()
    assert turns.take()
    assert not turns.take(0.01)
    turns.give()
    assert turns.take(0.01)


def test_who_waits_behind_many_short_changes_waits_on(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = SimpleNamespace(now=0.0)
    monkeypatch.setattr(base, "time", SimpleNamespace(monotonic=lambda: clock.now))
    turns, came = Turns(), list[bool]()
    assert turns.take()
    threads = [threading.Thread(target=turns.take, args=(50.0,)) for _each in range(4)]
    threads.append(threading.Thread(target=lambda: came.append(turns.take(0.05))))
    for number, each in enumerate(threads, 1):
        each.start()
        wait_for(turns, number)
    for left in (4, 3, 2, 1, 0):  # together longer than it waits for one
        clock.now += 0.04
        time.sleep(0.1)  # it looks at the clock in this time
        turns.give()
        assert len(turns._waiting) == left
    ended(threads)
    assert came == [True]


@pytest.mark.django_db(transaction=True)
def test_all_who_save_at_once_are_heard() -> None:
    def save(number: int) -> None:
        try:
            with connection.cursor() as cursor:
                cursor.execute("PRAGMA busy_timeout = 10")
            with transaction.atomic():
                Record.objects.create(kind="soak", key=str(number), fields={}, position=number)
                time.sleep(HOLD_S)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(WRITERS) as pool:
        list(pool.map(save, range(WRITERS)))
    assert Record.objects.filter(kind="soak").count() == WRITERS


@pytest.mark.django_db(transaction=True)
def test_who_waits_too_long_for_an_import_is_told_of_it_and_not_of_another_program(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(base, "LONGEST_S", 0.05)
    held, done = threading.Event(), threading.Event()
    waited = []

    def long_import() -> None:
        try:
            with transaction.atomic():
                held.set()
                done.wait(10)
        finally:
            connections.close_all()

    def beside() -> None:
        base.wait_long()
        try:
            with transaction.atomic():
                waited.append("came")
        finally:
            connections.close_all()

    threads = [threading.Thread(target=long_import), threading.Thread(target=beside)]
    threads[0].start()
    assert held.wait(10)
    threads[1].start()
    with pytest.raises(base.StillSaving) as refused, transaction.atomic():
        pass
    assert "like an import, is still being saved" in storage_faults.said_of(refused.value)
    done.set()
    ended(threads)
    assert waited == ["came"]  # work in the background waits longer
    with transaction.atomic():
        Record.objects.create(kind="soak", key="y", fields={}, position=1)


@pytest.mark.django_db(transaction=True)
def test_what_fails_hands_the_turn_on() -> None:
    def fail() -> None:
        with transaction.atomic():
            Record.objects.create(kind="soak", key="x", fields={}, position=1)
            raise ZeroDivisionError

    for _time in range(3):
        with pytest.raises(ZeroDivisionError):
            fail()
    with transaction.atomic():
        Record.objects.create(kind="soak", key="x", fields={}, position=1)
    assert Record.objects.filter(kind="soak").count() == 1

"""Those who save at the same time take turns: nobody is told that the database is locked."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection, connections, transaction

from loomready.app.models import Record
from loomready.app.server import storage_faults
from loomready.app.server.sqlite import base
from loomready.app.server.sqlite.base import Turns

WRITERS, HOLD_S = 8, 0.05


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
        while len(turns._waiting) <= number:
            time.sleep(0.001)
    turns.give()
    for each in threads:
        each.join()
    assert came == list(range(6))


def test_a_turn_that_does_not_come_is_given_up_and_the_next_gets_it() -> None:
    turns = Turns()
    assert turns.take()
    assert not turns.take(0.01)
    turns.give()
    assert turns.take(0.01)


def test_who_waits_behind_many_short_changes_waits_on() -> None:
    turns, came = Turns(), threading.Event()
    assert turns.take()
    waiting = threading.Thread(target=lambda: came.set() if turns.take(0.2) else None)
    ahead = [threading.Thread(target=lambda: turns.take(5)) for _each in range(4)]
    for number, each in enumerate([*ahead, waiting], 1):
        each.start()
        while len(turns._waiting) < number:
            time.sleep(0.001)
    for _change in range(5):  # together longer than it waits for one
        time.sleep(0.1)
        turns.give()
    waiting.join()
    assert came.is_set()


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
    for each in threads:
        each.join()
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

"""Those who save at the same time take turns: nobody is told that the database is locked."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection, connections, transaction

from loomready.app.models import Record
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

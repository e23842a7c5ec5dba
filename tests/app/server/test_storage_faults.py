"""A full disk, a folder that cannot be written, a damaged database: a sentence with what to do."""

from __future__ import annotations

import errno

import pytest
from django.db import OperationalError, connection
from django.test import Client

from loomready.app.server.storage_faults import said_of
from loomready.app.state import store

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("fault", "word"),
    [
        (OperationalError("database or disk is full"), "is full"),
        (OperationalError("attempt to write a readonly database"), "can&#x27;t be written"),
        (OperationalError("database disk image is malformed"), "is damaged"),
        (OperationalError("database is locked"), "Another program holds"),
        (OSError(errno.ENOSPC, "No space left on device"), "is full"),
    ],
)
def test_a_change_that_cannot_be_saved_says_what_is_wrong_and_looking_still_works(
    weaver: Client, monkeypatch: pytest.MonkeyPatch, fault: Exception, word: str
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise fault

    monkeypatch.setattr(store, "write", refuse)
    weaver.raise_request_exception = False
    answer = weaver.post("/guild/day", {"version": "", "day-name": "open studio", "day-date": "2030-05-04"})
    assert answer.status_code == 507
    assert word in answer.content.decode()
    assert weaver.get("/shelf").status_code == 200


def test_a_database_that_refuses_writes_says_so(weaver: Client) -> None:
    weaver.raise_request_exception = False
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")
    try:
        answer = weaver.post("/guild/day", {"version": "", "day-name": "fair", "day-date": "2030-05-04"})
        assert answer.status_code == 507
        assert "be written" in answer.content.decode()
        assert weaver.get("/warps/towels").status_code == 200
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA query_only = OFF")


def test_any_other_error_is_none_of_these() -> None:
    assert said_of(ValueError("full")) == ""
    assert said_of(None) == ""

"""A full disk, a folder that cannot be written, a damaged database: a sentence with what to do."""

from __future__ import annotations

import errno
import sqlite3
from pathlib import Path

import pytest
from django.db import OperationalError, connection
from django.test import Client

from loomready.app.server import upgrade
from loomready.app.server.sqlite.base import StillSaving
from loomready.app.server.storage_faults import said_of
from loomready.app.state import facts, store
from loomready.problems import BadInput

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
    answer = weaver.post("/warps/towels/step", {"step": "wound"})
    assert answer.status_code == 507
    assert word in answer.content.decode()
    assert weaver.get("/shelf").status_code == 200


def test_a_database_that_refuses_writes_says_so(weaver: Client) -> None:
    weaver.raise_request_exception = False
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")
    try:
        answer = weaver.post("/warps/towels/step", {"step": "wound"})
        assert answer.status_code == 507
        assert "be written" in answer.content.decode()
        assert weaver.get("/warps/towels").status_code == 200
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA query_only = OFF")


def test_a_page_beside_the_loom_is_told_why_its_steps_are_not_saved(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OperationalError("database or disk is full")

    monkeypatch.setattr(facts, "take", refuse)
    weaver.raise_request_exception = False
    answer = weaver.post("/beside/towels/facts", {"facts": []}, content_type="application/json")
    assert answer.status_code == 507
    assert "is full" in answer.json()["word"]


def test_a_long_import_is_named_and_not_called_another_program(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise StillSaving

    monkeypatch.setattr(store, "write", refuse)
    weaver.raise_request_exception = False
    answer = weaver.post("/warps/towels/step", {"step": "wound"})
    assert answer.status_code == 503
    assert "like an import, is still being saved" in answer.content.decode()


def test_any_other_error_is_none_of_these() -> None:
    assert said_of(ValueError("full")) == ""
    assert said_of(None) == ""


def test_a_home_that_cannot_be_brought_up_to_date_says_that_its_disk_is_full(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_room(database: Path, to: Path) -> None:
        to.write_bytes(b"half")
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(upgrade, "copy_database", no_room)
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'loomready' AND name > '0007'")
    with pytest.raises(BadInput, match="its disk is full; nothing was lost"):
        upgrade.bring_up_to_date(tmp_path / "guild.sqlite3")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        ("database or disk is full", "is full"),
        ("attempt to write a readonly database", "can't be written"),
        ("unable to open database file", "can't be written"),
        ("database disk image is malformed", "is damaged"),
        ("file is not a database", "is damaged"),
    ],
)
def test_a_home_that_cannot_be_opened_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: str, told: str
) -> None:
    def broken(*_: object) -> None:
        raise OperationalError(fault)

    monkeypatch.setattr(upgrade, "Executor", broken)
    with pytest.raises(BadInput, match=told):
        upgrade.bring_up_to_date(tmp_path / "guild.sqlite3")

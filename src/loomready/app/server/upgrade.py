"""A home of an older program is brought up to date after a backup; a newer one is refused."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from django.core.management import call_command
from django.db import DatabaseError, OperationalError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from loomready.app.server import storage_faults
from loomready.app.sharing.devices import forget
from loomready.problems import BadInput


def bring_up_to_date(database: Path, say: Callable[[str], None] = lambda text: None) -> None:
    """Bring a home up to date, after a copy of it was kept.

    :param say: is told that it begins: a home with many versions of large drafts takes a minute
    :raises BadInput: the home was written by a newer loomready, is damaged, or cannot be written
    """
    try:
        _bring_up_to_date(database, say)
    except (sqlite3.Error, DatabaseError, OSError) as error:
        said = storage_faults.said_of(error)
        if not said:
            raise
        raise BadInput(said, file=str(database.parent)) from error


def _bring_up_to_date(database: Path, say: Callable[[str], None]) -> None:
    executor = MigrationExecutor(connection)
    known = set(executor.loader.disk_migrations)
    done = set(MigrationRecorder(connection).applied_migrations())
    if done - known:
        raise BadInput(
            "was saved by a newer version of loomready; open it with that version or a later one",
            file=str(database.parent),
        )
    if not known - done:
        return
    try:
        if done:
            say(f"{database.parent} is brought up to date from an older version; a copy is kept in it.")
            _keep_a_copy(database, max(name for _, name in done))
        call_command("migrate", verbosity=0, interactive=False)
    except (sqlite3.Error, DatabaseError, OSError) as error:
        if storage_faults.said_of(error) != storage_faults.full():
            raise
        raise BadInput(
            "cannot be brought up to date, because its disk is full; nothing was lost: free some space "
            "there, then open it again",
            file=str(database.parent),
        ) from error
    if done:
        _give_back_room()


def _keep_a_copy(database: Path, newest: str) -> None:
    kept = database.with_name(f"before-upgrade-{newest}.sqlite3")
    try:
        copy_database(database, kept)
        forget(kept)  # a device that was withdrawn since must not come back with it
    except BaseException:
        kept.unlink(missing_ok=True)
        raise


def _give_back_room() -> None:
    """What older versions of drafts took is the disk's again; where that fails, SQLite uses it itself."""
    with suppress(OperationalError), connection.cursor() as cursor:
        cursor.execute("VACUUM")


def copy_database(database: Path, to: Path) -> None:
    """A whole copy by SQLite's own backup, whatever is being written in the meantime."""
    source, target = sqlite3.connect(database), sqlite3.connect(to)
    try:
        source.backup(target)
    finally:
        source.close()
        target.close()

"""A home of an older program is brought up to date after a backup; a newer one is refused."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from pathlib import Path

from django.core.management import call_command
from django.db import OperationalError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from loomready.app.sharing.devices import forget
from loomready.problems import BadInput


def bring_up_to_date(database: Path) -> None:
    """:raises BadInput: the home was written by a newer loomready"""
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
    if done:
        newest = max(name for _, name in done)
        kept = database.with_name(f"before-upgrade-{newest}.sqlite3")
        copy_database(database, kept)
        forget(kept)  # a device that was withdrawn since must not come back with it
    call_command("migrate", verbosity=0, interactive=False)
    if done:
        _give_back_room()


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

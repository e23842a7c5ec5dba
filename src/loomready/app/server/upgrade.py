"""A home of an older program is brought up to date after a backup; a newer one is refused."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from django.apps import apps
from django.db import DatabaseError, OperationalError, connection
from django.db.migrations import Migration
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder
from django.db.migrations.state import ProjectState

from loomready.app.server import storage_faults
from loomready.app.sharing.devices import forget
from loomready.phrases import phrase
from loomready.problems import BadInput

_WHOLE_ALREADY = ("already exists", "duplicate column name")


class Executor(MigrationExecutor):
    """Each migration and the record that it was applied are one transaction.

    Django records one that makes indexes or references after it is saved: killed in between, a home would be
    migrated once more, and fail.
    """

    found_whole = False  # a migration whose changes were there without its record

    def apply_migration(
        self, state: ProjectState, migration: Migration, fake: bool = False, fake_initial: bool = False
    ) -> ProjectState:
        if fake or fake_initial or not migration.atomic:
            return super().apply_migration(state, migration, fake=fake, fake_initial=fake_initial)
        try:
            with connection.schema_editor(atomic=True) as editor:
                state = migration.apply(state, editor)
                while editor.deferred_sql:
                    editor.execute(editor.deferred_sql.pop(0), None)
                self.record_migration(migration)
        except OperationalError as error:
            if not any(says in str(error) for says in _WHOLE_ALREADY):
                raise
            # An older loomready was killed between the two: all of the migration is there but its record.
            self.record_migration(migration)
            state = migration.mutate_state(state)
            self.found_whole = True
        return state


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
    executor = Executor(connection)
    known = set(executor.loader.disk_migrations)
    done = set(MigrationRecorder(connection).applied_migrations())
    if done - known:
        raise BadInput(
            phrase("was saved by a newer version of loomready; open it with that version or a later one"),
            file=str(database.parent),
        )
    if not known - done:
        return
    try:
        if done:
            say(f"{database.parent} is brought up to date from an older version; a copy is kept in it.")
            _keep_a_copy(database, max(name for _, name in done))
        executor.migrate(executor.loader.graph.leaf_nodes())
        if executor.found_whole:
            _check_columns()
    except (sqlite3.Error, DatabaseError, OSError) as error:
        if storage_faults.said_of(error) != storage_faults.full():
            raise
        raise BadInput(
            phrase(
                "cannot be brought up to date, because its disk is full; nothing was lost: free some space "
                "there, then open it again"
            ),
            file=str(database.parent),
        ) from error
    if done:
        _give_back_room()


def _check_columns() -> None:
    """:raises DatabaseError: a table lacks what this version needs"""
    with connection.cursor() as cursor:
        for model in apps.get_app_config("loomready").get_models():
            table = model._meta.db_table
            there = {column.name for column in connection.introspection.get_table_description(cursor, table)}
            if missing := {field.column for field in model._meta.concrete_fields} - there:
                raise DatabaseError(f"malformed: {table} lacks {', '.join(sorted(missing))}")


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

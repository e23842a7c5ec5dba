"""A home put back whole from a backup: records, history and steps out of the copy of the database in it.

The copy may come from anywhere. It is brought up to date in a process and a folder of its own, and its rows
are checked and written into this home's own database: nothing else of the file is taken over.
"""

from __future__ import annotations

import io
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, models, transaction
from django.utils.translation import gettext as _

from loomready.app.archive import backup_reader, guild_files, import_review, photo_archive
from loomready.app.archive.backup_reader import tree_of
from loomready.app.changes.history import KINDS
from loomready.app.models import Change, DraftText, Fact, JobPlan, Record, RemovedFact
from loomready.app.server import guild_id
from loomready.app.server.home_folder import DATABASE, IDENTITY
from loomready.app.state import draft_texts, photos, store
from loomready.app.state.snapshot import current_snapshot, forget_entries
from loomready.guildfile.schema import SECTIONS
from loomready.loomside.log import facts
from loomready.phrases import phrase
from loomready.problems import BadInput, LoomreadyError, shorten

Tell = Callable[[int, int], None]
Row = dict[str, Any]

TABLES: tuple[type[models.Model], ...] = (DraftText, Record, Change, Fact, RemovedFact, JobPlan)
MAX_DATABASE = 4 * 1024**3
_AT_ONCE = 500
_LONGEST_ID = 100
_HIGHEST = 2**53  # far above every number that loomready writes
_READ_BY_PAGES = ("order", "weighings", "mistakes", "tested", photos.KIND)
_MAY_BE_LEFT_OUT = ("day", *_READ_BY_PAGES)  # the guild is whole without them
_WAIT_S, _LONGEST_S = 0.2, 900
_NAMED = 3
_COMMAND = ("-m", "loomready.app.server.upgrade_copy")


def restore(
    data: bytes,
    name: str,
    *,
    who: str,
    tell: Tell,
    settle: Callable[[], None],
    note: Callable[[str], None] = lambda text: None,
    second: bool = False,
) -> None:
    """Fill an empty home with what a backup (or a guild file alone) holds: all of it or nothing.

    :param tell: what is done, of how much; what it raises takes everything back
    :param settle: called last of all; what it raises takes everything back
    :param note: is told which records were left out, since no page could show them
    :param second: the guild that was backed up is still in use elsewhere: this copy keeps an id of its own
    :raises BadInput: the home is not empty, or the file is no backup that this loomready can read
    """
    try:
        _sweep()
        found = _id_in(data)
        photo_archive.take_out(data)
        with (
            guild_id.taken_over(None if second else found) as take_id,
            tempfile.TemporaryDirectory(prefix="restore-", dir=import_review.folder()) as made,
        ):

            def end() -> None:
                settle()
                take_id()

            copy = Path(made) / DATABASE
            if _unpacked(data, copy):
                _check(copy)
                _bring_up_to_date(copy, lambda: tell(0, 1))
                with closing(_opened(copy)) as source:
                    left_out = _take_over(source, tell, end)
                if left_out:
                    says = _(
                        "These records could not be read and were left out: %s. The backup still has them."
                    )
                    note(says % ", ".join(left_out))
                return
            things = guild_files.unpack(data, "", tell)
            with transaction.atomic():
                _only_into_an_empty_home()
                store.load(things, who=who, all_new=True, tell=tell, settle=end)
    except BadInput as error:
        raise error.in_file(name) from None
    except sqlite3.Error:
        raise _no_home().in_file(name) from None
    except IntegrityError as error:
        raise BadInput(phrase("its database holds rows that contradict each other"), file=name) from error


def _id_in(data: bytes) -> str | None:
    """The guild's id in a backup; None in one of an older loomready.

    :raises BadInput: it is no such id
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as zipped, zipped.open(IDENTITY) as stream:
            return guild_id.read(stream.read(_LONGEST_ID))
    except guild_files.BROKEN as error:
        if isinstance(error, BadInput):
            raise
        return None  # what is wrong with the zip is told where the rest of it is read


def _unpacked(data: bytes, to: Path) -> bool:
    """Whether there is a copy of a database in the zip; it lies there then.

    :raises BadInput: it is broken or too large
    :raises OSError: there is no room for it
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as zipped:
            if DATABASE not in zipped.namelist():
                return False
            if zipped.getinfo(DATABASE).file_size > MAX_DATABASE:
                raise BadInput(
                    phrase(
                        "{file} is too large when unpacked; expected at most {most:,} bytes",
                        file=DATABASE,
                        most=MAX_DATABASE,
                    )
                )
            with zipped.open(DATABASE) as source, to.open("wb") as target:
                shutil.copyfileobj(source, target, 1 << 20)
    except guild_files.BROKEN as error:
        if isinstance(error, OSError) and error.errno is not None:  # the disk, not the zip
            raise
        if zipfile.is_zipfile(io.BytesIO(data)):
            raise BadInput(phrase("is a broken zip; expected a backup of a guild")) from error
        return False
    return True


def _no_home() -> BadInput:
    return BadInput(phrase("holds no whole copy of a guild's database ({file})", file=DATABASE))


def _sweep() -> None:
    """Take away what a process that was killed left behind."""
    for old in import_review.folder().glob("restore-*"):
        if time.time() - old.stat().st_mtime > _LONGEST_S:
            shutil.rmtree(old, ignore_errors=True)


def _opened(copy: Path) -> sqlite3.Connection:
    source = sqlite3.connect(f"{copy.resolve().as_uri()}?mode=ro", uri=True)
    source.execute("PRAGMA trusted_schema = OFF")
    source.execute("PRAGMA cell_size_check = ON")
    return source


def _check(copy: Path) -> None:
    """:raises BadInput: it is no whole database of a guild, or holds more than tables"""
    try:
        with closing(_opened(copy)) as source:
            there = list(source.execute("SELECT type, name FROM sqlite_master"))
            whole = source.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok"
    except sqlite3.Error as error:
        raise _no_home() from error
    kinds, names = {kind for kind, _name in there}, {name for _kind, name in there}
    if not whole or kinds - {"table", "index"} or not {"django_migrations", "loomready_record"} <= names:
        raise _no_home()


def _bring_up_to_date(copy: Path, wanted: Callable[[], None]) -> None:
    """:raises BadInput: it was written by a newer loomready"""
    environment = os.environ | {"LOOMREADY_HOME": str(copy.parent), "LOOMREADY_ROOM": ""}
    environment["DJANGO_SETTINGS_MODULE"] = settings.SETTINGS_MODULE
    command = [sys.executable, *_COMMAND, str(copy)]
    with subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, text=True) as process:
        try:
            for _look in range(int(_LONGEST_S / _WAIT_S)):
                try:
                    _nothing, wrong = process.communicate(timeout=_WAIT_S)
                    break
                except subprocess.TimeoutExpired:
                    wanted()
            else:
                raise LoomreadyError(_("the backup took too long to be brought up to date"))
        except BaseException:
            process.kill()
            raise
    if process.returncode == 2:
        raise BadInput(wrong.strip())
    if process.returncode:
        raise _no_home()


def _take_over(source: sqlite3.Connection, tell: Tell, settle: Callable[[], None]) -> list[str]:
    """Write the rows of a home into this one; the records that were left out."""
    left_out: list[str] = []
    counts = [
        source.execute(f"SELECT count(*) FROM {model._meta.db_table}").fetchone()[0] for model in TABLES
    ]
    done, of = 0, max(1, sum(counts))
    with transaction.atomic():
        _only_into_an_empty_home()
        forget_entries()
        for model in TABLES:
            for rows in _rows(source, model, left_out):
                tell(done, of)
                _write(model, rows)
                done += len(rows)
        _count_devices_on(source)
        _only_sound_texts()
        current_snapshot()
        settle()
    return left_out


def _only_into_an_empty_home() -> None:
    if Record.objects.exists() or Change.objects.exists() or Fact.objects.exists():
        raise BadInput(_("this home holds a guild already; restore a backup in a new folder"))


def _only_sound_texts() -> None:
    """:raises BadInput: a version of a draft could never be shown"""
    damaged = draft_texts.damaged()
    if not damaged:
        return
    named = [f"{shorten(key)} version {number}" for key, number in draft_texts.versions_with(damaged)]
    which = ", ".join(named[:_NAMED]) or "unused"
    raise BadInput(
        phrase(
            "its database holds a damaged version of a draft ({which}); restore an earlier backup, or "
            "begin an empty guild and import this one there: everything but the history comes in",
            which=which,
        )
    )


def _columns(model: type[models.Model]) -> list[str]:
    return [field.column for field in model._meta.concrete_fields]


def _rows(
    source: sqlite3.Connection, model: type[models.Model], left_out: list[str]
) -> Iterator[list[tuple[Any, ...]]]:
    """The rows of a table, some at a time, each checked; ``left_out`` gets the records left out."""
    columns = _columns(model)
    listed = ", ".join(f'"{column}"' for column in columns)
    found = source.execute(f"SELECT {listed} FROM {model._meta.db_table} ORDER BY rowid")
    while rows := found.fetchmany(_AT_ONCE):
        kept = []
        for row in rows:
            named = dict(zip(columns, row, strict=True))
            try:
                _check_row(model, named)
            except _Unreadable as odd:
                if named["kind"] not in _MAY_BE_LEFT_OUT:
                    raise
                left_out.append(odd.record)
            else:
                kept.append(row)
        yield kept


def _write(model: type[models.Model], rows: list[tuple[Any, ...]]) -> None:
    columns = _columns(model)
    listed = ", ".join(f'"{column}"' for column in columns)
    places = ", ".join(["%s"] * len(columns))
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO {model._meta.db_table} ({listed}) VALUES ({places})", rows)


def _count_devices_on(source: sqlite3.Connection) -> None:
    """No device here gets the number of one that was let in there: steps name it."""
    table = "loomready_device"
    found = source.execute("SELECT seq FROM sqlite_sequence WHERE name = ?", (table,)).fetchone()
    if found is None or type(found[0]) is not int:
        return
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s AND seq < %s", (table, found[0]))
        cursor.execute(
            "INSERT INTO sqlite_sequence (name, seq) SELECT %s, %s "
            "WHERE NOT EXISTS (SELECT 1 FROM sqlite_sequence WHERE name = %s)",
            (table, found[0], table),
        )


def _check_row(model: type[models.Model], row: Row) -> None:
    """:raises BadInput: the row is none that loomready writes"""
    try:
        if model is Fact:
            parts = [row[name] for name in ("job", "plan", "first", "last", "done", "counter", "hand")]
            fit = row["name"] == f"{row['warp']}/{facts.read(parts).name}"
        elif model is RemovedFact:
            job, plan, first, last, done, counter, hand = row["name"][len(row["warp"]) + 1 :].split("/")
            facts.read([job, plan, int(first), int(last), int(done), int(counter), hand])
            fit = row["name"].startswith(f"{row['warp']}/")
        elif model is DraftText:
            fit = isinstance(row["packed"], bytes)
        elif model is JobPlan:
            fit = isinstance(_json(row["signs"]), list)
        elif model is Record:
            fields = _json(row["fields"])
            fit = row["kind"] in KINDS and isinstance(fields, dict)
            fit = fit and (row["kind"] != "drafts" or isinstance(fields["wif"], str))
        else:
            tables = [_json(row[name]) for name in ("before", "after") if row[name] is not None]
            fit = row["kind"] in KINDS and all(isinstance(each, dict) for each in tables)
        for field in model._meta.concrete_fields:
            value = row[field.column]
            if not isinstance(field, models.JSONField | models.ForeignKey | models.BinaryField):
                _check_value(field, value)
    except (BadInput, ValueError, KeyError, TypeError, AttributeError, ValidationError) as error:
        raise _odd(model) from error
    if not fit:
        raise _odd(model)
    if model is Record:
        _check_record(row["kind"], row["key"], fields)


def _check_record(kind: str, key: str, fields: Row) -> None:
    """What no page could show; what an older loomready saved out of its range comes in.

    :raises BadInput: the line names the record
    """
    fit = True
    if kind in SECTIONS and not SECTIONS[kind].many:
        fit = key == kind
    elif kind in SECTIONS:
        fit = fields.get("key") == key
    elif kind == "day":
        fit = all(isinstance(fields.get(name), str) for name in ("name", "date"))
        fit = fit and backup_reader.is_date(fields["date"])
    elif kind in _READ_BY_PAGES:
        fit = backup_reader.readable(kind, key, fields)
    if not fit:
        raise _Unreadable(f"{kind} {shorten(key)}")


class _Unreadable(BadInput):
    """A record that no page can show."""

    def __init__(self, record: str) -> None:
        super().__init__(f"its database holds a record that no page can show: {record}")
        self.record = record


def _odd(model: type[models.Model]) -> BadInput:
    return BadInput(
        phrase(
            "its database holds a row that loomready does not write ({table})",
            table=f"{model._meta.model_name}",
        )
    )


def _check_value(field: models.Field[Any, Any], value: Any) -> None:
    """:raises ValueError: of another type, or too long"""
    if value is None:
        if not field.null:
            raise ValueError("missing")
    elif isinstance(field, models.CharField):
        if not isinstance(value, str) or len(value) > (field.max_length or 0):
            raise ValueError("no text of that length")
        value.encode()
    elif isinstance(field, models.DateTimeField):
        if not isinstance(value, str) or field.to_python(value) is None:
            raise ValueError("no moment")
    elif type(value) is not int or not 0 <= value <= _HIGHEST:
        raise ValueError("no number")


def _json(text: Any) -> Any:
    if not isinstance(text, str):
        raise ValueError("no JSON")
    return tree_of(text.encode())

"""Import and export: guild files with their drafts as records, and records as one zip."""

from __future__ import annotations

import io
import lzma
import sqlite3
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Mapping
from contextlib import closing
from functools import partial
from pathlib import Path, PurePosixPath
from typing import Any

from django.utils.translation import gettext as _

from loomready import guildfile
from loomready.app import printing
from loomready.app.archive import backup_extras
from loomready.app.i18n.words import translated
from loomready.app.server import identity
from loomready.app.server.home_folder import DATABASE, IDENTITY
from loomready.app.server.upgrade import copy_database
from loomready.app.sharing.devices import forget
from loomready.app.state.snapshot import Snapshot, dated, parsed, plain, tree
from loomready.app.state.store import fit_path
from loomready.draft.wif import reader, writer
from loomready.guildfile.schema import SECTIONS
from loomready.guildfile.toml import dumps_tree
from loomready.phrases import phrase
from loomready.problems import BadInput

Things = list[tuple[str, str, dict[str, Any]]]

MAX_FILES = 20_000
MAX_UNPACKED = 256 * 1024 * 1024
MAX_WIF = 8 * 1024 * 1024
_PART = 1 << 20
MAX_BESIDE = 64 * 1024 * 1024  # about a million steps done at looms

# Every error that the standard library raises for a damaged zip.
BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    RuntimeError,
    NotImplementedError,
    EOFError,
    OSError,
    ValueError,
    LookupError,
    OverflowError,
    struct.error,
)


def _quiet(done: int, of: int) -> None:
    """Progress callback that does nothing."""


def things_of(
    file: Mapping[str, Any], drafts: Mapping[str, bytes], tell: Callable[[int, int], None] = _quiet
) -> Things:
    """The records of a guild file's tree and of the drafts beside it.

    :raises BadInput: where the guild file or a draft is not valid
    """
    guild = guildfile.decode(file)
    things: Things = [("guild", "guild", plain({"name": guild.name} | dict(file.get("guild", {}))))]
    for name, section in SECTIONS.items():
        if section.many:
            for table, record in zip(file.get(name, []), getattr(guild, name), strict=True):
                things.append((name, record.key, plain({"key": record.key} | dict(table))))
    for number, (path, data) in enumerate(drafts.items()):
        tell(number, len(drafts))
        things.append(("drafts", path, {"wif": normal(data, path)}))
    return things


def normal(data: bytes, name: str) -> str:
    """A WIF file's text as loomready writes it.

    :raises BadInput: the bytes are no draft
    """
    try:
        return writer.dumps(reader.parse(data).draft).decode()
    except BadInput as error:
        raise error.in_file(name) from None


def guild_file(snapshot: Snapshot) -> str:
    return dumps_tree(tree(snapshot.entries))


def pack(
    snapshot: Snapshot,
    kept: str,
    database: Path,
    tell: Callable[[int, int], None],
    note: Callable[[str], None] = lambda text: None,
) -> bytes:
    """Everything as one zip: guild file, the other records (``kept``), drafts, packets, database.

    The zip is read back and compared with the guild before it is offered.

    :param tell: called with how much is done, and of how much
    :param note: called with anything you should know of this backup
    :raises BadInput: what was packed could not be imported again as it is here
    """
    plans = [planned.plan for planned in snapshot.planned if planned.plan is not None]
    out = io.BytesIO()
    steps = len(plans) + 2
    with tempfile.TemporaryDirectory() as folder, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as zipped:
        tell(0, steps)
        copy = Path(folder) / "copy.sqlite3"
        copy_database(database, copy)
        forget(copy)
        zipped.write(copy, DATABASE)
        zipped.writestr(IDENTITY, identity.guild_id())
        zipped.writestr("guild.toml", guild_file(snapshot))
        zipped.writestr(backup_extras.FILE, kept)
        for entry in snapshot.of_kind("drafts"):
            zipped.writestr(entry.key, entry.fields["wif"])
        for number, plan in enumerate(plans, 1):
            wanted = partial(tell, number, steps)
            wanted()
            version = snapshot.entries["drafts", plan.order.draft].version
            zipped.writestr(f"packets/{plan.order.key}.pdf", printing.packet(plan, version, wanted))
        tell(steps - 1, steps)
        zipped.close()
        made = out.getvalue()
        _read_back_database(made, copy)
    try:
        there = unpack(made, "")
    except BadInput as error:
        told = _("This backup can be restored in an empty home, but not imported into a guild: {error}")
        note(told.replace("{error}", translated(error.line())))
    else:
        _compare(there, snapshot, kept)
    return made


def _read_back_database(made: bytes, copy: Path) -> None:
    """:raises BadInput: the zip does not hold the copy of the database whole"""
    with closing(sqlite3.connect(copy)) as source:
        whole = source.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok"
    zipped = zipfile.ZipFile(io.BytesIO(made))
    with zipped.open(DATABASE) as packed, copy.open("rb") as here:
        while whole and (part := here.read(_PART)):
            whole = packed.read(_PART) == part
        if not whole or packed.read(1):
            raise BadInput(phrase("the backup would not hold the database whole; nothing was saved"))


def _compare(made: Things, snapshot: Snapshot, kept: str) -> None:
    """:raises BadInput: the zip does not hold every record of the guild as it is here"""
    there = {(kind, key): fields for kind, key, fields in made}
    wanted = {(entry.kind, entry.key): entry.fields for entry in snapshot.entries.values()}
    here = {name: fields for name, fields in wanted.items() if name[0] in SECTIONS or name[0] == "drafts"}
    here |= {(kind, key): fields for kind, key, fields in backup_extras.things_in(kept.encode())}
    for (kind, key), fields in here.items():
        if kind == "drafts":
            fields = fields | {"wif": normal(fields["wif"].encode(), key)}
        elif kind in SECTIONS:
            fields = plain(dated(kind, fields))
        if there.get((kind, key)) != fields:
            raise BadInput(
                phrase(
                    "the backup would not hold {kind} {key} as it is here; nothing was saved",
                    kind=kind,
                    key=key,
                )
            )


def unpack(data: bytes, name: str, tell: Callable[[int, int], None] = _quiet) -> Things:
    """The records in a zip (or in a guild file that stands alone).

    ``tell`` is called with how much is done, and of how much.

    :raises BadInput: no zip, too large, a path that leaves it, or its content is not valid
    """
    try:
        if not data.strip():
            raise BadInput(phrase("is empty; expected a backup (zip) or a guild file (toml)"))
        if not zipfile.is_zipfile(io.BytesIO(data)):
            if data.startswith(b"PK"):
                raise BadInput(
                    phrase("is not a complete zip: its end is missing; expected a backup of a guild")
                )
            return things_of(guildfile.parse(data), {})
        files = _files(data)
        if "guild.toml" not in files:
            raise BadInput(phrase('holds no "guild.toml"; expected a backup of a guild'))
        drafts = {path: text for path, text in files.items() if path.lower().endswith(".wif")}
        things = things_of(guildfile.parse(files["guild.toml"]), drafts, tell)
        return things + (
            backup_extras.things_in(files[backup_extras.FILE]) if backup_extras.FILE in files else []
        )
    except BadInput as error:
        raise error.in_file(name) from None


def _files(data: bytes) -> dict[str, bytes]:
    """Guild file and drafts inside a zip, sizes counted while they are unpacked."""
    found: dict[str, bytes] = {}
    left = MAX_UNPACKED
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as zipped:
            if len(zipped.infolist()) > MAX_FILES:
                raise BadInput(
                    phrase("holds more than {most} files; expected a backup of a guild", most=MAX_FILES)
                )
            for each in zipped.infolist():
                path = PurePosixPath(each.filename)
                if path.is_absolute() or ".." in path.parts or "\\" in each.filename:
                    raise BadInput(
                        phrase("a file in it would leave its folder; expected a backup of a guild")
                    )
                is_draft = each.filename.lower().endswith(".wif")
                wanted = is_draft or each.filename in ("guild.toml", backup_extras.FILE)
                if each.is_dir() or not wanted:
                    continue
                if is_draft:
                    fit_path(each.filename)
                most = min(left, MAX_BESIDE if each.filename == backup_extras.FILE else MAX_WIF)
                with zipped.open(each) as stream:
                    text = stream.read(most + 1)
                if len(text) > most:
                    raise BadInput(
                        phrase(
                            "{filename} is too large when unpacked; expected at most {most:,} bytes",
                            filename=each.filename,
                            most=most,
                        )
                    )
                left -= len(text)
                found[each.filename] = text
    except BROKEN as error:
        raise BadInput(phrase("is a broken zip; expected a backup of a guild")) from error
    return found


def title_of(entry_wif: str, path: str) -> str:
    """A draft's own title, or its file's name."""
    return parsed(entry_wif).draft.title or PurePosixPath(path).stem

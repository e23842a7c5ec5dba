"""Writes a backup: the whole guild as one zip, read back and compared before it is offered."""

from __future__ import annotations

import io
import sqlite3
import tempfile
import zipfile
from collections.abc import Callable
from contextlib import closing
from functools import partial
from pathlib import Path

from django.utils.translation import gettext as _

from loomready.app import printing
from loomready.app.archive import backup_extras, guild_files, photo_archive
from loomready.app.i18n.words import translated
from loomready.app.server import guild_id
from loomready.app.server.home_folder import DATABASE, IDENTITY
from loomready.app.server.upgrade import copy_database
from loomready.app.sharing.devices import forget
from loomready.app.state.snapshot import Snapshot, dated, plain
from loomready.guildfile.schema import SECTIONS
from loomready.phrases import phrase
from loomready.problems import BadInput

_PART = 1 << 20


def pack(
    snapshot: Snapshot,
    kept: str,
    database: Path,
    tell: Callable[[int, int], None],
    note: Callable[[str], None] = lambda text: None,
) -> bytes:
    """Everything as one zip: guild file, drafts, the other records (``kept``), packets, photographs, the
    database, the guild's id.

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
        zipped.writestr(IDENTITY, guild_id.guild_id())
        zipped.writestr("guild.toml", guild_files.guild_file(snapshot))
        zipped.writestr(backup_extras.FILE, kept)
        for entry in snapshot.of_kind("drafts"):
            zipped.writestr(entry.key, entry.fields["wif"])
        for number, plan in enumerate(plans, 1):
            wanted = partial(tell, number, steps)
            wanted()
            version = snapshot.entries["drafts", plan.order.draft].version
            zipped.writestr(f"packets/{plan.order.key}.pdf", printing.packet(plan, version, wanted))
        photo_archive.put_in(zipped, snapshot, note)
        tell(steps - 1, steps)
        zipped.close()
        made = out.getvalue()
        _read_back_database(made, copy)
    try:
        there = guild_files.unpack(made, "")
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


def _compare(made: guild_files.Things, snapshot: Snapshot, kept: str) -> None:
    """:raises BadInput: the zip does not hold every record of the guild as it is here"""
    there = {(kind, key): fields for kind, key, fields in made}
    wanted = {(entry.kind, entry.key): entry.fields for entry in snapshot.entries.values()}
    here = {name: fields for name, fields in wanted.items() if name[0] in SECTIONS or name[0] == "drafts"}
    here |= {(kind, key): fields for kind, key, fields in backup_extras.things_in(kept.encode())}
    for (kind, key), fields in here.items():
        if kind == "drafts":
            fields = fields | {"wif": guild_files.normal(fields["wif"].encode(), key)}
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

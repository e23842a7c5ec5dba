"""Guild files and backups, read: their records and drafts; the guild file, written."""

from __future__ import annotations

import io
import lzma
import struct
import zipfile
import zlib
from collections.abc import Callable, Mapping
from pathlib import PurePosixPath
from typing import Any

from loomready import guildfile
from loomready.app.archive import backup_extras
from loomready.app.state.snapshot import Snapshot, plain, tree
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
MAX_EXTRAS = 64 * 1024 * 1024  # about a million steps done at looms

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
        elif name != "guild" and name in file:
            things.append((name, name, plain(dict(file[name]))))
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
                most = min(left, MAX_EXTRAS if each.filename == backup_extras.FILE else MAX_WIF)
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

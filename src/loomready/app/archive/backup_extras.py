"""What a backup holds besides the guild file: the progress of each warp, the next event, past weighings and
those marked as mistakes, project records, the measured beams, the plan that people were told, what is
noted of photographs, and every step done at a loom."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Any

from loomready.app.archive import backup_reader
from loomready.app.archive.backup_reader import Things
from loomready.app.cones import shelf
from loomready.app.state import facts, photos
from loomready.app.state.snapshot import Snapshot
from loomready.problems import BadInput

FILE = "app.json"
KINDS = (
    "progress",
    "day",
    "order",
    "weighings",
    "mistakes",
    "happened",
    "beam",
    "tested",
    "agreed",
    photos.KIND,
)


@dataclass(frozen=True, slots=True)
class Kept:
    """The file's text, and the names of records that no backup could be read back with.

    An older loomready accepted some that are not valid; the copy of the database holds them.
    """

    text: str
    left_out: tuple[str, ...]


def kept(snapshot: Snapshot) -> Kept:
    """For each kind the records by their keys."""
    found: dict[str, dict[str, Any]] = {
        kind: {entry.key: entry.fields for entry in snapshot.of_kind(kind)} for kind in KINDS
    }
    found["weighings"] = {
        key: {"made": [asdict(each) for each in made]}
        for key, made in shelf.kept_of([cone.key for cone in snapshot.guild.cones]).items()
        if len(made) > 1
    }
    found["facts"] = {warp: facts.backup(warp) for warp in facts.warps()}
    left_out = []
    for kind, records in found.items():
        for key, fields in [*records.items()]:
            if not backup_reader.readable(kind, key, fields):
                del records[key]
                left_out.append(f"{kind} {key}")
    return Kept(json.dumps(found, separators=(",", ":"), ensure_ascii=False), tuple(left_out))


def text_of(snapshot: Snapshot) -> str:
    return kept(snapshot).text


def things_in(data: bytes) -> Things:
    """The records in such a file, each checked: what comes in may have been made anywhere.

    :raises BadInput: it is not valid
    """
    try:
        return backup_reader.things_in(data)
    except BadInput as error:
        raise error.in_file(FILE) from None

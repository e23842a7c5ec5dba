"""What a backup carries beside the guild file: how far each warp is, the next date, past weighings and
which were mistakes, what really happened, how far it is around a beam, and every step done at a loom."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from loomready.app.archive import backup_reader
from loomready.app.archive.backup_reader import Things
from loomready.app.cones import shelf
from loomready.app.state import facts
from loomready.app.state.snapshot import Room
from loomready.problems import BadInput

FILE = "app.json"
KINDS = ("progress", "day", "order", "weighings", "mistakes", "happened", "beam", "tested")


def text_of(room: Room) -> str:
    """The file's text: for each kind the records by their keys."""
    made: dict[str, dict[str, Any]] = {
        kind: {entry.key: entry.fields for entry in room.of_kind(kind)} for kind in KINDS
    }
    made["weighings"] = {
        cone.key: {"made": [asdict(each) for each in kept]}
        for cone in room.guild.cones
        if len(kept := shelf.kept(cone.key)) > 1
    }
    made["facts"] = {warp: facts.backup(warp) for warp in facts.warps()}
    return json.dumps(made, separators=(",", ":"), ensure_ascii=False)


def things_in(data: bytes) -> Things:
    """The records in such a file, each checked: what comes in may have been made anywhere.

    :raises BadInput: it means nothing
    """
    try:
        return backup_reader.things_in(data)
    except BadInput as error:
        raise error.in_file(FILE) from None

"""What a backup carries beside the guild file: how far each warp is, the next date, past weighings and
which were mistakes, what really happened, how far it is around a beam, and every step done at a loom."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import date
from typing import Any

from loomready.app import shelf
from loomready.app.fields import sane
from loomready.app.loomside import facts, happened
from loomready.app.room import Room
from loomready.model import dressing
from loomready.problems import BadInput
from loomready.units import WEIGHT_G, WIDTH_MM, read

FILE = "app.json"
KINDS = ("progress", "day", "order", "weighings", "mistakes", "happened", "beam")
MAX_TEXT = 100

Things = list[tuple[str, str, dict[str, Any]]]


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
        tree = json.loads(data)
        things = [
            (kind, key, _READ[kind](key, fields))
            for kind, records in tree.items()
            for key, fields in records.items()
        ]
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise BadInput("is not what a backup holds", file=FILE) from error
    except BadInput as error:
        raise error.in_file(FILE) from None
    return things


def day(name: str, text: str) -> dict[str, Any]:
    """:raises BadInput: no name, or no date; ``where`` says which of them"""
    if not name or len(name) > MAX_TEXT or not name.isprintable():
        raise BadInput("a date needs a name; expected what it is, like open studio", where="name")
    try:
        made = date.fromisoformat(text)
    except ValueError:
        raise BadInput(f'"{text[:20]}" is no date; expected one like 2026-10-03', where="date") from None
    return {"name": name, "date": sane(made).isoformat()}


def _day(key: str, fields: Any) -> dict[str, Any]:
    if key != "next":
        raise BadInput("holds a date that is not the next one")
    return day(_line(fields["name"]), _line(fields["date"]))


def _progress(key: str, fields: Any) -> dict[str, Any]:
    _line(key)
    if fields["step"] not in dressing.STEPS:
        raise BadInput(f"holds a step that no warp has; expected one of {', '.join(dressing.STEPS)}")
    return {"step": fields["step"]}


def _order(key: str, fields: Any) -> dict[str, Any]:
    if key != "warps" or not isinstance(fields["keys"], list):
        raise BadInput("holds an order that is not one of warps")
    return {"keys": [_line(each) for each in fields["keys"]]}


def _weighings(key: str, fields: Any) -> dict[str, Any]:
    _line(key)
    return {
        "made": [
            {name: _line(each[name]) for name in shelf.Weighing.__dataclass_fields__}
            for each in fields["made"]
        ]
    }


def _mistakes(key: str, fields: Any) -> dict[str, Any]:
    _line(key)
    made = []
    for each in fields["made"]:
        marked = {name: _line(each[name]) for name in ("day", "gross", "tare", "right")}
        for name in ("gross", "tare", "right"):
            if name != "right" or marked[name]:
                read(marked[name], WEIGHT_G)
        made.append(marked)
    return {"made": made}


def _beam(key: str, fields: Any) -> dict[str, Any]:
    _line(key)
    for name, text in fields.items():
        if name not in ("around", "sticks"):
            raise BadInput(f"holds {name[:20]!r} of a beam; expected around, sticks")
        read(text, WIDTH_MM)
    return dict(fields)


def _line(text: Any) -> str:
    if not isinstance(text, str) or not text.isprintable() or len(text) > MAX_TEXT:
        raise BadInput(f"holds what is no short line of text; expected at most {MAX_TEXT} characters")
    return text


_READ = {
    "progress": _progress,
    "day": _day,
    "order": _order,
    "weighings": _weighings,
    "mistakes": _mistakes,
    "happened": happened.checked,
    "beam": _beam,
    "facts": facts.checked,
}

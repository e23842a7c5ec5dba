"""An import compared with the guild, before anything changes."""

from __future__ import annotations

import json
import re
import secrets
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils.translation import ngettext

from loomready.app.archive.guild_files import Things
from loomready.app.changes.history import KINDS
from loomready.app.cones import shelf
from loomready.app.state import facts, photos
from loomready.app.state.snapshot import Snapshot, parsed, title_of
from loomready.guildfile.schema import SECTIONS
from loomready.phrases import phrase
from loomready.problems import BadInput

_KEPT_SECONDS = 3600


@dataclass(frozen=True, slots=True)
class Compared:
    """What would be new, what is the same, and what differs.

    ``counts``: what the file holds in a few words, "12 yarns", in the order of the pages; ``new``: the
    names of what is new, by kind
    """

    counts: tuple[str, ...]
    new: tuple[tuple[str, tuple[str, ...]], ...]
    same: int
    clashes: tuple[str, ...]

    @property
    def news(self) -> int:
        return sum(len(names) for _kind, names in self.new)


def compare(snapshot: Snapshot, things: Things) -> Compared:
    clashes, same = [], 0
    new: dict[str, list[str]] = {}
    for kind, key, fields in things:
        there = snapshot.entry(kind, key)
        called = str(KINDS[kind]) if kind == key else _called(snapshot, kind, key, fields)
        if kind == "weighings":
            known = {(each.day, each.gross, each.tare) for each in shelf.kept(key)}
            if all((each["day"], each["gross"], each["tare"]) in known for each in fields["made"]):
                same += 1
            else:
                new.setdefault(kind, []).append(called)
        elif kind == "facts":
            if facts.all_known(key, fields):
                same += 1
            else:
                new.setdefault(kind, []).append(called)
        elif there is None:
            new.setdefault(kind, []).append(called)
        elif there.fields == fields:
            same += 1
        else:
            clashes.append(called if kind == key else f"{KINDS[kind]} {called}")
    listed = tuple((str(KINDS[kind]), tuple(new[kind])) for kind in KINDS if kind in new)
    return Compared(_counts(things), listed, same, tuple(clashes))


def _counts(things: Things) -> tuple[str, ...]:
    """How many of each kind a weaver would count, and of the rest together."""
    found = Counter(kind for kind, _key, _fields in things)
    told = {
        "yarns": ngettext("%d yarn", "%d yarns", found["yarns"]),
        "cones": ngettext("%d cone", "%d cones", found["cones"]),
        "looms": ngettext("%d loom", "%d looms", found["looms"]),
        "reeds": ngettext("%d reed", "%d reeds", found["reeds"]),
        "drafts": ngettext("%d draft", "%d drafts", found["drafts"]),
        "warps": ngettext("%d warp", "%d warps", found["warps"]),
        photos.KIND: ngettext("%d photograph", "%d photographs", found[photos.KIND]),
    }
    counted = [text % found[kind] for kind, text in told.items() if found[kind]]
    rest = sum(count for kind, count in found.items() if kind not in told)
    if rest:
        counted.append(ngettext("%d other record", "%d other records", rest) % rest)
    return tuple(counted)


def _called(snapshot: Snapshot, kind: str, key: str, fields: dict[str, Any]) -> str:
    """What a record that comes in is called."""
    if kind == "drafts":
        return title_of(parsed(fields["wif"]).draft, key)
    if kind == photos.KIND:
        return snapshot.name(fields["of"], fields["thing"])
    name = fields.get("name")
    return name if kind in SECTIONS and isinstance(name, str) else snapshot.name(kind, key)


def clashing(snapshot: Snapshot, things: Things) -> Things:
    """The records of the guild file that are here with another content."""
    return [
        (kind, key, fields)
        for kind, key, fields in things
        if kind in SECTIONS and (there := snapshot.entry(kind, key)) is not None and there.fields != fields
    ]


def choose(snapshot: Snapshot, things: Things, *, theirs: bool) -> Things:
    """What to write: all that is new, and of clashes theirs or none."""
    return [thing for thing in things if theirs or snapshot.entry(thing[0], thing[1]) is None]


def keep(things: Things, name: str) -> str:
    """Store an import until it is confirmed; one that is never confirmed is deleted after an hour."""
    place = folder()
    for old in place.glob("*.json"):
        if time.time() - old.stat().st_mtime > _KEPT_SECONDS:
            old.unlink(missing_ok=True)
    token = secrets.token_hex(16)
    (place / f"{token}.json").write_text(json.dumps({"name": name, "things": things}))
    return token


def look(token: str) -> tuple[str, Things]:
    """The name of the file that came in, and what it holds.

    :raises BadInput: there is no import with this token
    """
    held: dict[str, Any] = json.loads(_place(token).read_text())
    return held["name"], [(kind, key, fields) for kind, key, fields in held["things"]]


def forget(token: str) -> None:
    """Delete the stored import once it is done."""
    _place(token).unlink(missing_ok=True)


def _place(token: str) -> Path:
    place = folder() / f"{token}.json"
    if re.fullmatch("[0-9a-f]{32}", token) is None or not place.is_file():
        raise BadInput(phrase("the file to import is no longer here; choose it again"))
    return place


def folder() -> Path:
    """Where what comes in lies until it is in."""
    place = Path(settings.HOME) / "incoming"
    place.mkdir(parents=True, exist_ok=True)
    return place

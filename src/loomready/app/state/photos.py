"""Photographs of a warp, a draft, a yarn or a loom as records: whose each is, its caption, its picture."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from loomready.app.models import Record
from loomready.app.state import photo_files, store
from loomready.app.state.snapshot import Snapshot
from loomready.phrases import listed, phrase
from loomready.problems import BadInput

KIND = store.PHOTOS
OF = ("warps", "drafts", "yarns", "looms")
MOST_OF_ONE = 12
LONGEST_CAPTION = 200
_adding = threading.Lock()

Fields = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Photo:
    """``there``: its file is in the home; ``width``, ``height``: of the picture, in pixels."""

    key: str
    version: int
    of: str
    thing: str
    caption: str
    day: str
    width: int
    height: int
    picture: str
    there: bool


def of_thing(snapshot: Snapshot, of: str, thing: str) -> list[Photo]:
    """The photographs of one thing, first to last."""
    return [
        found
        for entry in snapshot.of_kind(KIND)
        if entry.fields["of"] == of
        and entry.fields["thing"] == thing
        and (found := one(snapshot, entry.key)) is not None
    ]


def one(snapshot: Snapshot, key: str) -> Photo | None:
    entry = snapshot.entry(KIND, key)
    if entry is None:
        return None
    there = photo_files.there(entry.fields["picture"])
    return Photo(entry.key, entry.version, there=there, **entry.fields)


def used() -> set[str]:
    """The names of all pictures in use."""
    return {fields["picture"] for fields in Record.objects.filter(kind=KIND).values_list("fields", flat=True)}


def add(
    snapshot: Snapshot, of: str, thing: str, jpegs: Sequence[bytes], caption: str, day: date, who: str
) -> None:
    """Keep photographs that were reduced: all of them or none, undone together.

    :raises BadInput: too many, one is here already, or there is no room
    """
    if len(of_thing(snapshot, of, thing)) + len(jpegs) > MOST_OF_ONE:
        raise BadInput(
            phrase("there are at most {most} photographs of one thing; remove some first", most=MOST_OF_ONE)
        )
    with _adding:
        in_use, writes = used(), []
        for jpeg in jpegs:
            name = photo_files.keep(jpeg, in_use)
            in_use.add(name)
            wide, high = photo_files.size_of(jpeg)
            fields: Fields = {"of": of, "thing": thing, "caption": caption, "day": day.isoformat()}
            fields |= {"picture": name, "width": wide, "height": high}
            writes.append((KIND, key_of(of, thing, name), fields, None))
        if any(snapshot.entry(KIND, key) for _kind, key, _fields, _version in writes):
            raise BadInput(phrase("this photograph is here already"))
        store.write_together(writes, who=who)


def key_of(of: str, thing: str, picture: str) -> str:
    """The same picture of the same thing is the same photograph."""
    return hashlib.sha256(f"{of}/{thing}/{picture}".encode()).hexdigest()[:24]


def caption_of(text: str) -> str:
    """A caption as it was typed, in one line.

    :raises BadInput: it is too long
    """
    made = " ".join(text.split())
    if len(made) > LONGEST_CAPTION or not made.isprintable():
        raise BadInput(phrase("expected a caption of at most {most} characters", most=LONGEST_CAPTION))
    return made


def checked(key: str, fields: Mapping[str, Any]) -> Fields:
    """The record from a backup.

    :raises BadInput, KeyError, TypeError, ValueError: it is not valid
    """
    of, thing, picture = fields["of"], fields["thing"], fields["picture"]
    if of not in OF:
        raise BadInput(phrase("is a photograph of something else; expected {kinds}", kinds=listed(OF)))
    if not photo_files.is_name(picture) or key != key_of(of, str(thing), picture):
        raise BadInput(phrase("is not a photograph as loomready writes it"))
    wide, high = (_pixels(fields[name]) for name in ("width", "height"))
    return {
        "of": of,
        "thing": str(thing),
        "caption": caption_of(fields["caption"]),
        "day": date.fromisoformat(fields["day"]).isoformat(),
        "picture": picture,
        "width": wide,
        "height": high,
    }


def _pixels(value: Any) -> int:
    if type(value) is not int or not 1 <= value <= photo_files.LONGEST:
        raise BadInput(phrase("is not a photograph as loomready writes it"))
    return value

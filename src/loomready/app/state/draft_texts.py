"""The files of a draft's versions, each kept once: packed, and as a difference where that is smaller.

A change to a draft names its files by what they hold; :func:`whole` gives them back.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections import Counter
from collections.abc import Mapping
from typing import Any

from loomready.app.models import Change, DraftText
from loomready.app.server.storage_faults import DamagedText

Fields = dict[str, Any]
Hunks = list[tuple[int, int, list[str]]]
# How many differences lead from a text to a whole one, at most.
MOST_STEPS = 24
MOST_BYTES = 64 * 1024 * 1024  # of a text when it is unpacked: many times the longest that comes in


def kept(fields: Fields | None, before: Fields | None = None, texts: Any = DraftText) -> Fields | None:
    """A draft's fields with the name of its text in the text's place; the text itself is kept.

    :param before: the fields it had before, of which the text is kept already
    :param texts: the model, for a migration
    """
    if fields is None or not isinstance(fields.get("wif"), str):
        return fields
    was = (before or {}).get("wif")
    return fields | {"wif": {"kept": _kept(fields["wif"], was if isinstance(was, str) else None, texts)}}


def whole(fields: Fields | None, texts: Any = DraftText) -> Fields | None:
    """Fields of a change with the draft's text in its place.

    :raises DamagedText: the text is not there, or not what it was
    """
    name = _name_in(fields)
    return fields if name is None or fields is None else fields | {"wif": text_of(name, texts)}


def text_of(name: str, texts: Any = DraftText) -> str:
    """:raises DamagedText: as :func:`whole`"""
    steps: list[Hunks] = []
    here = name
    try:
        for _step in range(MOST_STEPS + 1):
            row = texts.objects.get(pk=here)
            held = unpacked(bytes(row.packed))
            if row.base_id is None:
                lines = held.split("\n")
                break
            steps.append([(first, stop, new) for first, stop, new in json.loads(held)])
            here = row.base_id
        else:
            raise DamagedText
        for hunks in reversed(steps):
            lines = changed(lines, hunks)
    except (texts.DoesNotExist, zlib.error, ValueError, TypeError) as error:
        raise DamagedText from error
    text = "\n".join(lines)
    if name_of(text) != name:
        raise DamagedText
    return text


def damaged() -> set[str]:
    """The names of texts that cannot be given back, and of those that changes name and are not there.

    Every text is unpacked once, from the whole ones on.
    """
    bases = dict(DraftText.objects.values_list("name", "base_id"))
    made_from: dict[str | None, list[str]] = {}
    for name, base in bases.items():
        made_from.setdefault(base, []).append(name)
    sound: set[str] = set()
    open_ends: list[tuple[str, list[str]]] = [(name, []) for name in made_from.get(None, ())]
    while open_ends:
        name, lines = open_ends.pop()
        held = DraftText.objects.values_list("packed", flat=True).get(pk=name)
        try:
            text = unpacked(bytes(held))
            made = changed(lines, json.loads(text)) if bases[name] else text.split("\n")
            if name_of("\n".join(made)) != name:
                continue
        except (zlib.error, ValueError, TypeError, RecursionError):
            continue
        sound.add(name)
        open_ends += [(each, made) for each in made_from.get(name, ())]
    return ({*bases} | _named_by_changes()) - sound


def _named_by_changes() -> set[str]:
    rows = Change.objects.filter(kind="drafts").values_list("before__wif__kept", "after__wif__kept")
    return {name for row in rows for name in row if name is not None}


def versions_with(names: set[str]) -> list[tuple[str, int]]:
    """The versions of drafts whose text is one of these: the draft's key, and the number from 1."""
    found: list[tuple[str, int]] = []
    counted: Counter[str] = Counter()
    rows = Change.objects.filter(kind="drafts").order_by("pk").values_list("key", "after__wif__kept")
    for key, name in rows:
        counted[key] += 1
        if name in names:
            found.append((key, counted[key]))
    return found


def name_of(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _name_in(fields: Mapping[str, Any] | None) -> str | None:
    held = (fields or {}).get("wif")
    return held.get("kept") if isinstance(held, dict) else None


def _kept(text: str, was: str | None, texts: Any) -> str:
    name = name_of(text)
    if texts.objects.filter(pk=name).exists():
        return name
    alone = packed(text)
    base = None if was is None else texts.objects.filter(pk=name_of(was)).first()
    if was is not None and base is not None and base.steps < MOST_STEPS:
        step = packed(json.dumps(difference(was.split("\n"), text.split("\n"))))
        if 2 * len(step) < len(alone):
            texts.objects.create(pk=name, base_id=base.pk, steps=base.steps + 1, packed=step)
            return name
    texts.objects.create(pk=name, base_id=None, steps=0, packed=alone)
    return name


def packed(text: str) -> bytes:
    return zlib.compress(text.encode())


def unpacked(data: bytes) -> str:
    """:raises ValueError, zlib.error: it is no packed text, or far too long"""
    reader = zlib.decompressobj()
    made = reader.decompress(data, MOST_BYTES)
    if reader.unconsumed_tail or not reader.eof:
        raise ValueError("too long")
    return made.decode()


def difference(old: list[str], new: list[str]) -> Hunks:
    """Lines ``first`` to ``stop`` (from 0, without ``stop``) of the old become these of the new."""
    if len(old) == len(new):
        lines = enumerate(zip(old, new, strict=True))
        return [(at, at + 1, [other]) for at, (one, other) in lines if one != other]
    same = min(len(old), len(new))
    begin = next((at for at in range(same) if old[at] != new[at]), same)
    end = next((at for at in range(same - begin) if old[-at - 1] != new[-at - 1]), same - begin)
    return [(begin, len(old) - end, new[begin : len(new) - end])]


def changed(old: list[str], hunks: Hunks) -> list[str]:
    """The new lines from the old and their difference."""
    made: list[str] = []
    at = 0
    for first, stop, lines in hunks:
        made += old[at:first]
        made += lines
        at = stop
    return made + old[at:]

"""Operations and drafts as JSON for the browser, everything counted from 1."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from loomready.colors import hex_color, parse_color
from loomready.draft.draft import Bools, Draft
from loomready.draft.edit.marks import Floats, Marks
from loomready.draft.edit.operations import (
    Color,
    Copy,
    Delete,
    Insert,
    Lifting,
    Mirror,
    Move,
    Operation,
    Palette,
    Repeat,
    Reverse,
    SetCount,
    Shed,
    Slide,
    Thread,
    Tie,
    Tread,
    Treadling,
)
from loomready.phrases import listed, phrase
from loomready.problems import BadInput, shorten

MAX_OPERATIONS = 500
_MOST_CELLS = 20_000


def operations(words: Any) -> tuple[Operation, ...]:
    """Operations from a list of JSON objects, each with its name under ``do``.

    :raises BadInput: no such list; ``where`` says which of them is wrong
    """
    if not isinstance(words, list) or not 1 <= len(words) <= MAX_OPERATIONS:
        raise BadInput(phrase("expected a list of 1 to {most} operations", most=MAX_OPERATIONS))
    return tuple(operation(each, f"[{number}]") for number, each in enumerate(words, 1))


def operation(words: Any, where: str = "") -> Operation:
    """One operation.

    :raises BadInput: it is not valid
    """
    try:
        if not isinstance(words, Mapping):
            raise BadInput(
                phrase("{written} is not an operation; expected an object", written=shorten(words))
            )
        name = words.get("do")
        read = _READ.get(name) if isinstance(name, str) else None
        if read is None:
            raise BadInput(
                phrase(
                    'there is no operation "{name}"; expected one of {names}',
                    name=shorten(name),
                    names=listed(_READ),
                )
            )
        return read(_Reader(words))
    except BadInput as error:
        raise error.at(where) from None


class _Reader:
    """Values of one operation by name, each of its kind."""

    def __init__(self, words: Mapping[str, Any]) -> None:
        self.words = words

    def whole(self, name: str) -> int:
        return _whole(self.words.get(name), name)

    def wholes(self, name: str) -> tuple[int, ...]:
        return _wholes(self.words.get(name), name)

    def rows(self, name: str) -> tuple[tuple[int, ...], ...]:
        return tuple(_wholes(row, name, least=0) for row in _listed(self.words.get(name), name))

    def cells(self, name: str) -> tuple[tuple[int, int], ...]:
        found = self.rows(name)
        if any(len(cell) != 2 for cell in found):
            raise BadInput(phrase('"{name}" is not a list of cells; expected pairs of numbers', name=name))
        return tuple((one, other) for one, other in found)

    def one_of(self, name: str, *choices: str, default: str | None = None) -> Any:
        found = self.words.get(name, default)
        if found not in choices:
            raise BadInput(
                phrase(
                    '"{name}" is {written}; expected one of {choices}',
                    name=name,
                    written=shorten(repr(found)),
                    choices=listed(choices),
                )
            )
        return found

    def truth(self, name: str) -> bool:
        found = self.words.get(name)
        if not isinstance(found, bool):
            raise BadInput(
                phrase(
                    '"{name}" is {written}; expected true or false', name=name, written=shorten(repr(found))
                )
            )
        return found

    def side(self) -> Any:
        return self.one_of("side", "warp", "weft")


def _whole(value: Any, name: str) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > 1_000_000:
        raise BadInput(
            phrase('"{name}" is {written}; expected a whole number', name=name, written=shorten(repr(value)))
        )
    return value


def _listed(value: Any, name: str, least: int = 1) -> list[Any]:
    if not isinstance(value, list) or not least <= len(value) <= _MOST_CELLS:
        raise BadInput(
            phrase(
                '"{name}" is not a list of {least} to {most} values',
                name=name,
                least=least,
                most=_MOST_CELLS,
            )
        )
    return value


def _wholes(value: Any, name: str, least: int = 1) -> tuple[int, ...]:
    return tuple(_whole(each, name) for each in _listed(value, name, least))


_READ: dict[str, Callable[[_Reader], Operation]] = {
    "thread": lambda read: Thread(read.whole("first"), read.wholes("shafts")),
    "tie": lambda read: Tie(read.cells("cells"), read.truth("on")),
    "tread": lambda read: Tread(read.cells("cells"), read.truth("on")),
    "treadling": lambda read: Treadling(read.whole("first"), read.rows("rows")),
    "color": lambda read: Color(read.side(), read.whole("first"), read.wholes("colors")),
    "palette": lambda read: Palette(read.whole("number"), parse_color(read.words.get("value"))),
    "insert": lambda read: Insert(read.side(), read.whole("before"), read.whole("count")),
    "delete": lambda read: Delete(read.side(), read.whole("first"), read.whole("last")),
    "move": lambda read: Move(read.side(), read.whole("first"), read.whole("last"), read.whole("before")),
    "copy": lambda read: Copy(read.side(), read.whole("first"), read.whole("last"), read.whole("before")),
    "mirror": lambda read: Mirror(
        read.side(),
        read.whole("first"),
        read.whole("last"),
        read.one_of("turn", "once", "twice", default="once"),
    ),
    "reverse": lambda read: Reverse(read.side(), read.whole("first"), read.whole("last")),
    "repeat": lambda read: Repeat(read.side(), read.whole("first"), read.whole("last"), read.whole("times")),
    "slide": lambda read: Slide(read.side(), read.whole("first"), read.whole("last"), read.whole("by")),
    "count": lambda read: SetCount(read.one_of("what", "shafts", "treadles"), read.whole("to")),
    "lifting": lambda read: Lifting(read.one_of("by", "lift plan", "treadles")),
    "shed": lambda read: Shed(read.truth("rising"), read.one_of("keep", "cloth", "ties")),
}


def as_json(draft: Draft) -> dict[str, Any]:
    """The draft as the page's script holds it: shafts, treadles and colors counted from 1, 0 for no heddle.

    ``side`` holds for each pick the treadles that are pressed, or the shafts that a lift plan lifts.
    """
    side = draft.lifts if draft.treadling is None else draft.treadling
    return {
        "title": draft.title,
        "rising": draft.rising,
        "shafts": draft.shafts,
        "treadles": draft.treadles,
        "threading": (draft.threading.astype(int) + 1).tolist(),
        "tieup": None if draft.tieup is None else _listing(draft.tieup.T),
        "side": _listing(side),
        "palette": [hex_color(color) for color in draft.palette],
        "warp_colors": (draft.warp_colors.astype(int) + 1).tolist(),
        "weft_colors": (draft.weft_colors.astype(int) + 1).tolist(),
    }


def _listing(table: Bools) -> list[list[int]]:
    """The numbers of what is true in each row."""
    rows, columns = np.nonzero(table)
    counts = np.bincount(rows, minlength=len(table))
    return [part.tolist() for part in np.split(columns + 1, counts.cumsum()[:-1])] if len(table) else []


def marks_as_json(found: Marks) -> dict[str, Any]:
    """Where the page marks something: threads from 1, runs as [first, length], mirrors in half threads."""
    return {
        "warp": [_runs(each) for each in found.warp],
        "weft": [_runs(each) for each in found.weft],
        "loose_ends": _from_1(found.loose_ends),
        "loose_picks": _from_1(found.loose_picks),
        "not_threaded": _from_1(found.not_threaded),
        "no_treadle": _from_1(found.no_treadle),
        "parts": [{"ends": _from_1(part.ends), "picks": _from_1(part.picks)} for part in found.parts],
        "mirror_ends": list(found.mirror_ends),
        "mirror_picks": list(found.mirror_picks),
        "edges": [{"end": edge.end + 1, "picks": _from_1(edge.missed)} for edge in found.edges.edges],
    }


def _from_1(threads: tuple[int, ...]) -> list[int]:
    return [thread + 1 for thread in threads]


def _runs(found: Floats) -> dict[str, Any]:
    runs = [[first + 1, length] for first, length in found.runs]
    return {"threads": _from_1(found.threads), "face": found.face, "runs": runs}


def fingerprint(draft: Draft) -> int:
    """A checksum of what the page shows of a draft: equal for two drafts only if they look alike.

    CRC-32 over threading and colors (two bytes per thread, the low one first), whether the shed rises,
    tie-up and treadling or lift plan (a byte per cell, row by row) and the palette.
    """
    side = draft.lifts if draft.treadling is None else draft.treadling
    tieup = b"" if draft.tieup is None else np.ascontiguousarray(draft.tieup).tobytes()
    parts = (
        (draft.threading + 1).astype("<u2").tobytes(),
        draft.warp_colors.astype("<u2").tobytes(),
        draft.weft_colors.astype("<u2").tobytes(),
        bytes([draft.rising]),
        tieup,
        np.ascontiguousarray(side).tobytes(),
        bytes(value for color in draft.palette for value in color),
    )
    found = 0
    for part in parts:
        found = zlib.crc32(part, found)
    return found

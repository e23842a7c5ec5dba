"""The record of a test weave that earlier versions kept: picks, cells, slips found by questions, and ticks.

Today they are marks (``loomside/slips_marks.py``); homes and backups may still hold this record.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from loomready.app.state.snapshot import Entry, Snapshot
from loomready.phrases import listed, phrase
from loomready.problems import BadInput
from loomready.slips.possible import KINDS
from loomready.slips.result import Slip

Fields = dict[str, Any]
KIND = "tested"
WINDOW = 8  # ends side by side
MOST_PICKS, MOST_SHAFTS, MOST_ENDS, MOST_SLIPS = 48, 64, 20_000, 200
_ROW = re.compile(f"[01]{{1,{WINDOW}}}")


@dataclass(frozen=True, slots=True)
class Window:
    """Cells of ``WINDOW`` ends or fewer from ``first`` (from 1): a row of 0 and 1 for each pick."""

    first: int
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WeaveSeen:
    """``done``: the actions of mending that are ticked, as they are worded; ``way``: the mending chosen."""

    picks: tuple[tuple[int, ...], ...] = ()
    windows: tuple[Window, ...] = ()
    kept: tuple[Slip, ...] = ()
    done: tuple[str, ...] = ()
    way: int = 0

    def fields(self) -> Fields:
        return {
            "picks": [list(pick) for pick in self.picks],
            "cells": [[each.first, list(each.rows)] for each in self.windows],
            "kept": [[each.kind, each.end, each.planned, each.found, each.odds] for each in self.kept],
            "done": list(self.done),
            "way": self.way,
        }


def of(snapshot: Snapshot, key: str) -> tuple[WeaveSeen, Entry | None]:
    entry = snapshot.entry(KIND, key)
    return (read(entry.fields) if entry else WeaveSeen()), entry


def read(fields: Mapping[str, Any]) -> WeaveSeen:
    """:raises BadInput: it is no such record; KeyError, TypeError, ValueError likewise"""
    picks = tuple(
        tuple(_number(shaft, MOST_SHAFTS) for shaft in pick) for pick in _list(fields["picks"], MOST_PICKS)
    )
    windows = tuple(_window(each, len(picks)) for each in _list(fields["cells"], MOST_ENDS))
    kept = tuple(_slip(*each) for each in _list(fields["kept"], MOST_SLIPS))
    done = tuple(_text(each) for each in _list(fields["done"], 4 * MOST_SLIPS))
    return WeaveSeen(picks, windows, kept, done, _number(fields["way"], 9, 0))


def checked(key: str, fields: Mapping[str, Any]) -> Fields:
    """A record of a backup.

    :raises BadInput: it is none
    """
    names = WeaveSeen().fields().keys()
    if set(fields) != set(names):
        raise BadInput(phrase("is no test weave; expected {names}", names=listed(names)))
    return read(fields).fields()


def _window(row: Any, picks: int) -> Window:
    first, rows = row
    texts = tuple(_text(each) for each in _list(rows, MOST_PICKS))
    if len(texts) != picks or any(_ROW.fullmatch(each) is None for each in texts):
        raise BadInput(phrase("holds cells that are none; expected rows of 0 and 1, one for each pick"))
    return Window(_number(first, MOST_ENDS), texts)


def _slip(kind: Any, end: Any, planned: Any, found: Any, odds: Any) -> Slip:
    if kind not in KINDS or isinstance(odds, bool) or not isinstance(odds, int | float):
        raise BadInput(phrase("holds a slip that is none; expected {names}", names=listed(KINDS)))
    planned, found = (None if each is None else _number(each, MOST_SHAFTS, 0) for each in (planned, found))
    return Slip(kind, _number(end, MOST_ENDS), None, planned, found, float(odds))


def _number(value: Any, most: int, least: int = 1) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise BadInput(
            phrase(
                "holds a number out of range; expected one from {least} to {most:,}", least=least, most=most
            )
        )
    return value


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.isprintable() or len(value) > 400:
        raise BadInput(phrase("holds what is no line of text"))
    return value


def _list(value: Any, most: int) -> list[Any]:
    if not isinstance(value, list) or len(value) > most:
        raise BadInput(phrase("holds no list of at most {most:,}", most=most))
    return value

"""Cells of a test weave as a CSV file: a row for each pick, its lifted shafts and then a cell for each end.

1 3,1,0,1,0,,0        shafts 1 and 3 lifted; 1: warp on top, 0: weft on top, nothing: unseen

A line that begins with # is a note.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from loomready.draft.draft import Bools
from loomready.files import named, read_bounded
from loomready.phrases import Phrase, phrase
from loomready.problems import BadInput, shorten
from loomready.slips.infer import UNSEEN, Cells

MAX_BYTES = 5_000_000
_CONTRADICTS = 4  # cells that all say the opposite are no misread ones (ours)
MAX_PICKS = 400
MOST_APART = 6  # ends more or fewer than planned: beyond that it is another web
_CELLS = {"": UNSEEN, "0": 0, "1": 1}
_NOTE = re.compile(r"^#[^\r\n]*", re.M)
_SHAFTS = re.compile(r"[0-9]{1,4}(?:[ ,]+[0-9]{1,4})*")


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """Picks of a test weave: lifts bool[P, S], cells int8[P, C] (1: warp on top, 0: weft, -1: unseen)."""

    lifts: Bools
    cells: Cells


def read(path: Path, shafts: int, ends: int) -> Seen:
    """Reads a file of at most 5 MB.

    :param shafts: shafts that can be lifted
    :param ends: ends that are planned; there may be a few more or fewer cells, for extra and missing ends
    :raises BadInput: with the file as it was named
    """
    try:
        return parse(_bytes(path), shafts, ends)
    except BadInput as error:
        raise error.in_file(named(path)) from None


def _bytes(path: Path) -> bytes:
    return read_bounded(
        path, MAX_BYTES, expected=phrase("the cells of a test weave, a CSV file"), too_large=_too_large
    )


def _too_large(size: int) -> Phrase:
    return phrase("has {size:,.0f} MB; the cells of a test weave have at most 5 MB", size=size / 1e6)


def parse(data: bytes, shafts: int, ends: int) -> Seen:
    """The cells of a CSV text, fields separated by commas, semicolons or tabs.

    :raises BadInput: ``where`` is the line
    """
    text = _NOTE.sub("", _text(data))
    first = next((line for line in text.splitlines() if line.strip(" ,;\t")), "")
    lifts: list[list[int]] = []
    cells: list[list[int]] = []
    numbers: list[int] = []
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=first.count))
    try:
        for row in rows:
            line = f"line {rows.line_num}"
            if not any(field.strip() for field in row):
                continue
            if len(lifts) == MAX_PICKS:
                raise BadInput(
                    phrase("more than {most} picks; expected the picks of a test weave", most=MAX_PICKS),
                    where=line,
                )
            lifts.append(_lifted(row[0].strip(), shafts, line))
            numbers.append(rows.line_num)
            cells.append([_cell(field.strip(), end, line) for end, field in enumerate(row[1:], start=1)])
            if len(cells[-1]) != len(cells[0]):
                raise BadInput(
                    phrase(
                        "cells for {here} ends, and for {before} in the rows before; expected the same "
                        "number in each row",
                        here=len(cells[-1]),
                        before=len(cells[0]),
                    ),
                    where=line,
                )
    except csv.Error as error:
        raise BadInput(
            phrase("is not CSV: {reason}", reason=shorten(error, 80)), where=("line", rows.line_num)
        ) from None
    if not lifts:
        raise BadInput(
            phrase("is empty; expected a row for each pick: lifted shafts, then a cell for each end")
        )
    made = np.array(cells, dtype=np.int8)
    _not_contradictory(lifts, made, numbers)
    return Seen(_as_lifts(lifts, shafts), _fitting(made, ends))


def _not_contradictory(lifts: list[list[int]], cells: Cells, lines: list[int]) -> None:
    """:raises BadInput: two rows with the same lifts, and the opposite in every cell that both know"""
    rows: dict[tuple[int, ...], int] = {}
    for row, lifted in enumerate(lifts):
        before = rows.setdefault(tuple(sorted(set(lifted))), row)
        known = (cells[row] != UNSEEN) & (cells[before] != UNSEEN)
        if known.sum() >= _CONTRADICTS and (cells[row] != cells[before])[known].all():
            raise BadInput(
                phrase(
                    "lifts the same shafts as line {before}, but every cell says the opposite; expected one "
                    "of the two rows, or the same cells",
                    before=lines[before],
                ),
                where=("line", lines[row]),
            )


def read_lifts(path: Path, shafts: int) -> Bools:
    """bool[P, S] of a file like that of :func:`read`; only the first field of each row counts.

    :raises BadInput: with the file as it was named
    """
    try:
        lifts: list[list[int]] = []
        for number, row in enumerate(_NOTE.sub("", _text(_bytes(path))).splitlines(), start=1):
            if row.strip(" ,;\t"):
                if len(lifts) == MAX_PICKS:
                    raise BadInput(
                        phrase("more than {most} picks; expected the picks of a test weave", most=MAX_PICKS)
                    )
                lifts.append(_lifted(re.split("[,;\t]", row)[0].strip(), shafts, f"line {number}"))
        if not lifts:
            raise BadInput(phrase("is empty; expected a row for each pick with its lifted shafts"))
        return _as_lifts(lifts, shafts)
    except BadInput as error:
        raise error.in_file(named(path)) from None


def _text(data: bytes) -> str:
    if len(data) > MAX_BYTES:
        raise BadInput(phrase("is too large; the cells of a test weave have at most 5 MB"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(phrase("is not UTF-8 text; expected a CSV file")) from None
    if "\0" in text:
        raise BadInput(phrase("is binary; expected a CSV file, which is text"))
    return text


def _lifted(text: str, shafts: int, line: str) -> list[int]:
    if not _SHAFTS.fullmatch(text):
        said = f'"{shorten(text)}" is not a list of shafts' if text else "no lifted shafts"
        raise BadInput(phrase('{wrong}; expected them first, like "1 3"', wrong=said), where=line)
    lifted = [int(part) for part in re.split("[ ,]+", text)]
    for shaft in lifted:
        if not 1 <= shaft <= shafts:
            raise BadInput(
                phrase("lifts shaft {shaft}; expected shafts from 1 to {shafts}", shaft=shaft, shafts=shafts),
                where=line,
            )
    return lifted


def _cell(text: str, end: int, line: str) -> int:
    found = _CELLS.get(text)
    if found is None:
        both = "both 1 and 0" if "1" in text and "0" in text else f'"{shorten(text, 20)}"'
        raise BadInput(
            phrase(
                "end {end} has {cell}; expected 1 (warp on top), 0 (weft on top) or nothing (unseen)",
                end=end,
                cell=both,
            ),
            where=line,
        )
    return found


def _as_lifts(lifted: list[list[int]], shafts: int) -> Bools:
    lifts = np.zeros((len(lifted), shafts), dtype=np.bool_)
    for pick, up in enumerate(lifted):
        lifts[pick, [shaft - 1 for shaft in up]] = True
    return lifts


def _fitting(cells: Cells, ends: int) -> Cells:
    """The cells, if for about as many ends as planned; blank columns past the last are dropped."""
    while cells.shape[1] > ends and (cells[:, -1] == UNSEEN).all():
        cells = cells[:, :-1]
    most = min(MOST_APART, max(1, ends // 10))
    if abs(cells.shape[1] - ends) > most:
        raise BadInput(
            phrase(
                "has cells for {here:,} ends, the threading has {ends:,}; expected as many, or up to {most} "
                "more or fewer for extra and missing ends",
                here=cells.shape[1],
                ends=ends,
                most=most,
            )
        )
    if (cells == UNSEEN).all():
        raise BadInput(
            phrase("every cell is blank; expected 1 (warp on top) or 0 (weft on top) where you looked")
        )
    return cells

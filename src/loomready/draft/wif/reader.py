"""Reading WIF 1.1 (Weaving Information File, 20 April 1997), the open interchange format of drafts.

Written against a description from memory, and for files as other programs write them: what a file leaves out
gets the format's default; a contradiction that changes the cloth is an error with its line.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from operator import itemgetter
from pathlib import Path

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools, Draft, Ints, lifts_of
from loomready.draft.unread_sections import Section
from loomready.draft.wif.colors import colors
from loomready.draft.wif.text import (
    MAX_BYTES,
    Entry,
    Numbers,
    WifText,
    clean,
    folded,
    keyed,
    numbered,
    split,
    truth,
    whole,
    wholes,
)
from loomready.draft.wif.threads import Threads, lengths, threads
from loomready.files import named, read_bounded
from loomready.model.guild import MAX_ENDS, MAX_PICKS, MAX_SHAFTS, MAX_TREADLES
from loomready.phrases import Phrase, listed_with_and, phrase, word
from loomready.problems import BadInput, Problem, shorten

OWN_KEYS = {
    "text": {"title"},
    "weaving": {"shafts", "treadles", "rising shed"},
    "warp": {"threads", "color", "units", "spacing", "thickness"},
    "weft": {"threads", "color", "units", "spacing", "thickness"},
}
"""Sections whose other keys (an author, a symbol) are kept for a rewrite."""

OWN_SECTIONS = {
    *OWN_KEYS,
    "wif",
    "contents",
    "notes",
    "color palette",
    "color table",
    "threading",
    "tieup",
} | {
    "treadling",
    "liftplan",
    *(f"{side} {what}" for side in ("warp", "weft") for what in ("colors", "spacing", "thickness")),
}
"""Sections that loomready reads. All others are kept word for word."""


@dataclass(frozen=True, slots=True)
class WifFile:
    """What a file holds, and warnings about what is odd but not wrong."""

    draft: Draft
    warnings: tuple[Problem, ...]


def read(path: Path) -> WifFile:
    """Reads a file of at most 8 MB.

    :raises BadInput: with the file as it was named
    """
    try:
        return parse(read_bounded(path, MAX_BYTES, expected=phrase("a WIF file"), too_large=_too_large))
    except BadInput as error:
        raise error.in_file(named(path)) from None


def _too_large(size: int) -> Phrase:
    return phrase("has {megabytes:,.0f} MB; a WIF file has at most 8 MB", megabytes=size / 1e6)


def parse(data: bytes) -> WifFile:
    """A WIF file's draft.

    Time and memory are bounded by the 8 MB of the input, never by what the file claims.

    :raises BadInput: the bytes are no draft; ``where`` is line, section and key to blame, or the section
    """
    text = split(data)
    try:
        return _parsed(text)
    except BadInput as error:
        raise text.placed(error) from None


def _parsed(text: WifText) -> WifFile:
    warnings: list[Problem] = []
    _form(text, warnings)
    weaving = keyed(text, "weaving")
    if "threading" not in text.blocks:
        raise BadInput(phrase("the section is missing; a draft needs its threading"), where="[THREADING]")
    warp = threads(text, "warp", "end", ("threading",), MAX_ENDS)
    weft = threads(text, "weft", "pick", ("treadling", "liftplan"), MAX_PICKS)
    threading = _threading(warp)
    shed = _shed(text, weft, weaving, int(threading.max(initial=-1)) + 1, warnings)
    yarn = colors(text, warp, weft, warnings)
    draft = Draft(
        threading=threading,
        lifts=shed.lifts,
        tieup=shed.tieup,
        treadling=shed.treadling,
        rising=shed.rising,
        palette=yarn.palette,
        warp_colors=yarn.warp,
        weft_colors=yarn.weft,
        title=keyed(text, "text", strict=False).get("title", ("", 0))[0] or None,
        notes=_notes(text),
        warp_spacing_mm=lengths(warp, "spacing", warnings),
        weft_spacing_mm=lengths(weft, "spacing", warnings),
        warp_thickness_mm=lengths(warp, "thickness", warnings),
        weft_thickness_mm=lengths(weft, "thickness", warnings),
        extra=_extra(text),
    )
    return WifFile(draft, tuple(dict.fromkeys(warnings)))


def _form(text: WifText, warnings: list[Problem]) -> None:
    """Version and table of contents: differences are warnings, never errors."""
    version = keyed(text, "wif", strict=False).get("version", ("", 0))[0].partition(";")[0].strip()
    if version not in ("1.1", "1.0"):
        says = (
            phrase('[WIF] the version is "{version}"; read as WIF 1.1', version=shorten(version))
            if version
            else phrase("[WIF] there is no version; read as WIF 1.1")
        )
        warnings.append(Problem("wif-version", "warn", says))
    if any(line.strip() and not line.lstrip().startswith((";", "#")) for line in text.lines[: text.preamble]):
        warnings.append(Problem("wif-preamble", "warn", phrase("text before the first section is ignored")))
    listed = keyed(text, "contents", strict=False)
    absent = [name for name, (value, _) in listed.items() if truth(value) and name not in text.blocks]
    denied = [name for name, (value, _) in listed.items() if truth(value) is False and name in text.blocks]
    if absent:
        says = phrase(
            "[CONTENTS] lists [{sections}], which is missing; the sections in the file are used",
            sections=_some_of(absent),
        )
        warnings.append(Problem("wif-contents", "warn", says))
    if denied:
        says = phrase(
            "[CONTENTS] says that there is no [{sections}], but there is one; the sections in the file "
            "are used",
            sections=_some_of(denied),
        )
        warnings.append(Problem("wif-contents", "warn", says))


def _some_of(names: list[str]) -> str:
    return shorten(", ".join(name.upper() for name in names[:3])) + (", ..." if names[3:] else "")


def _threading(warp: Threads) -> Ints:
    """Shaft of each end from 0, int16[E]; -1: not threaded."""
    found = np.full(warp.count, -1, dtype=np.int16)
    known: dict[str, int] = {}
    for end, (value, line) in warp.order["threading"].items():
        shaft = known.get(value)
        if shaft is None:
            shafts = sorted({*wholes(value, line, MAX_SHAFTS, word("shaft"))} - {0})
            if len(shafts) > 1:
                raise BadInput(
                    phrase(
                        "end {end} is on shafts {shafts}; an end goes in one heddle",
                        end=end,
                        shafts=listed_with_and(map(str, shafts)),
                    ),
                    where=("line", line),
                )
            shaft = known[value] = shafts[0] - 1 if shafts else -1
        found[end - 1] = shaft
    return found


@dataclass(frozen=True, slots=True)
class _Shed:
    lifts: Bools
    tieup: Bools | None
    treadling: Bools | None
    rising: bool


def _shed(
    text: WifText, weft: Threads, weaving: dict[str, Entry], threaded: int, warnings: list[Problem]
) -> _Shed:
    """The lifts of each pick, and the treadles that make them where these are used."""
    rising = _rising(weaving.get("rising shed"))
    planned = _bits(weft.order["liftplan"], weft.count, MAX_SHAFTS, "shaft")
    pressed = _bits(weft.order["treadling"], weft.count, MAX_TREADLES, "treadle")
    most = Numbers(
        "treadle",
        MAX_TREADLES,
        phrase("a tie-up has at most {most} treadles", most=MAX_TREADLES),
    )
    tied = numbered(text, "tieup", most)
    ties = _bits(tied, MAX_TREADLES, MAX_SHAFTS, "shaft")
    declared = whole(weaving.get("shafts"), MAX_SHAFTS, phrase("count of shafts")) or 0
    shafts = max(declared, threaded, _used(planned), _used(ties))
    if not shafts:
        raise BadInput(phrase("there are no shafts; expected at least one"), where="[WEAVING] Shafts")
    declared = whole(weaving.get("treadles"), MAX_TREADLES, phrase("count of treadles")) or 0
    treadles = max(declared, max(tied, default=0), _used(pressed))
    lifts = _table(planned, shafts)
    if not {"treadling", "liftplan"} & text.blocks.keys():
        raise BadInput(
            phrase("the section is missing, and so is [LIFTPLAN]; expected one of them"), where="[TREADLING]"
        )
    rules = bool(weft.order["liftplan"]) or "treadling" not in text.blocks
    if rules and not weft.order["treadling"]:
        return _Shed(lifts, None, None, True)
    if "tieup" not in text.blocks:
        if not rules:
            raise BadInput(phrase("the section is missing; a treadling needs its tie-up"), where="[TIEUP]")
        warnings.append(
            Problem(
                "wif-lift-plan",
                "warn",
                phrase("there is a treadling without a tie-up; the lift plan is used"),
            )
        )
        return _Shed(lifts, None, None, True)
    tieup, treadling = _table(ties[:treadles], shafts).T.copy(), _table(pressed, treadles)
    by_foot = lifts_of(tieup, treadling, rising)
    if not rules or np.array_equal(by_foot, lifts):
        return _Shed(by_foot, tieup, treadling, rising)
    picks = np.flatnonzero((by_foot != lifts).any(axis=1)) + 1
    warnings.append(
        Problem(
            "wif-lift-plan",
            "warn",
            phrase(
                "lift plan and treadling differ in {picks} picks, first in pick {first}; the lift plan is "
                "used, the treadling is not",
                picks=len(picks),
                first=int(picks[0]),
            ),
        )
    )
    return _Shed(lifts, None, None, True)


def _rising(entry: Entry | None) -> bool:
    if entry is None or not entry[0]:
        return True
    rising = truth(entry[0])
    if rising is None:
        raise BadInput(
            phrase('"{text}" says neither yes nor no; expected true or false', text=shorten(entry[0])),
            where=("line", entry[1]),
        )
    return rising


def _bits(entries: dict[int, Entry], rows: int, most: int, noun: str) -> npt.NDArray[np.uint64]:
    """Lists of numbers 1 to ``most`` (at most 64) as bits, uint64[rows]: number n is bit n - 1."""
    found = np.zeros(rows, dtype=np.uint64)
    known: dict[str, int] = {}
    for row, (value, line) in entries.items():
        bits = known.get(value)
        if bits is None:
            bits = 0
            for number in wholes(value, line, most, word(noun)):
                bits |= 1 << number
            bits = known[value] = bits >> 1  # number 0 is none
        found[row - 1] = bits
    return found


def _used(bits: npt.NDArray[np.uint64]) -> int:
    return int(np.bitwise_or.reduce(bits)).bit_length()


def _table(bits: npt.NDArray[np.uint64], columns: int) -> Bools:
    """The bits as bool[rows, columns]."""
    spread = bits[:, None] >> np.arange(columns, dtype=np.uint64)
    return (spread & np.uint64(1)).astype(np.bool_)


_NOTE = re.compile(r"\s*([0-9]{1,9})\s*=(.*)", re.ASCII | re.DOTALL)


def _notes(text: WifText) -> str | None:
    """The notes by number, a line each; a line without a number follows the one it stands after."""
    found: list[tuple[int, str]] = []
    last = 0
    for _, line in text.rows("notes"):
        match = _NOTE.fullmatch(line)
        if match is not None:
            last = int(match[1])
            found.append((last, clean(match[2])))
        elif line.strip() and not line.lstrip().startswith(";"):
            found.append((last, clean(line)))
    return "\n".join(line for _, line in sorted(found, key=itemgetter(0))).strip("\n") or None


def _extra(text: WifText) -> tuple[Section, ...]:
    """What a rewrite keeps: other keys of our own sections first, then the foreign sections."""
    kept = []
    for section, own in OWN_KEYS.items():
        entries = keyed(text, section, strict=False)
        lines = [clean(text.lines[number - 1]) for key, (_, number) in entries.items() if key not in own]
        if lines:
            kept.append(Section(section.upper(), tuple(lines)))
    return (*kept, *(text.kept(name) for name in text.blocks if folded(name) not in OWN_SECTIONS))

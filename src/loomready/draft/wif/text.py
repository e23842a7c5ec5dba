"""The outer form of a WIF file: bytes to lines, lines to sections and keys."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

from loomready.draft.unread_sections import Section
from loomready.phrases import Phrase, phrase, word
from loomready.problems import BadInput, shorten

MAX_BYTES = 8 * 1024 * 1024
MAX_LINES = 400_000  # the largest draft with every list by thread needs about 300 000
MAX_SECTIONS = 1_000
MAX_KEYS = 5_000  # lines of a section whose keys are names
MAX_LIST = 1_000  # characters in a list of shafts or treadles

_CONTROLS = dict.fromkeys((*range(32), *range(127, 160), 0x2028, 0x2029), " ")
_COMMENT = (";", "#")

Entry = tuple[str, int]
"""A value and the number of its line, from 1."""


@dataclass(frozen=True, slots=True)
class Block:
    """A section: its name as spelled, and where its lines lie (from 0, stop excluded); it may stand twice."""

    name: str
    spans: list[tuple[int, int]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class WifText:
    """All lines, and the sections by their folded name."""

    lines: list[str]
    blocks: dict[str, Block]
    preamble: int  # how many lines stand before the first section

    def rows(self, section: str) -> Iterator[tuple[int, str]]:
        """The lines of a section with their numbers, from 1."""
        block = self.blocks.get(section)
        for start, stop in block.spans if block else ():
            yield from enumerate(self.lines[start:stop], start + 1)

    def size(self, section: str) -> int:
        """How many lines a section has."""
        block = self.blocks.get(section)
        return sum(stop - start for start, stop in block.spans) if block else 0

    def placed(self, error: BadInput) -> BadInput:
        """An error that names its line, with section and key there: ``line 9: [WARP] Threads``."""
        at = -1
        match error.path:
            case ("line", int(line)):
                at = line - 1
        for block in self.blocks.values():
            if any(start <= at < stop for start, stop in block.spans):
                key, equals, _ = self.lines[at].partition("=")
                named = f" {shorten(clean(key), 20)}" if equals and clean(key) else ""
                error.path = (f"line {at + 1}: [{shorten(block.name.upper())}]{named}",)
        return error

    def kept(self, section: str) -> Section:
        """A section word for word."""
        block = self.blocks[section]
        return Section(
            block.name, tuple(line for start, stop in block.spans for line in self.lines[start:stop])
        )


def folded(name: str) -> str:
    """Names compare without regard to case and runs of blanks."""
    return " ".join(name.split()).casefold()


def clean(text: str) -> str:
    """A text from the file for one line: no control characters, no blanks around it."""
    return (text if text.isprintable() else text.translate(_CONTROLS)).strip()


def decode(data: bytes) -> str:
    """UTF-8, UTF-16 with a byte-order mark, and else Windows-1252."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def split(data: bytes) -> WifText:
    """A file's sections.

    :raises BadInput: no WIF file, or one beyond the limits
    """
    if len(data) > MAX_BYTES:
        raise BadInput(
            phrase("has {megabytes:,.0f} MB; a WIF file has at most 8 MB", megabytes=len(data) / 1e6)
        )
    text = decode(data).rstrip("\x1a")
    if "\0" in text:
        raise BadInput(phrase("not a WIF file: it holds binary data; expected text"))
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    count = text.count("\n") + 1
    if count > MAX_LINES:
        raise BadInput(
            phrase("has {lines} lines; a WIF file has at most {most}", lines=count, most=MAX_LINES)
        )
    lines = text.split("\n")
    if not lines[-1]:
        lines.pop()
    return WifText(lines, *_blocks(lines))


def _blocks(lines: list[str]) -> tuple[dict[str, Block], int]:
    heads = [at for at, line in enumerate(lines) if "[" in line and line.lstrip()[0] == "["]
    if len(heads) > MAX_SECTIONS:
        raise BadInput(
            phrase("more than {most} sections", most=MAX_SECTIONS),
            where=("line", heads[MAX_SECTIONS] + 1),
        )
    blocks: dict[str, Block] = {}
    nameless = None
    for at, stop in pairwise((*heads, len(lines))):
        name, closed, _ = lines[at].lstrip()[1:].partition("]")
        name = clean(name)
        if not closed or not name:
            nameless = nameless or at + 1
        else:
            blocks.setdefault(folded(name), Block(name)).spans.append((at + 1, stop))
    if "wif" not in blocks:
        raise BadInput(phrase("not a WIF file: no [WIF] section; expected one"))
    if nameless:
        raise BadInput(
            phrase('a section header has no name or no "]"; expected [NAME]'), where=("line", nameless)
        )
    return blocks, heads[0]


def keyed(text: WifText, section: str, *, strict: bool = True) -> dict[str, Entry]:
    """The keys of a section, folded, with their values.

    ``strict``: a line that is no ``key=value``, or a key that stands twice with two values, is an error;
    otherwise such lines are passed over and the first value counts.
    """
    found: dict[str, Entry] = {}
    size = text.size(section)
    if size > MAX_KEYS:
        raise BadInput(
            phrase("has {lines} lines; expected at most {most}", lines=size, most=MAX_KEYS),
            where=f"[{section.upper()}]",
        )
    for number, line in text.rows(section):
        name, equals, value = line.partition("=")
        name = name.strip()
        if name.startswith(_COMMENT) or not (name or equals):
            continue
        if not equals:
            if strict:
                raise _no_key(line, number)
            continue
        if strict:
            value = value.partition(";")[0]
        key, value = folded(name), clean(value)
        old = found.get(key)
        if old is None or not old[0]:
            found[key] = (value, number)
        elif strict and value and value != old[0]:
            raise _twice(number, old[1])
    return found


@dataclass(frozen=True, slots=True)
class Numbers:
    """What the keys of a section count: ``noun`` (end, pick, ...) from 1 to ``most``, and who says so.

    ``noun``: one of the words of :data:`loomready.phrases.WORDS`, which has its plural too.
    """

    noun: str
    most: int
    says: Phrase


_KEY = re.compile(r"0*([1-9][0-9]{0,8}|0)", re.ASCII)


def numbered(text: WifText, section: str, numbers: Numbers) -> dict[int, Entry]:
    """A section whose keys are numbers: what is not blank, by number, in file order.

    :raises BadInput: a key that is no number or beyond the limit, or that has two values
    """
    found: dict[int, Entry] = {}
    most = numbers.most
    for number, line in text.rows(section):
        name, equals, value = line.partition("=")
        name = name.strip()
        if name.startswith(_COMMENT) or not (name or equals):
            continue
        if not equals:
            raise _no_key(line, number)
        value = value.partition(";")[0].strip()
        match = _KEY.fullmatch(name)
        if match is None:
            raise BadInput(
                phrase(
                    '"{key}" numbers no {end_or_color}; expected 1 to {most}',
                    key=shorten(name),
                    end_or_color=word(numbers.noun),
                    most=most,
                ),
                where=("line", number),
            )
        if not value:
            continue
        key = int(match[1])
        if not 0 < key <= most:
            if key == 0 and value == "0":
                continue
            if key:
                what = phrase(
                    "{end_or_color} {number} is past the end; {limit}",
                    end_or_color=word(numbers.noun),
                    number=key,
                    limit=numbers.says,
                )
            else:
                what = phrase(
                    "{end_or_color} 0 does not exist; {ends_or_colors} count from 1",
                    end_or_color=word(numbers.noun),
                    ends_or_colors=word(f"{numbers.noun}s"),
                )
            raise BadInput(what, where=("line", number))
        old = found.get(key)
        if old is None:
            found[key] = (value, number)
        elif _parts(value) != _parts(old[0]):
            raise _twice(number, old[1])
    return found


def _parts(value: str) -> list[str]:
    return value.replace(",", " ").split()


def wholes(value: str, line: int, most: int, noun: Phrase) -> list[int]:
    """A list of whole numbers from 0 to ``most``, with commas or blanks between them."""
    if len(value) > MAX_LIST:
        raise BadInput(
            phrase(
                "a value of {characters} characters; expected a {shaft_or_color}",
                characters=len(value),
                shaft_or_color=noun,
            ),
            where=("line", line),
        )
    parts = _parts(value)
    for part in parts:
        if not (part.isascii() and part.isdigit() and len(part) <= 9):
            raise BadInput(
                phrase(
                    '"{text}" is not a valid {shaft_or_color}; expected a whole number from 0 to {most}',
                    text=shorten(part),
                    shaft_or_color=noun,
                    most=most,
                ),
                where=("line", line),
            )
    found = list(map(int, parts))
    if found and max(found) > most:
        raise BadInput(
            phrase(
                "{shaft_or_color} {number}; expected at most {most}",
                shaft_or_color=noun,
                number=max(found),
                most=most,
            ),
            where=("line", line),
        )
    return found


def whole(entry: Entry | None, most: int, noun: Phrase) -> int | None:
    """One whole number from 0 to ``most``; None where it is missing or blank."""
    if entry is None or not entry[0]:
        return None
    found = wholes(*entry, most, noun)
    if len(found) != 1:
        raise BadInput(
            phrase(
                '"{text}" is not a valid {shaft_or_color}; expected one whole number',
                text=shorten(entry[0]),
                shaft_or_color=noun,
            ),
            where=("line", entry[1]),
        )
    return found[0]


_TRUTHS = {"true": True, "yes": True, "on": True, "1": True, "t": True, "y": True, "-1": True}
_TRUTHS |= {"false": False, "no": False, "off": False, "0": False, "f": False, "n": False}


def truth(value: str) -> bool | None:
    """True, false, or None for a text that is neither."""
    return _TRUTHS.get(value.partition(";")[0].strip().casefold())


def _no_key(line: str, number: int) -> BadInput:
    return BadInput(
        phrase('"{line}" has no "="; expected key=value', line=shorten(line.strip())), where=("line", number)
    )


def _twice(number: int, first: int) -> BadInput:
    return BadInput(
        phrase("has another value in line {line}; expected one value", line=first), where=("line", number)
    )

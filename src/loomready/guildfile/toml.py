"""TOML text to a plain tree and back, safe on any bytes at all.

The standard library's reader is right but not hardened: dotted keys cost it quadratic time, deep nesting
its stack, many tables much memory. A look over the text before it is read refuses what no guild file needs.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import tomli_w

from loomready.files import named, read_bounded
from loomready.phrases import Phrase, phrase
from loomready.problems import BadInput, shorten

MAX_BYTES = 1_000_000
MAX_DOTS = 3
MAX_WORD = 300
MAX_TABLES = 12_000
MAX_VALUES = 30_000

Tree = dict[str, Any]

# Strings and comments, left to right: what is left over is keys, brackets, numbers and dates. Each form
# also ends at the end of the text, so that nothing is ever looked at twice.
_NOT_CODE = re.compile(
    r'"""(?:[^"\\]++|\\.|"(?!""))*+(?:"{3,5}|\Z|\\\Z)'
    r"|'''(?:[^']++|'(?!''))*+(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]++|\\[^\n])*+(?:"|(?=\n)|\Z|\\)'
    r"|'[^'\n]*+(?:'|(?=\n)|\Z)"
    r"|#[^\n]*+",
    re.DOTALL,
)
_WORD = re.compile(r"[^=\[\]{},\n]++|\n")
_PLACE = re.compile(r" \(at (?:line ([0-9]+), column [0-9]+|end of document)\)$")
_PART = r"""(?:[\w-]+|"[^"\n]*"|'[^'\n]*')"""
_KEY_AT_LINE_START = re.compile(rf"\s*(?:({_PART}(?:\s*\.\s*{_PART})*)\s*=|\[\[?\s*({_PART}[^]\n]*)\])")

# The reader's words for the slips that happen most, in words that say what to write instead.
_SLIPS = {
    "Invalid value": phrase(
        'no value; expected a text in quotes like "20 in", an integer, a date, true or false'
    ),
    "Invalid statement": phrase(
        "a line of a guild file cannot begin like this; expected [[a section]], key = value or # a note"
    ),
    "Expected '=' after a key in a key/value pair": phrase("a key without a value; expected key = value"),
    "Expected newline or end of document after a statement": phrase(
        'something follows the value; expected one key to a line, and texts in quotes, like "20 in"'
    ),
}


def read_bytes(path: Path) -> bytes:
    """The bytes of a guild file; its size is looked at before it is read.

    :raises BadInput: missing, not a regular file, too large, not to be read
    """
    try:
        return read_bounded(path, MAX_BYTES, expected=phrase("a guild file"), too_large=_too_large)
    except BadInput as error:
        raise error.in_file(named(path)) from None


def _too_large(size: int) -> Phrase:
    return phrase(
        "has {bytes:,} bytes; expected a guild file of at most {most:,}", bytes=size, most=MAX_BYTES
    )


def parse(source: str | bytes) -> Tree:
    """TOML to a tree of dict, list, str, int, float, bool, date.

    :raises BadInput: with ``where`` "line N": what no TOML reader takes, or what no guild file needs
    """
    text = _decoded(source)
    _refuse_monsters(text)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(text, str(error)) from None
    except RecursionError:
        raise BadInput(phrase("lists or tables are nested too deeply; expected a guild file")) from None


def _decoded(source: str | bytes) -> str:
    if len(source) > MAX_BYTES:
        raise BadInput(
            phrase("is too large; expected a guild file of at most {most:,} bytes", most=MAX_BYTES)
        )
    if isinstance(source, str):
        return source.removeprefix("\ufeff")
    try:
        text = source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = source[: error.start].count(b"\n") + 1
        raise BadInput(phrase("is not UTF-8 text; expected a guild file"), where=("line", line)) from None
    if "\x00" in text:
        line = text[: text.index("\x00")].count("\n") + 1
        raise BadInput(phrase("is binary; expected a guild file, which is text"), where=("line", line))
    return text


def _refuse_monsters(text: str) -> None:
    """Bound what the reader can spend, on the text without its strings and comments."""
    code = _NOT_CODE.sub(_stand_in, text)
    if code.count("[") + code.count("{") > MAX_TABLES or code.count("=") + code.count(",") > MAX_VALUES:
        raise BadInput(phrase("holds too many tables, lists or values; expected a guild file"))
    line = 1
    for match in _WORD.finditer(code):
        word = match.group()
        if word == "\n":
            line += 1
        elif word.count(".") > MAX_DOTS:
            raise BadInput(
                phrase("a key has more than {dots} dots; expected a guild file", dots=MAX_DOTS),
                where=("line", line),
            )
        elif len(word) > MAX_WORD and len(word.strip()) > MAX_WORD:
            raise BadInput(phrase("a key or number is too long; expected a guild file"), where=("line", line))


def _stand_in(match: re.Match[str]) -> str:
    """A quoted text counts as one letter; its lines are kept, for the line numbers."""
    found = match.group()
    return "" if found.startswith("#") else "q" + "\n" * found.count("\n")


def _syntax_error(text: str, message: str) -> BadInput:
    place = _PLACE.search(message)
    said = message[: place.start()] if place else message
    lines = text.replace("\r\n", "\n").split("\n")
    at = int(place.group(1)) if place and place.group(1) else max(1, len(text.rstrip().split("\n")))
    if said.startswith(("Cannot overwrite", "Cannot declare", "Cannot redefine", "Cannot mutate")):
        at, key = _key_at(lines, at)
        return BadInput(
            phrase("{key} is given here a second time; expected each key once", key=key), where=("line", at)
        )
    if said.startswith("Duplicate inline table key"):
        key = shorten(said.removeprefix("Duplicate inline table key ").strip("'"))
        return BadInput(
            phrase("{key} is given here a second time; expected each key once", key=key), where=("line", at)
        )
    if said.startswith(("Unterminated string", "Expected \"'")):
        what = phrase("a text that begins here has no end; expected a closing quote")
        return BadInput(what, where=("line", _last_quote(text)))
    slip = _SLIPS.get(said) or phrase(
        "is not TOML: {reason}", reason=shorten(said[:1].lower() + said[1:], 100)
    )
    return BadInput(slip, where=("line", at))


def _key_at(lines: list[str], at: int) -> tuple[int, str]:
    """The key or table whose value ends on line ``at``: a value may take several lines."""
    for number in range(min(at, len(lines)), 0, -1):
        match = _KEY_AT_LINE_START.match(lines[number - 1][:1000])
        if match:
            key, table = match.groups()
            return number, shorten(key) if key else f"[{shorten(table.strip())}]"
    return at, phrase("a key")


def _last_quote(text: str) -> int:
    """The line of the last text of all, which is the one without an end."""
    line, start = 1, 0
    for match in _NOT_CODE.finditer(text):
        if not match.group().startswith("#"):
            line += text.count("\n", start, match.start())
            start = match.start()
    return line


def dumps_tree(tree: Mapping[str, Any]) -> str:
    """A guild file's tree as text: a table for each record, its lists and small tables on one line each."""
    return "\n".join(_tables(tree))


def _tables(tree: Mapping[str, Any]) -> Iterator[str]:
    for name, section in tree.items():
        if isinstance(section, Mapping):
            yield f"[{name}]\n{_lines(section)}"
        else:
            for record in section:
                yield f"[[{name}]]\n{_lines(record)}"


def _lines(record: Mapping[str, Any]) -> str:
    return "".join(f"{_key(key)} = {_inline(value)}\n" for key, value in record.items())


def _key(key: str) -> str:
    return f'"{key}"' if " " in key else key


def _inline(value: object) -> str:
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_inline, value))}]"
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{_key(key)} = {_inline(inner)}' for key, inner in value.items())} }}"
    return tomli_w.dumps({"x": value}).removeprefix("x = ").removesuffix("\n")

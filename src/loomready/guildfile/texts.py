"""Values of the guild file that are texts: words, keys, colors, days, paths of drafts."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import PurePosixPath, PureWindowsPath
from typing import Any

from loomready.colors import hex_color, parse_color
from loomready.guildfile.values import Value, is_line, show
from loomready.phrases import Phrase, phrase, word
from loomready.problems import BadInput
from loomready.units import System


@dataclass(frozen=True, slots=True)
class Text(Value):
    """A line of text, kept as it is."""

    longest: int

    def read(self, value: object) -> str:
        if not isinstance(value, str):
            raise BadInput(
                phrase("{written} is not text; expected {expected}", written=show(value), expected=self.says)
            )
        if not value.strip():
            raise BadInput(phrase("is empty; expected {expected}", expected=self.says))
        if len(value) > self.longest or not is_line(value):
            what = (
                phrase("{written} is too long; expected {expected}", written=show(value), expected=self.says)
                if len(value) > self.longest
                else phrase(
                    "{written} holds a character that cannot be printed; expected {expected}",
                    written=show(value),
                    expected=self.says,
                )
            )
            raise BadInput(what)
        return value

    @property
    def says(self) -> Phrase:
        return phrase("one line of text, at most {longest} characters", longest=self.longest)

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": self.longest}


@dataclass(frozen=True, slots=True)
class Note(Value):
    """A text of several lines, kept as it is but for its line ends, and blanks at its end."""

    longest: int

    def read(self, value: object) -> str:
        if not isinstance(value, str):
            raise BadInput(
                phrase("{written} is not text; expected {expected}", written=show(value), expected=self.says)
            )
        text = plain_lines(value)
        if len(text) > self.longest:
            raise BadInput(
                phrase(
                    "is {count:,} characters long; expected {expected}", count=len(text), expected=self.says
                )
            )
        if not all(is_line(line.replace("\t", " ")) for line in text.split("\n")):
            raise BadInput(
                phrase("holds a character that cannot be printed; expected {expected}", expected=self.says)
            )
        return text

    @property
    def says(self) -> Phrase:
        return phrase("a text of at most {longest:,} characters", longest=self.longest)

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "maxLength": self.longest}


def plain_lines(text: str) -> str:
    """A text with the one kind of line end, and no blanks or empty lines at its end."""
    return text.replace("\r\n", "\n").replace("\r", "\n").rstrip()


_KEY_TEXT = re.compile(r"(?![. ])[\w. -]{1,64}(?<! )")


@dataclass(frozen=True, slots=True)
class Identifier(Value):
    """The key of a record, or a reference ``of`` some kind. Strict, for it becomes part of file names."""

    of: str = ""
    is_called: str = "key"

    def read(self, value: object) -> str:
        if not isinstance(value, str) or _KEY_TEXT.fullmatch(value) is None:
            raise BadInput(
                phrase(
                    "{written} is not a valid {key_or_name}; expected {expected}",
                    written=show(value),
                    key_or_name=word(self.is_called),
                    expected=self.says,
                )
            )
        return value

    @property
    def says(self) -> Phrase:
        if self.of:
            return phrase(
                "the {key_or_name} of a {yarn_or_loom}",
                key_or_name=word(self.is_called),
                yarn_or_loom=word(self.of),
            )
        return phrase("1 to 64 letters, digits, - _ . or inner spaces, no dot at the start")

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": 64, "pattern": r"^[^\s./\\][^/\\]*$"}


@dataclass(frozen=True, slots=True)
class Color(Value):
    def read(self, value: object) -> tuple[int, int, int]:
        if not isinstance(value, str):
            raise BadInput(
                phrase(
                    "{written} is not a color; expected {expected}", written=show(value), expected=self.says
                )
            )
        return parse_color(value)

    def write(self, value: Any, system: System) -> str:
        return hex_color(value)

    @property
    def says(self) -> Phrase:
        return phrase('a color like "#3d5166"')

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": "^#[0-9a-fA-F]{6}$"}


@dataclass(frozen=True, slots=True)
class Day(Value):
    """A date of TOML's own, with a local time of day or without; not a text."""

    def read(self, value: object) -> date:
        if not isinstance(value, date) or (isinstance(value, datetime) and value.tzinfo is not None):
            raise BadInput(
                phrase(
                    "{written} is not a date; expected {expected}", written=show(value), expected=self.says
                )
            )
        return value

    @property
    def says(self) -> Phrase:
        return phrase("a date like 2026-10-03, or with a time like 2026-10-03T14:30:00, without quotes")

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}(:\d{2}(\.\d+)?)?)?$"}


def day_of_text(text: str) -> date:
    """A date, or a date with a local time, from its ISO 8601 text.

    :raises ValueError: it is neither
    """
    made = datetime.fromisoformat(text) if len(text) > 10 else date.fromisoformat(text)
    if isinstance(made, datetime) and made.tzinfo is not None:
        raise ValueError("a local time has no offset")
    return made


@dataclass(frozen=True, slots=True)
class DraftPath(Value):
    """A path that stays below the guild file's folder, as far as its text can tell."""

    def read(self, value: object) -> str:
        if not isinstance(value, str) or not value.strip() or len(value) > 1000 or not is_line(value):
            raise BadInput(
                phrase(
                    "{written} is not a path; expected {expected}", written=show(value), expected=self.says
                )
            )
        windows = PureWindowsPath(value)
        if value.startswith("~") or windows.anchor or ".." in windows.parts or "\\" in value:
            raise BadInput(
                phrase(
                    "{written} leaves the guild's folder; expected {expected}",
                    written=show(value),
                    expected=self.says,
                )
            )
        if PurePosixPath(value) == PurePosixPath():
            raise BadInput(
                phrase(
                    "{written} is the guild's folder; expected {expected}",
                    written=show(value),
                    expected=self.says,
                )
            )
        return value

    @property
    def says(self) -> Phrase:
        return phrase('a WIF file below the guild file\'s folder, like "drafts/scarf.wif"')

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": 1000}

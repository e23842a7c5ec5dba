"""The parameters of families: typed, each reads a text and describes what it expects.

Form, command line and tests use the same declarations.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from itertools import pairwise
from string import ascii_uppercase
from typing import ClassVar

from loomready.phrases import Phrase, listed, phrase
from loomready.problems import BadInput, shorten

MOST_SHAFTS = 40
MOST_UNITS = 200

Ratio = tuple[int, ...]
Blocks = tuple[frozenset[int], ...]
Value = int | bool | str | Ratio | Blocks | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter(ABC):
    """One thing to choose: ``--name`` on the command line, a field in a form.

    default   as a person would type it; None where the family calculates it
    unsaid    in words, what the family uses without a value
    """

    name: str
    meaning: Phrase
    default: str | None = None
    unsaid: Phrase | None = None

    kind: ClassVar[str] = ""

    @property
    @abstractmethod
    def expected(self) -> Phrase:
        """What may be typed, in words."""

    @abstractmethod
    def read(self, text: str) -> Value:
        """The typed value of what a person typed.

        :raises BadInput: it is not a value of this kind; the place is the parameter's name
        """

    def refuse(self, text: str, expected: Phrase | None = None) -> BadInput:
        what = phrase(
            '"{text}" is not possible; expected {expected}',
            text=shorten(text),
            expected=expected or self.expected,
        )
        return BadInput(what, where=self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeNumber(Parameter):
    """A whole number from ``lowest`` to ``highest``; with ``even`` an even one."""

    lowest: int
    highest: int
    even: bool = False

    kind: ClassVar[str] = "count"

    @property
    def expected(self) -> Phrase:
        if self.even:
            return phrase(
                "an even number from {lowest} to {highest}", lowest=self.lowest, highest=self.highest
            )
        return phrase("a whole number from {lowest} to {highest}", lowest=self.lowest, highest=self.highest)

    def read(self, text: str) -> int:
        plain = text.strip()
        if not (plain.isascii() and plain.isdigit() and len(plain) <= 6):
            raise self.refuse(text)
        number = int(plain)
        if not self.lowest <= number <= self.highest or (self.even and number % 2):
            raise self.refuse(text)
        return number


@dataclass(frozen=True, slots=True, kw_only=True)
class TieUp(Parameter):
    """A twill's tie-up as a ratio: 3/2/1/2 lifts three shafts, passes two, lifts one, passes two."""

    kind: ClassVar[str] = "tie-up"

    @property
    def expected(self) -> Phrase:
        return phrase("shafts up and down in turn, as 2/2, 1/3 or 3/2/1/2")

    def read(self, text: str) -> Ratio:
        parts = text.strip().split("/")
        if not all(part.isascii() and part.isdigit() and len(part) <= 2 for part in parts):
            raise self.refuse(text)
        ratio = tuple(int(part) for part in parts)
        if len(ratio) % 2 or not all(ratio) or sum(ratio) > MOST_SHAFTS:
            raise self.refuse(text)
        return ratio


@dataclass(frozen=True, slots=True, kw_only=True)
class ColorOrder(TieUp):
    """Dark and light threads in turn: 2/1 is two dark, one light."""

    kind: ClassVar[str] = "color order"

    @property
    def expected(self) -> Phrase:
        return phrase("dark and light threads in turn, as 4/4 or 2/1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile(Parameter):
    """A profile draft, a letter for each unit: AABBA. The first letter of the alphabet is the first block."""

    kind: ClassVar[str] = "profile"

    @property
    def expected(self) -> Phrase:
        return phrase(
            "the blocks in their order, a letter for each of at most {most} units, as AABBA", most=MOST_UNITS
        )

    def read(self, text: str) -> Blocks:
        letters = text.strip().upper()
        if not letters or len(letters) > MOST_UNITS or not set(letters) <= set(ascii_uppercase):
            raise self.refuse(text)
        used = sorted(set(letters))
        for before, after in pairwise(["@", *used]):  # @ stands before A
            if ord(after) - ord(before) > 1:
                raise self.refuse(
                    text,
                    phrase(
                        "no letter left out: {letter} is there and {before} not",
                        letter=after,
                        before=chr(ord(after) - 1),
                    ),
                )
        return tuple(frozenset({ascii_uppercase.index(letter)}) for letter in letters)


@dataclass(frozen=True, slots=True, kw_only=True)
class Treadled(Parameter):
    """The blocks that make pattern, unit by unit of the treadling: ABBA, or A,AB,B where some go together."""

    together: bool = False

    kind: ClassVar[str] = "blocks"

    @property
    def expected(self) -> Phrase:
        if self.together:
            return phrase(
                "blocks of the profile in their order, as ABBA, or A,AB,B where several make pattern at once"
            )
        return phrase("blocks of the profile in their order, as ABBA")

    def read(self, text: str) -> Blocks:
        letters = text.strip().upper()
        units = letters.split(",") if self.together and "," in letters else list(letters)
        if not 0 < len(units) <= MOST_UNITS:
            raise self.refuse(text)
        if not all(unit.strip() and set(unit.strip()) <= set(ascii_uppercase) for unit in units):
            raise self.refuse(text)
        return tuple(frozenset(ascii_uppercase.index(letter) for letter in unit.strip()) for unit in units)


@dataclass(frozen=True, slots=True, kw_only=True)
class WordChoice(Parameter):
    """One of a few words."""

    choices: tuple[str, ...]

    kind: ClassVar[str] = "choice"

    @property
    def expected(self) -> Phrase:
        return phrase("one of: {choices}", choices=listed(self.choices))

    def read(self, text: str) -> str:
        if text.strip() not in self.choices:
            raise self.refuse(text)
        return text.strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch(Parameter):
    """Yes or no."""

    kind: ClassVar[str] = "switch"

    @property
    def expected(self) -> Phrase:
        return phrase("yes or no")

    def read(self, text: str) -> bool:
        if text.strip() not in {"yes", "no"}:
            raise self.refuse(text)
        return text.strip() == "yes"


def letters(blocks: int) -> str:
    """The names of the first blocks: "A, B, C"."""
    return ", ".join(ascii_uppercase[:blocks])

"""What a key of the guild file may hold: each kind of value reads, writes and describes itself.

``read`` raises BadInput without a place, or with the steps inside a list or table (``"2 hem"``); whoever
knows the place puts it in front. Nothing is converted in silence: True is not an integer, 5.0 is not a count.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from abc import ABC, abstractmethod
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from typing import Any

from loomready import units
from loomready.phrases import Phrase, listed, phrase
from loomready.problems import BadInput, BadQuantity, shorten
from loomready.units import Kind, System

_HUGE = 10**15
_BREAKS = frozenset({"Cc", "Cs", "Zl", "Zp"})


def show(value: object) -> str:
    """A foreign value, fit for one line of an error message."""
    if isinstance(value, str):
        return f'"{shorten(value)}"'
    if isinstance(value, bool):
        return phrase("true") if value else phrase("false")
    if isinstance(value, int) and abs(value) > _HUGE:
        return phrase("a huge number")
    if isinstance(value, int | float | date):
        return str(value)
    if isinstance(value, list | tuple):
        return phrase("a list")
    if isinstance(value, dict):
        return phrase("a table")
    return phrase("a {type}", type=type(value).__name__)


@contextmanager
def inside(step: str | int) -> Iterator[None]:
    """Put a step in front of the place of an error from further in."""
    try:
        yield
    except BadInput as error:
        raise error.inside(step) from None


def is_line(text: str) -> bool:
    """Without control characters, halves of characters, or anything that breaks a line."""
    return not any(unicodedata.category(character) in _BREAKS for character in text)


class Value(ABC):
    """A kind of value."""

    @abstractmethod
    def read(self, value: object) -> Any:
        """The value as the model keeps it. :raises BadInput: it is no such value"""

    def write(self, value: Any, system: System) -> Any:
        """The value as the file holds it."""
        return value

    @property
    @abstractmethod
    def says(self) -> Phrase:
        """What is expected, in a few words: for tables and error messages."""

    @abstractmethod
    def json_schema(self) -> dict[str, Any]:
        """The kind as JSON Schema."""


@functools.cache
def _limit(text: str, kind: Kind) -> float:
    return units.read(text, kind)


@dataclass(frozen=True, slots=True)
class Quantity(Value):
    """A plain decimal number and a unit. ``above``: the low limit itself is too little."""

    kind: Kind
    low: str
    high: str
    above: bool = False
    below: bool = False

    def read(self, value: object, expected: Phrase | None = None) -> float:
        """``expected``: what to say instead of :attr:`says`."""
        if not isinstance(value, str):
            if isinstance(value, int | float) and not isinstance(value, bool):
                what = phrase("{written} has no unit", written=show(value))
            else:
                what = phrase(
                    "{written} is not a valid {quantity}", written=show(value), quantity=self.kind.name
                )
            raise self._refused(what, expected)
        read = units.read(value, self.kind, expected) + 0.0
        low, high = _limit(self.low, self.kind), _limit(self.high, self.kind)
        if read < low or (self.above and read == low):
            raise self._refused(phrase("{written} is too little", written=show(value)), expected)
        if read > high or (self.below and read == high):
            raise self._refused(phrase("{written} is too much", written=show(value)), expected)
        return read

    def _refused(self, what: Phrase, expected: Phrase | None) -> BadQuantity:
        return BadQuantity(
            phrase("{what_is_wrong}; expected {expected}", what_is_wrong=what, expected=expected or self.says)
        )

    def write(self, value: Any, system: System) -> str:
        return units.write(float(value), self.kind, system)

    @property
    def says(self) -> Phrase:
        return phrase(
            'a {quantity} like "{example}", {limits}',
            quantity=self.kind.name,
            example=self.kind.example,
            limits=self.span,
        )

    @property
    def span(self) -> Phrase:
        """From where to where it may go."""
        if self.above:
            return phrase("more than {low}, at most {high}", low=self.low, high=self.high)
        if self.below:
            return phrase("from {low} to less than {high}", low=self.low, high=self.high)
        return phrase("from {low} to {high}", low=self.low, high=self.high)

    def json_schema(self) -> dict[str, Any]:
        names = "|".join(re.escape(unit) for unit in sorted(self.kind.units, key=len, reverse=True))
        return {
            "type": "string",
            "pattern": rf"^\s*[+-]?([0-9]{{1,12}}(\.[0-9]{{1,17}})?|\.[0-9]{{1,17}})\s*({names})\s*$",
            "description": self.says,
        }


@dataclass(frozen=True, slots=True)
class Flaws(Value):
    """Flaws per length, in 1/m, or the words "none seen" for 0."""

    rate: Quantity
    none: str = "none seen"

    def read(self, value: object) -> float:
        if value == self.none:
            return 0.0
        try:
            return self.rate.read(value)
        except BadQuantity:  # refused again, with all that is expected
            return self.rate.read(value, expected=self.says)

    def write(self, value: Any, system: System) -> str:
        return self.rate.write(value, system) if value else self.none

    @property
    def says(self) -> Phrase:
        return phrase('"{none_seen}" or {a_rate}', none_seen=self.none, a_rate=self.rate.says)

    def json_schema(self) -> dict[str, Any]:
        return {"anyOf": [{"const": self.none}, self.rate.json_schema()]}


@dataclass(frozen=True, slots=True)
class Count(Value):
    """A bare integer."""

    low: int
    high: int

    def read(self, value: object) -> int:
        if type(value) is not int:
            raise BadInput(
                phrase(
                    "{written} is not an integer; expected {expected}",
                    written=show(value),
                    expected=self.says,
                )
            )
        if not self.low <= value <= self.high:
            what = (
                phrase(
                    "{written} is too little; expected {expected}", written=show(value), expected=self.says
                )
                if value < self.low
                else phrase(
                    "{written} is too much; expected {expected}", written=show(value), expected=self.says
                )
            )
            raise BadInput(what)
        return value

    @property
    def says(self) -> Phrase:
        return phrase("an integer from {low} to {high}", low=self.low, high=self.high)

    def json_schema(self) -> dict[str, Any]:
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


@dataclass(frozen=True, slots=True)
class Flag(Value):
    def read(self, value: object) -> bool:
        if not isinstance(value, bool):
            raise BadInput(
                phrase("{written} is neither true nor false; expected true or false", written=show(value))
            )
        return value

    @property
    def says(self) -> Phrase:
        return phrase("true or false")

    def json_schema(self) -> dict[str, Any]:
        return {"type": "boolean"}


@dataclass(frozen=True, slots=True)
class Choice(Value):
    """One of a few words."""

    words: tuple[str, ...]

    def read(self, value: object) -> str:
        if not isinstance(value, str) or value not in self.words:
            raise BadInput(
                phrase(
                    "{written} is not among the choices; expected {expected}",
                    written=show(value),
                    expected=self.says,
                )
            )
        return value

    @property
    def says(self) -> Phrase:
        *others, last = (f'"{word}"' for word in self.words)
        return phrase("{all_but_last} or {last}", all_but_last=listed(others), last=last)

    def json_schema(self) -> dict[str, Any]:
        return {"enum": list(self.words)}


@dataclass(frozen=True, slots=True)
class Many(Value):
    """A list of values of one kind."""

    of: Value
    fewest: int
    most: int

    def read(self, value: object) -> tuple[Any, ...]:
        if not isinstance(value, list | tuple):
            raise BadInput(
                phrase(
                    "{written} is not a list; expected {expected}", written=show(value), expected=self.says
                )
            )
        if not self.fewest <= len(value) <= self.most:
            raise BadInput(
                phrase("the list holds {count}; expected {expected}", count=len(value), expected=self.says)
            )
        read = []
        for number, each in enumerate(value, 1):
            with inside(number):
                read.append(self.of.read(each))
        return tuple(read)

    def write(self, value: Any, system: System) -> list[Any]:
        return [self.of.write(each, system) for each in value]

    @property
    def says(self) -> Phrase:
        length = (
            str(self.most)
            if self.fewest == self.most
            else phrase("{fewest} to {most}", fewest=self.fewest, most=self.most)
        )
        return phrase("a list of {length}, each {expected}", length=length, expected=self.of.says)

    def json_schema(self) -> dict[str, Any]:
        each = self.of.json_schema()
        return {"type": "array", "items": each, "minItems": self.fewest, "maxItems": self.most}


@dataclass(frozen=True, slots=True)
class Run(Value):
    """Two integers [a, b], 1 <= a <= b."""

    high: int

    def read(self, value: object) -> tuple[int, int]:
        first, last = Many(Count(1, self.high), 2, 2).read(value)
        if first > last:
            raise BadInput(
                phrase(
                    "[{first}, {last}] runs backward; expected {expected}",
                    first=first,
                    last=last,
                    expected=self.says,
                )
            )
        return first, last

    def write(self, value: Any, system: System) -> list[int]:
        return list(value)

    @property
    def says(self) -> Phrase:
        return phrase("[first, last], two integers from 1 to {high}", high=self.high)

    def json_schema(self) -> dict[str, Any]:
        return Many(Count(1, self.high), 2, 2).json_schema()

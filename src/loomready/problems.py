"""What a plan says when something falls short, and the one tree of errors for bad input.

A shortfall is a result (:class:`Problem`, with its remedies). An exception is for input that
is not valid:

    LoomreadyError
    └── BadInput            one clear line: where, what is wrong, what is expected
        ├── BadQuantity     a text that is no quantity of the kind asked for
        ├── AmbiguousCount  a yarn count with several readings
        └── Impossible      the thing asked for cannot be done (too large a picture, say)
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, Literal

from loomready.phrases import Phrase, joined

Level = Literal["stop", "warn"]


@dataclass(frozen=True, slots=True)
class Remedy:
    """A changed input that makes the problem go away.

    ``change`` holds keys of the warp's table in the guild file with their new values.
    """

    says: Phrase
    change: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Problem:
    """Something that falls short. ``stop``: the loom cannot be dressed as planned. ``warn``: it can, but
    check first."""

    code: str
    level: Level
    message: Phrase
    remedies: tuple[Remedy, ...] = field(default=())

    def with_remedies(self, remedies: tuple[Remedy, ...]) -> Problem:
        return replace(self, remedies=remedies)


class LoomreadyError(Exception):
    """The root of every error that loomready raises on purpose."""


Place = tuple[str | int, ...]
"""The steps to a place in a file, a table or a form: ``("[warps 3]", "items", 2, "draft")``."""


class BadInput(LoomreadyError):
    """Input that is not valid.

    :param what: what is wrong, and after a semicolon what is expected
    :param where: the place inside the file: a :data:`Place`, or its only step: ``"line 12"``
    :param file: the file as the user named it
    """

    def __init__(self, what: str, *, where: str | Place = (), file: str = "") -> None:
        self.what = what if isinstance(what, Phrase) else " ".join(what.split())
        self.path: Place = _place(where)
        self.file = file
        super().__init__(self.what)

    @property
    def where(self) -> str:
        """The place as a person reads it: ``[warps 3] items 2 draft``."""
        return " ".join(map(str, self.path))

    def at(self, *steps: str | int) -> BadInput:
        """The same error, placed: an inner place that is already known stays."""
        self.path = self.path or steps
        return self

    def inside(self, *steps: str | int) -> BadInput:
        """The same error, its place further in than these steps."""
        self.path = (*steps, *self.path)
        return self

    def in_file(self, file: str) -> BadInput:
        if not self.file:
            self.file = file
        return self

    def line(self) -> Phrase:
        """One line for a person: ``FILE: [cones 3] gross: what is wrong; what is expected``."""
        return joined(": ", (part for part in (self.file, self.where, self.what) if part))


def _place(where: str | Place) -> Place:
    if isinstance(where, tuple):
        return where
    return (where,) if where else ()


class BadQuantity(BadInput):
    """A text that is no quantity of the kind asked for."""


@dataclass(frozen=True, slots=True)
class CountReading:
    """One meaning of an ambiguous count. ``write``: a count that means only this, a yarn of ``tex``."""

    write: str
    tex: float


class AmbiguousCount(BadInput):
    """A yarn count that means different yarns to different people. ``readings``: what it may mean."""

    def __init__(
        self, what: str, readings: tuple[CountReading, ...] = (), *, where: str | Place = (), file: str = ""
    ) -> None:
        self.readings = readings
        super().__init__(what, where=where, file=file)


class Impossible(BadInput):
    """What was asked for is beyond what can be done."""


def shorten(text: object, length: int = 40) -> str:
    """A foreign text made fit for one line of an error message: what cannot be printed is escaped.

    >>> shorten("grün\\n"), shorten("a" * 9, 5)
    ('grün\\\\n', 'aaaa…')
    """
    shown = "".join(map(_printable, str(text)[: 4 * length]))
    return shown if len(shown) <= length else shown[: length - 1] + "…"


def _printable(character: str) -> str:
    return character if character.isprintable() else character.encode("unicode_escape").decode("ascii")

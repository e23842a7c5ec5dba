"""A search box that filters the things on a page by name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from django.http import HttpRequest

Thing = TypeVar("Thing")

MANY = 9  # a page with fewer shows them all
_LONGEST = 100


@dataclass(frozen=True, slots=True)
class Sought(Generic[Thing]):
    """What a page shows: the things found, the words searched for, and whether there is a search box."""

    found: tuple[Thing, ...]
    words: str
    all: int

    @property
    def many(self) -> bool:
        return self.all > MANY


def sought(
    request: HttpRequest, things: Sequence[Thing], names: Callable[[Thing], Iterable[str]]
) -> Sought[Thing]:
    """The things in whose names every word of the address's ``find`` stands; all of them without words."""
    words = " ".join(request.GET.get("find", "")[:_LONGEST].split())
    wanted = words.casefold().split()
    found = [
        each
        for each in things
        if not wanted or all(word in "\n".join(names(each)).casefold() for word in wanted)
    ]
    return Sought(tuple(found), words, len(things))

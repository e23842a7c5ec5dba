"""What a list is searched, filtered and sorted by, as its address says."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

MANY = 9  # a shorter list is shown without a form, and with all that lies under its rows
_LONGEST = 100


@dataclass(frozen=True, slots=True)
class Choice:
    """A choice above a list: ``options`` are keys and labels, the usual one first with the key ""."""

    name: str
    label: Any
    options: tuple[tuple[str, Any], ...]
    chosen: str


def choice(given: Mapping[str, str], name: str, label: Any, options: Mapping[str, Any]) -> Choice:
    """A choice as an address makes it; what is not an option counts as none."""
    chosen = given.get(name, "")
    return Choice(name, label, tuple(options.items()), chosen if chosen in options else "")


@dataclass(frozen=True, slots=True)
class Filters:
    """The form above a list. ``find``: the words searched for, ``label`` what they are searched in.

    ``only``: name, label and state of a box to check
    """

    find: str
    label: Any
    choices: tuple[Choice, ...]
    only: tuple[str, Any, bool] | None = None

    @property
    def anything(self) -> bool:
        """Whether the list is not shown whole in its usual order."""
        chosen = any(each.chosen for each in self.choices)
        return bool(self.find) or chosen or (self.only is not None and self.only[2])

    def chosen(self, name: str) -> str:
        """The option chosen; "": the usual one."""
        return next(each.chosen for each in self.choices if each.name == name)

    def finds(self, texts: Iterable[str]) -> bool:
        """Whether every word searched for stands in these texts."""
        text = "\n".join(texts).casefold()
        return all(word in text for word in self.find.casefold().split())


def words(given: Mapping[str, str]) -> str:
    """The words that an address searches for."""
    return " ".join(given.get("find", "")[:_LONGEST].split())

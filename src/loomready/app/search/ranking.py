"""Which things match what was typed, the best first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from loomready.app.search.things import Thing, fold

LEAST = 2  # letters from which on something is found
LONGEST = 100
MOST_OFFERED = 10  # while typing
MOST_OF_A_KIND = 4  # of those, while other kinds match too


def words_of(typed: str) -> str:
    """What was typed, as it is searched for."""
    return " ".join(typed[:LONGEST].split())


def ranked(things: Iterable[Thing], typed: str) -> list[Thing]:
    """The things in whose words each typed word stands; those whose names begin so come first."""
    words = fold(words_of(typed)).split()
    if len("".join(words)) < LEAST:
        return []
    found = [each for each in things if all(word in each.folded for word in words)]
    return sorted(found, key=lambda each: _distance(each, words))


def _distance(thing: Thing, words: Sequence[str]) -> int:
    """How far a match is from what was typed: 0, the name begins with it."""
    if thing.folded_name.startswith(" ".join(words)):
        return 0
    if _begin(words, thing.folded_name):
        return 1
    if all(word in thing.folded_name for word in words):
        return 2
    return 3 if _begin(words, thing.folded) else 4


def _begin(words: Iterable[str], text: str) -> bool:
    """Whether each of the words begins a word of the text."""
    return all(re.search(rf"(?<!\w){re.escape(word)}", text) for word in words)


def offered(found: Sequence[Thing]) -> list[Thing]:
    """The few that are shown while typing: the best, and of each kind some."""
    of_kind: dict[str, int] = {}
    some: list[int] = []
    rest: list[int] = []
    for place, each in enumerate(found):
        of_kind[each.kind] = of_kind.get(each.kind, 0) + 1
        (some if of_kind[each.kind] <= MOST_OF_A_KIND else rest).append(place)
    return [found[place] for place in sorted([*some, *rest][:MOST_OFFERED])]

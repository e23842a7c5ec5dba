"""What a weaver says of a fault in a few words, read as an observation.

ends 40 to 43                      where it lies
end 12 rises with shaft 3          what an end does; also: end 12 does not rise with shafts 1 3
line 7 in from the right           how it looks, and where, counted from a side
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from loomready.phrases import phrase
from loomready.problems import BadInput, shorten
from loomready.slips import possible as states
from loomready.slips.possible import Possible, Sign

EXPECTED = 'expected words like "ends 40 to 43", "end 12 rises with shaft 3" or "line 7 in from the right"'
_SIGNS: dict[str, Sign] = {"gap": "gap", "line": "crowded", "streak": "crowded"}
_NUMBER = r"([0-9]{1,5})"
_RISES = re.compile(
    rf"end {_NUMBER} (rises|does not rise|doesn't rise|stays down) (?:with|on) shafts? "
    r"([0-9]{1,3}(?:(?: and |, ?| )[0-9]{1,3})*)"
)
_ENDS = re.compile(
    rf"(?:(gap|line|streak) (?:at|between) )?(?:ends? )?{_NUMBER}(?: ?(?:to|-|and) ?{_NUMBER})?"
)
_FROM = re.compile(
    rf"(?:(gap|line|streak|end|fault) )?{_NUMBER}(?: ends?)?(?: in)? from (?:the )?(left|right)(?: edge)?"
)


@dataclass(frozen=True, slots=True)
class At:
    """The fault lies at these ends, from 1."""

    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Looks:
    """So it looks."""

    sign: Sign


@dataclass(frozen=True, slots=True)
class Rose:
    """These ends (from 1) rose, or did not, when these shafts (from 1) were lifted."""

    shafts: tuple[int, ...]
    seen: tuple[tuple[int, bool], ...]


Typed = At | Looks | Rose


def read(text: str, ends: int, shafts: int, end_1: Literal["left", "right"]) -> tuple[Typed, ...]:
    """:raises BadInput: nothing that is understood, or an end or shaft that there is not"""
    words = " ".join(text.lower().replace("–", "-").split()).strip(". ")
    if found := _RISES.fullmatch(words):
        lifted = tuple(sorted({int(each) for each in re.findall("[0-9]+", found[3])}))
        for shaft in lifted:
            if not 1 <= shaft <= shafts:
                raise BadInput(
                    phrase(
                        "there is no shaft {shaft}; expected shafts from 1 to {shafts}",
                        shaft=shaft,
                        shafts=shafts,
                    )
                )
        return (Rose(lifted, ((_end(found[1], ends), found[2] == "rises"),)),)
    if found := _FROM.fullmatch(words):
        place = _end(found[2], ends)
        end = place if found[3] == end_1 else ends + 1 - place
        return (At(end, end), *_sign(found[1]))
    if found := _ENDS.fullmatch(words):
        first, last = sorted((_end(found[2], ends), _end(found[3] or found[2], ends)))
        return (At(first, last), *_sign(found[1]))
    raise BadInput(
        phrase('"{text}" is not understood; {expected}', text=shorten(text, 40), expected=EXPECTED)
        if words
        else EXPECTED
    )


def _end(text: str, ends: int) -> int:
    if not 1 <= int(text) <= ends:
        raise BadInput(
            phrase("there is no end {end}; expected ends from 1 to {ends:,}", end=int(text), ends=ends)
        )
    return int(text)


def _sign(word: str | None) -> tuple[Looks, ...]:
    sign = _SIGNS.get(word or "")
    return (Looks(sign),) if sign else ()


def narrowed(possible: Possible, typed: Sequence[Typed]) -> Possible:
    """What is still possible after all that was typed."""
    for each in typed:
        if isinstance(each, At):
            possible = states.at(possible, each.first, each.last)
        elif isinstance(each, Looks):
            possible = states.looks(possible, each.sign)
        else:
            possible = states.rose(possible, each.shafts, each.seen)
    return possible

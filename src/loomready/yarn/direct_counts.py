"""Tex and denier with plies: notations whose number is weight to the length, times or of all plies.

"37 tex x 2", "Tex 37x2" and "2 x 37 tex" are folded: the size of one ply, and how many. "R74 tex/2" and
"R 74 tex 2" are resultant: the size of the plied yarn as it is. "20/22 den" is raw silk, a range around
21 den; "20/22 den x 2" is two such threads.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_NUMBER = r"(?:[0-9]{1,7}(?:\.[0-9]{1,15})?|\.[0-9]{1,15})"
_SIZE = rf"(?P<size>{_NUMBER}(?:/{_NUMBER})?)"
_ONE = rf"(?P<size>{_NUMBER})"
_PLY = rf"(?P<ply>{_NUMBER})"
_UNIT = r"(?P<unit>d?tex|den(?:ier)?)"
_FOLDED = tuple(
    re.compile(pattern) for pattern in (rf"{_SIZE} ?{_UNIT} ?x ?{_PLY}", rf"{_UNIT} ?{_SIZE} ?x ?{_PLY}")
)
_UNIT_LAST = re.compile(rf"({_NUMBER}(?:/{_NUMBER})?) ?x ?({_NUMBER}(?:/{_NUMBER})?) ?{_UNIT}")
_RESULTANT = tuple(
    re.compile(pattern)
    for pattern in (
        rf"r ?{_ONE} ?{_UNIT}(?: ?/ ?| ){_PLY}",
        rf"r ?{_ONE} ?/ ?{_PLY} ?{_UNIT}",
        rf"{_UNIT} ?r ?{_ONE} ?/ ?{_PLY}",
        rf"r ?{_ONE} ?{_UNIT}(?P<ply>)",
    )
)
MOST_PLIES = 99
_WIDEST_RANGE = 1.5  # of its low end; 20/60 is not a range of one thread (common practice, no source)


@dataclass(frozen=True, slots=True)
class DirectCount:
    """``size`` of the whole yarn in ``unit`` (tex, dtex, den, denier); ``ply`` as written, maybe no number
    of plies at all; ``write``: the plain way to write it."""

    size: float
    unit: str
    ply: str
    resultant: bool
    write: str


def direct_count(tidy: str) -> DirectCount | None:
    """Reads a text of plied tex or denier; None: it is no such text.

    >>> made = direct_count("tex 37x2")
    >>> made.size, made.ply, made.write
    (74.0, '2', '37 tex x 2')
    """
    for pattern in _RESULTANT:
        if match := pattern.fullmatch(tidy):
            size, unit, ply = match["size"], match["unit"], match["ply"]
            write = f"R{size} {unit}/{ply}" if ply else f"{size} {unit}"
            return DirectCount(float(size), unit, ply or "1", True, write)
    for pattern in _FOLDED:
        if match := pattern.fullmatch(tidy):
            return _folded(match["size"], match["unit"], match["ply"])
    if match := _UNIT_LAST.fullmatch(tidy):
        first, second, unit = match.groups()
        size, ply = (second, first) if _ply_first(first, second) else (first, second)
        return _folded(size, unit, ply)
    return None


def _ply_first(first: str, second: str) -> bool:
    """Whether the first number counts the plies ("2 x 20 tex"): the smaller does, if it can."""
    if "/" in first or "/" in second:
        return "/" in second
    return float(second) > float(first) and is_ply(first)


def _folded(size: str, unit: str, ply: str) -> DirectCount | None:
    each = size_of(size, unit)
    if each is None or "/" in ply:
        return None
    return DirectCount(each * float(ply), unit, ply, False, f"{each:.12g} {unit} x {ply}")


def is_ply(number: str) -> bool:
    """Whether a text is a number of plies."""
    return number.isdigit() and 1 <= int(number) <= MOST_PLIES


def size_of(text: str, unit: str) -> float | None:
    """One number, or in denier the middle of a range like 20/22; None: the two numbers are no range."""
    if "/" not in text:
        return float(text)
    low, high = map(float, text.split("/"))
    return (low + high) / 2 if unit.startswith("den") and is_range(low, high) else None


def is_range(low: float, high: float) -> bool:
    return low < high <= _WIDEST_RANGE * low

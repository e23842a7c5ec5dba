"""Where the ties go on a path: choke ties along it, the cross, the end loops. Common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from loomready.model.guild import Board, Peg
from loomready.units import factor

Point = tuple[float, float]
FIRST_CHOKE_MM = 150.0  # the first choke tie, after the cross
OFF_THE_PEG_MM = 60.0  # no tie within this distance of a peg


@dataclass(frozen=True, slots=True)
class Mark:
    """A tie, ``along_mm`` from the start peg. ``cross``: the four arms, and the counting ties."""

    kind: Literal["choke", "cross", "loop"]
    at: Point
    along_mm: float


def choke_ties(length_m: float, us: bool) -> int:
    """How many choke ties a chain gets: about one every yard or meter, at least one."""
    step_m = factor("m", "yard") if us else 1.0
    return max(1, math.ceil(length_m / step_m) - 1)


def marks(board: Board, path: Sequence[str], us: bool) -> tuple[Mark, ...]:
    """The ties of a path over a board's pegs, from the start peg on."""
    pegs = [board.peg(name) for name in path]
    ends = [0.0]
    for one, two in pairwise(pegs):
        ends.append(ends[-1] + math.hypot(two.x_mm - one.x_mm, two.y_mm - one.y_mm))
    whole = ends[-1]
    made = [Mark("loop", _at(pegs, ends, 0.0), 0.0)]
    crossing = (ends[1] + ends[2]) / 2
    made.append(Mark("cross", _at(pegs, ends, crossing), crossing))
    begin = ends[2] + FIRST_CHOKE_MM
    count = choke_ties(whole / 1000, us)
    for number in range(count if whole > begin + OFF_THE_PEG_MM else 0):
        along = _off_the_pegs(begin + number * (whole - begin) / count, ends)
        made.append(Mark("choke", _at(pegs, ends, along), along))
    if len(path) > 3:
        made.append(Mark("loop", _at(pegs, ends, whole), whole))
    return tuple(made)


def _off_the_pegs(along: float, ends: list[float]) -> float:
    near = min(ends, key=lambda end: abs(end - along))
    if abs(near - along) >= OFF_THE_PEG_MM:
        return along
    after = near + OFF_THE_PEG_MM
    return after if after < ends[-1] else near - OFF_THE_PEG_MM


def _at(pegs: Sequence[Peg], ends: list[float], along: float) -> Point:
    for (one, two), (begin, end) in zip(pairwise(pegs), pairwise(ends), strict=True):
        if along <= end:
            share = (along - begin) / (end - begin)
            return (
                one.x_mm + share * (two.x_mm - one.x_mm),
                one.y_mm + share * (two.y_mm - one.y_mm),
            )
    return pegs[-1].x_mm, pegs[-1].y_mm

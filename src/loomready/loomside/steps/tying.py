"""Tying on: knots of about an inch (2.5 cm) each, from the middle outward, then once more to even them."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.warp.result import WarpPlan

KNOT_CM = {"us": 2.54, "metric": 2.5}  # common practice, no source
ROUNDS = 2  # tied, then evened by hand (common practice, no source)


@dataclass(frozen=True, slots=True)
class Knot:
    """Ends of one knot, from 1. ``side``: of the middle, toward end 1 or away from it; ``number`` from it."""

    first: int
    last: int
    toward_end_1: bool
    number: int


def tying(plan: WarpPlan) -> tuple[Knot, ...]:
    """The knots in the order in which they are tied: beside the middle, then by turns outward."""
    return knots(plan.web.ends, max(1, round(plan.sett_per_cm * KNOT_CM[plan.guild.units])))


def knots(ends: int, size: int) -> tuple[Knot, ...]:
    """
    >>> [(knot.first, knot.last) for knot in knots(25, 10)]
    [(4, 13), (14, 23), (1, 3), (24, 25)]
    """
    middle = (ends + 1) // 2
    toward = [
        Knot(max(1, last - size + 1), last, True, number)
        for number, last in enumerate(range(middle, 0, -size), start=1)
    ]
    away = [
        Knot(first, min(ends, first + size - 1), False, number)
        for number, first in enumerate(range(middle + 1, ends + 1, size), start=1)
    ]
    return tuple(sorted((*toward, *away), key=lambda knot: (knot.number, not knot.toward_end_1)))


def signs(plan: WarpPlan) -> list[str]:
    """For each end its knot, once for each round."""
    found = [""] * plan.web.ends
    for knot in tying(plan):
        found[knot.first - 1 : knot.last] = [f"{knot.first}-{knot.last}"] * (knot.last - knot.first + 1)
    return found * ROUNDS

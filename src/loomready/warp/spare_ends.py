"""Knots and weak spots: how many ends of a warp have one, and how many ends to wind to spare.

Flaws that come at random, ``rate`` to the meter, leave an end of L meters sound with probability exp(-rate L)
(Poisson). Of n + s ends the sound ones then follow a binomial distribution.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from loomready.phrases import phrase
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp.result import WarpPlan

SURE = 0.95


def flawed_share(flaws_per_m: float, length_m: float) -> float:
    """The share of ends of that length with at least one flaw; both 0 or more.

    >>> round(flawed_share(0.02, 5.0), 4)
    0.0952
    """
    return -math.expm1(-flaws_per_m * length_m)


def spare_ends(ends: int, flawed: float) -> int | None:
    """The fewest ends to wind beyond ``ends`` so that at least ``ends`` are sound with 95 % probability.

    None: more than as many again.

    >>> spare_ends(10, 0.1), spare_ends(10, 0.0)
    (3, 0)
    """
    from scipy.stats import binom  # takes 0.5 s to import: only for a cone with flaws

    low, high = 0, ends  # the probability grows with every end added
    if float(binom.sf(ends - 1, ends + high, 1 - flawed)) < SURE:
        return None
    while low < high:
        middle = (low + high) // 2
        if float(binom.sf(ends - 1, ends + middle, 1 - flawed)) >= SURE:
            high = middle
        else:
            low = middle + 1
    return low


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    """A warning for each cone with flaws that gives ends to a warp that is still to be wound."""
    if plan.order.wound is not None:
        return
    show = Shown(plan.guild.units)
    flaws = {cone.key: cone.flaws_per_m for cone in plan.guild.cones}
    for key, use in ((need.yarn.key, use) for need in plan.yarns for use in need.uses if use.ends):
        length_m = plan.length_of(key)
        share = flawed_share(flaws[use.cone] or 0.0, length_m)
        if share <= 0:
            continue
        spare = spare_ends(use.ends, share)
        if spare == 0:
            continue
        wind = (
            phrase("use another cone for warp")
            if spare is None
            else phrase(
                "wind {spare:,} to spare, and at least {ends:,} are sound in 95 of 100 cases",
                spare=spare,
                ends=use.ends,
            )
        )
        yield Problem(
            "flawed-yarn",
            "warn",
            phrase(
                "Cone {cone} has flaws: of {ends:,} ends of {warp_length}, about {flawed:,.1f} have a knot "
                "or a weak spot; {wind}.",
                cone=plan.guild.name_of_cone(use.cone),
                ends=use.ends,
                warp_length=show.length(length_m),
                flawed=use.ends * share,
                wind=wind,
            ),
        )

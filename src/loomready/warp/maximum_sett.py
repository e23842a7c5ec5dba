"""Whether a cloth of the warp is set closer than its yarn allows."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.phrases import phrase
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp import stripe_setts
from loomready.warp.result import WarpPlan, Weft
from loomready.warp.rounding import at_most
from loomready.warp.sett import greatest_of
from loomready.warp.thickness import mean_diameter_mm


def greatest_per_cm(plan: WarpPlan, weft: Weft) -> float:
    """The maximum sett, ends per cm, of one cloth of the warp in its yarns."""
    return greatest_of(
        plan.order, plan.guild, weft.draft, weft.yarns, mean_diameter_mm, weft.stripes, weft.strands
    )


def least_greatest_per_cm(plan: WarpPlan) -> float:
    """The lowest of the maximum setts of the warp's cloths, ends per cm."""
    return min(greatest_per_cm(plan, weft) for weft in plan.wefts)


def _cloth(weft: Weft) -> tuple[object, ...]:
    """What makes two cloths of a warp one for the maximum sett."""
    return id(weft.draft), weft.yarns, weft.stripes, weft.strands


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    """too-close: one problem for each cloth set closer than its maximum sett."""
    if plan.loom.kind == "inkle":
        return  # its bands are warp-faced
    if plan.sley is not None and plan.sley.denting and plan.order.stripes:
        yield from stripe_setts.of_warp(plan)
        return
    show, several, told = Shown(plan.guild.units), len(plan.wefts) > 1, set()
    for weft in plan.wefts:
        greatest, cloth = greatest_per_cm(plan, weft), _cloth(weft)
        if cloth in told or at_most(plan.sett_per_cm, greatest):
            continue
        told.add(cloth)
        place = phrase("In {piece}: ", piece=weft.label) if several else ""
        yield Problem(
            "too-close",
            "warn",
            phrase(
                "{place}{sett} is closer than the maximum sett of this yarn in this draft, {greatest}: the "
                "weft cannot be beaten in. Only a warp-faced cloth is sett this close.",
                place=place,
                sett=show.epi(plan.sett_per_cm),
                greatest=show.epi(greatest),
            ),
        )

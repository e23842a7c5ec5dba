"""The warning about threads that the file spaces unevenly: a plan sleys and beats evenly."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.draft.structure.spacing import uneven_side
from loomready.phrases import phrase
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp.result import WarpPlan


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    """uneven-spacing for the ends of the warp's draft and for the picks of each draft that is woven."""
    show = Shown(plan.guild.units)
    for said in uneven_side("end", plan.draft.warp_spacing_mm):
        yield Problem(
            "uneven-spacing",
            "warn",
            phrase("{uneven} The plan sleys by its own stripes, crammed and spaced.", uneven=said)
            if plan.sley is not None and plan.sley.denting
            else phrase(
                "{uneven} The plan sleys all ends at {sett}.",
                uneven=said,
                sett=show.epi(plan.sett_per_cm),
            ),
        )
    several = len({id(weft.draft) for weft in plan.wefts}) > 1
    for weft in {id(weft.draft): weft for weft in plan.wefts}.values():
        place = phrase("In {piece}: ", piece=weft.label) if several else ""
        for said in uneven_side("pick", weft.draft.weft_spacing_mm):
            yield Problem(
                "uneven-spacing",
                "warn",
                phrase(
                    "{place}{uneven} The plan counts the same number of picks everywhere: {picks}.",
                    place=place,
                    uneven=said,
                    picks=show.ppi(weft.picks_per_cm),
                ),
            )

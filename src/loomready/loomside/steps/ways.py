"""What a warp does in another way than most, as the planning page shows it."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.loomside.steps import direct, painting, second_told, sectional, tying_in
from loomready.phrases import ENGLISH, Catalog, Phrase, phrase, some
from loomready.units import Shown
from loomready.warp.result import WarpPlan

PICTURE = (360, 64)  # px


@dataclass(frozen=True, slots=True)
class Way:
    """One thing that is done in another way: its name, in few words what, and all about it, a line each.

    ``picture``: an SVG that shows it, or "".
    """

    key: str
    label: Phrase
    value: Phrase | str
    lines: tuple[Phrase, ...]
    picture: str = ""


def ways(plan: WarpPlan, catalog: Catalog = ENGLISH) -> tuple[Way, ...]:
    """What this warp does in another way than most; none for most warps.

    :param catalog: for the words in pictures
    """
    return tuple(_ways(plan, catalog))


def _ways(plan: WarpPlan, catalog: Catalog) -> list[Way]:
    made = []
    if plan.sections is not None:
        count = some(len(plan.sections.ends), "section")
        made.append(Way("sections", phrase("Sectional beam"), count, tuple(sectional.lines(plan))))
    if plan.tied is not None:
        knots = phrase(
            "{knots} to {warp}", knots=some(plan.tied.knots, "knot"), warp=plan.tied.old.order.name
        )
        made.append(Way("tied", phrase("Tied on"), knots, tuple(tying_in.lines(plan))))
    if plan.second is not None:
        brief = phrase(
            "{ends}, {length}",
            ends=some(plan.second.ends, "end"),
            length=Shown(plan.guild.units).length(plan.second.length_m),
        )
        made.append(Way("second", phrase("Second warp"), brief, tuple(second_told.lines(plan))))
    direct_lines = direct.lines(plan)
    if direct_lines:
        made.append(Way("direct", phrase("Tie-up"), phrase("direct"), tuple(direct_lines)))
    bands = painting.stretches(plan)
    if bands:
        drawn = painting.picture(plan, *PICTURE, catalog)
        told = some(len(bands), "band")
        made.append(Way("painted", phrase("Painted warp"), told, tuple(painting.lines(plan)), drawn))
    return made

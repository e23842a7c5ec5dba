"""What a warp does in another way than most, as the planning page shows it."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.loomside.steps import direct, sectional, tying_in
from loomready.phrases import Phrase, phrase, some
from loomready.warp.result import WarpPlan


@dataclass(frozen=True, slots=True)
class Way:
    """One thing that is done in another way: its name, in few words what, and all about it, a line each."""

    key: str
    label: Phrase
    value: Phrase | str
    lines: tuple[Phrase, ...]


def ways(plan: WarpPlan) -> tuple[Way, ...]:
    """What this warp does in another way than most; none for most warps."""
    return tuple(_ways(plan))


def _ways(plan: WarpPlan) -> list[Way]:
    made = []
    if plan.sections is not None:
        count = some(len(plan.sections.ends), "section")
        made.append(Way("sections", phrase("Sectional beam"), count, tuple(sectional.lines(plan))))
    if plan.tied is not None:
        knots = phrase("{knots} to {warp}", knots=some(plan.tied.knots, "knot"), warp=plan.tied.old.order.key)
        made.append(Way("tied", phrase("Tied on"), knots, tuple(tying_in.lines(plan))))
    direct_lines = direct.lines(plan)
    if direct_lines:
        made.append(Way("direct", phrase("Tie-up"), phrase("direct"), tuple(direct_lines)))
    return made

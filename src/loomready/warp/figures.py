"""The figures of a plan, each with its formula, inputs and source.

Screens, sheets and the command line all show these, so that a figure is calculated and worded once.
"""

from __future__ import annotations

from dataclasses import dataclass

from loomready.units import Shown
from loomready.warp.result import WarpPlan, YarnNeed
from loomready.yarn.label import is_before_twisting, label

CUSTOM = "common practice, no source"
GUM = "JCGM 100:2008, Evaluation of measurement data, 4.3.7 and 5.1"
ASHENHURST = "T. R. Ashenhurst, A Treatise on Textile Calculations, 1884"


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: ``value`` as shown; ``formula`` in words; ``inputs`` as (name, value); where it is from.

    ``asked``: what was asked for, as shown, where the plan gives something else.
    """

    key: str
    label: str
    value: str
    formula: str
    inputs: tuple[tuple[str, str], ...]
    source: str
    asked: str = ""

    @property
    def shown(self) -> str:
        """The value, with what was asked for beside it."""
        return f"{self.value} (asked for {self.asked})" if self.asked else self.value


def figures(plan: WarpPlan) -> tuple[Figure, ...]:
    """The main figures of a warp, in the order in which a weaver needs them."""
    show, order, web = Shown(plan.guild.units), plan.order, plan.web
    parts = plan.lengths
    wide, asked_wide = show.width(plan.finished_width_mm), show.width(order.finished_width_mm)
    made = [
        Figure(
            "ends",
            "Ends",
            f"{web.ends:,}",
            "repeats × ends in the repeat + ends outside it + selvedge ends + floating selvedges",
            (
                ("repeats", f"{web.repeats}"),
                ("ends in the repeat", f"{web.repeat_ends}"),
                ("ends outside it", f"{web.border_ends}"),
                ("selvedge ends", f"{2 * web.selvedge}"),
                ("floating selvedges", f"{web.floating}"),
            ),
            "the draft's own repeat; the number of repeats nearest to the wanted width",
        ),
        Figure(
            "width_in_reed",
            "Width in the reed",
            show.width(plan.width_in_reed_mm),
            "ends ÷ sett",
            (
                ("ends", f"{web.ends:,}"),
                ("sett", show.epi(plan.sett_per_cm)),
                ("wanted", show.width(plan.wanted_width_mm)),
            ),
            f"wanted = finished ÷ ((1 − shrinkage) × (1 − draw-in)): what is lost divides; {CUSTOM}",
        ),
        Figure(
            "finished_width",
            "Finished width",
            wide,
            "width in the reed × (1 − draw-in) × (1 − shrinkage)",
            (("draw-in", show.share(order.draw_in)), ("shrinkage", show.share(order.shrink_width))),
            CUSTOM,
            asked="" if asked_wide == wide else asked_wide,
        ),
        Figure(
            "sett",
            "Sett",
            show.epi(plan.sett_per_cm),
            "places of the heddle × ends per place"
            if plan.loom.is_rigid_heddle
            else "dents of the reed × ends per dent",
            (
                ("asked for", show.epi(plan.asked_sett_per_cm)),
                (
                    "heddle" if plan.loom.is_rigid_heddle else "reed",
                    plan.sley.reed.key if plan.sley else "none fits",
                ),
                (
                    "ends per place" if plan.loom.is_rigid_heddle else "ends per dent",
                    "-".join(map(str, plan.sley.cycle)) if plan.sley else "none",
                ),
            ),
            ASHENHURST if order.firmness is not None else "as asked for, with the reeds on hand",
        ),
        Figure(
            "warp_length",
            "Warp length",
            show.length(plan.warp_length_m),
            "woven length × (1 + take-up) + fringes + headers + sample + loom waste"
            if order.wound_length_m is None
            else "as wound",
            (
                ("woven", show.length(parts.woven_m)),
                ("take-up", show.share(order.take_up)),
                ("cloth with take-up", show.length(parts.cloth_m)),
                ("fringes", show.length(parts.fringe_m)),
                ("headers with take-up", show.length(parts.header_m)),
                ("sample", show.length(parts.sample_m)),
                ("loom waste", show.length(parts.waste_m)),
                ("needed", show.length(parts.needed_m)),
            ),
            f"take-up is added, shrinkage divides; {CUSTOM}",
        ),
        Figure(
            "picks",
            "Picks",
            f"{plan.picks:,}",
            "picks to the length × woven length, rounded up for each piece, and for a hem with a "
            "weave of its own",
            (("picks", show.ppi(order.picks_per_cm)), ("woven", show.length(parts.woven_m))),
            "woven = (finished + both hems) ÷ (1 − shrinkage); " + CUSTOM,
        ),
        Figure(
            "bouts",
            "Bouts",
            f"{len(plan.bouts)}",
            "the fewest bouts within the limit, as equal as possible",
            (("at most", f"{order.max_bout_ends} ends"),),
            CUSTOM,
        ),
    ]
    return tuple(made)


def yarn_figures(plan: WarpPlan, need: YarnNeed) -> tuple[Figure, ...]:
    """What is still needed of a yarn and what is surely on hand, each with how it is calculated."""
    show = Shown(plan.guild.units)
    taken = (("taken already", show.yarn_needed(need.taken_m)),) if need.taken_m > 0 else ()
    return (
        Figure(
            "need",
            f"{need.yarn.name}: needed",
            show.yarn_needed(need.wanted_m),
            "ends × warp length + picks × width in the reed × (1 + weft take-up)",
            (
                ("ends", f"{need.warp_ends:,}"),
                ("warp length", show.length(plan.warp_length_m)),
                ("warp", show.yarn_needed(need.warp_m)),
                ("weft", show.yarn_needed(need.weft_m)),
                *taken,
                ("weft take-up", show.share(plan.order.weft_take_up)),
            ),
            CUSTOM,
        ),
        Figure(
            "sure",
            f"{need.yarn.name}: sure",
            show.yarn_there(need.sure_m),
            "expected − 1.6449 × its standard uncertainty, from scale, tare and the tolerance of the grist",
            (
                ("expected", show.yarn(need.on_shelf_m)),
                *_count(need),
                ("grist", show.grist(need.yarn.grist_m_per_g)),
                ("grist tolerance", f"± {show.share(need.yarn.tolerance)}"),
                ("reserve", show.share(plan.order.reserve)),
                ("available", show.yarn_there(need.available_m)),
            ),
            GUM,
        ),
    )


def _count(need: YarnNeed) -> tuple[tuple[str, str], ...]:
    """The count that the grist comes from. Twisting shortens a plied yarn: no part of the grist's band."""
    if not label(need.yarn):
        return ()
    name = "count, before twisting" if is_before_twisting(need.yarn) else "count"
    return ((name, label(need.yarn)),)

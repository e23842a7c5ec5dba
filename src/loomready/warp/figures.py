"""The figures of a plan, each with its formula, inputs and source.

Screens, sheets and the command line all show these, so that a figure is calculated and worded once.
"""

from __future__ import annotations

from dataclasses import dataclass

from loomready.phrases import Phrase, phrase
from loomready.units import Shown
from loomready.warp import rigid
from loomready.warp.result import WarpPlan, YarnNeed
from loomready.yarn.label import is_before_twisting, label

CUSTOM = phrase("common practice, no source")
GUM = phrase("JCGM 100:2008, Evaluation of measurement data, 4.3.7 and 5.1")
ASHENHURST = phrase("T. R. Ashenhurst, A Treatise on Textile Calculations, 1884")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: ``value`` as shown; ``formula`` in words; ``inputs`` as (name, value); where it is from.

    ``asked``: what was asked for, as shown, where the plan gives something else.
    """

    key: str
    label: Phrase
    value: str
    formula: Phrase
    inputs: tuple[tuple[Phrase, str], ...]
    source: Phrase
    asked: str = ""

    @property
    def shown(self) -> str:
        """The value, with what was asked for beside it."""
        return (
            phrase("{value} (asked for {asked})", value=self.value, asked=self.asked)
            if self.asked
            else self.value
        )


def figures(plan: WarpPlan) -> tuple[Figure, ...]:
    """The main figures of a warp, in the order in which a weaver needs them."""
    show, order, web = Shown(plan.guild.units), plan.order, plan.web
    parts, uneven = plan.lengths, plan.sley is not None and bool(plan.sley.denting)
    wide, asked_wide = show.width(plan.finished_width_mm), show.width(order.finished_width_mm)
    made = [
        Figure(
            "ends",
            phrase("Working ends") if web.is_doubled else phrase("Ends"),
            phrase("{ends:,}, {every_end:,} ends of yarn", ends=web.ends, every_end=web.every_end)
            if web.is_doubled
            else f"{web.ends:,}",
            phrase("repeats × ends in the repeat + ends outside it + selvedge ends + floating selvedges"),
            (
                (phrase("repeats"), f"{web.repeats}"),
                (phrase("ends in the repeat"), f"{web.repeat_ends}"),
                (phrase("ends outside it"), f"{web.border_ends}"),
                (phrase("selvedge ends"), f"{2 * web.selvedge}"),
                (phrase("floating selvedges"), f"{web.floating}"),
                *(
                    ((phrase("ends of yarn in each heddle"), f"{order.ends_per_heddle}"),)
                    if web.is_doubled
                    else ()
                ),
            ),
            phrase("the draft's own repeat; the number of repeats nearest to the wanted width"),
        ),
        Figure(
            "width_in_reed",
            width_label(plan),
            show.width(plan.width_in_reed_mm),
            phrase("dents used ÷ dents of the reed") if uneven else phrase("ends ÷ sett"),
            (
                *(
                    (
                        (phrase("dents used"), f"{plan.sley.dents:,}"),
                        (phrase("reed"), show.dents(plan.sley.reed.dents_per_cm)),
                    )
                    if plan.sley is not None and uneven
                    else (
                        (phrase("ends"), f"{web.ends:,}"),
                        (phrase("sett"), show.epi(plan.sett_per_cm)),
                    )
                ),
                (phrase("wanted"), show.width(plan.wanted_width_mm)),
            ),
            phrase(
                "wanted = opened width ÷ 2 ÷ ((1 − shrinkage) × (1 − draw-in)): what is lost divides; "
                "{custom}",
                custom=CUSTOM,
            )
            if order.opens_to == 2
            else phrase(
                "wanted = finished ÷ ((1 − shrinkage) × (1 − draw-in)): what is lost divides; {custom}",
                custom=CUSTOM,
            ),
        ),
        Figure(
            "finished_width",
            phrase("Opened width") if order.opens_to == 2 else phrase("Finished width"),
            wide,
            phrase("2 × width in the reed × (1 − draw-in) × (1 − shrinkage): it lies folded in the reed")
            if order.opens_to == 2
            else phrase("width in the reed × (1 − draw-in) × (1 − shrinkage)"),
            (
                (phrase("draw-in"), show.share(order.draw_in)),
                (phrase("shrinkage"), show.share(order.shrink_width)),
            ),
            CUSTOM,
            asked="" if asked_wide == wide else asked_wide,
        ),
        Figure(
            "sett",
            phrase("Sett"),
            phrase("{sett} on average", sett=show.epi(plan.sett_per_cm))
            if uneven
            else show.epi(plan.sett_per_cm),
            phrase("ends ÷ width in the reed: some dents have their own number of ends")
            if uneven
            else phrase("places of the heddle × ends per place")
            if plan.loom.is_rigid_heddle
            else phrase("as asked for: a warp-faced band has no reed")
            if plan.loom.kind == "inkle"
            else phrase("dents of the reed × ends per dent"),
            ((phrase("asked for"), show.epi(plan.asked_sett_per_cm)),)
            if plan.loom.kind == "inkle"
            else (
                (phrase("asked for"), show.epi(plan.asked_sett_per_cm)),
                (
                    phrase("heddle") if plan.loom.is_rigid_heddle else phrase("reed"),
                    plan.sley.reed.name if plan.sley else phrase("none fits"),
                ),
                (
                    phrase("ends per place") if plan.loom.is_rigid_heddle else phrase("ends per dent"),
                    per_dent(plan),
                ),
            ),
            ASHENHURST
            if order.firmness is not None
            else phrase("as asked for")
            if plan.loom.kind == "inkle"
            else phrase("as asked for, with the reeds on hand"),
        ),
        Figure(
            "warp_length",
            phrase("Warp length"),
            show.length(plan.warp_length_m),
            phrase("woven length × (1 + take-up) + fringes + headers + sample + loom waste")
            if order.wound_length_m is None
            else phrase("as wound"),
            (
                (phrase("woven"), show.length(parts.woven_m)),
                (phrase("take-up"), show.share(order.take_up)),
                (phrase("cloth with take-up"), show.length(parts.cloth_m)),
                (phrase("fringes"), show.length(parts.fringe_m)),
                *(
                    ((phrase("fringes in the loom waste"), show.length(parts.fringe_in_waste_m)),)
                    if parts.fringe_in_waste_m
                    else ()
                ),
                (phrase("headers with take-up"), show.length(parts.header_m)),
                (phrase("sample"), show.length(parts.sample_m)),
                (phrase("loom waste"), show.length(parts.waste_m)),
                (phrase("needed"), show.length(parts.needed_m)),
            ),
            phrase("take-up is added, shrinkage divides; {custom}", custom=CUSTOM),
        ),
        *_second(plan, show),
        Figure(
            "picks",
            phrase("Picks"),
            f"{plan.picks:,}",
            phrase(
                "picks to the length × woven length, rounded up for each piece, and for a hem with a weave "
                "of its own"
            ),
            ((phrase("picks"), show.ppi(order.picks_per_cm)), (phrase("woven"), show.length(parts.woven_m))),
            phrase("woven = (finished + both hems) ÷ (1 − shrinkage); {custom}", custom=CUSTOM),
        ),
        *_wound_in(plan, show),
    ]
    return tuple(made)


def _second(plan: WarpPlan, show: Shown) -> tuple[Figure, ...]:
    """The length of the second warp."""
    second, order = plan.second, plan.order
    if second is None:
        return ()
    parts = second.lengths
    measured = order.second_cut_m is not None and order.second_woven_m is not None
    said = order.second_take_up is not None
    return (
        Figure(
            "second_warp_length",
            phrase("Second warp length"),
            show.length(second.length_m),
            phrase("as the warp length, with the take-up of the second warp")
            if order.second_wound_length_m is None
            else phrase("as wound"),
            (
                (phrase("ends"), f"{second.ends:,}"),
                (phrase("woven"), show.length(parts.woven_m)),
                *(
                    (
                        (phrase("end drawn out of the sample"), show.piece(order.second_cut_m or 0.0)),
                        (phrase("sample as woven"), show.piece(order.second_woven_m or 0.0)),
                    )
                    if measured
                    else ()
                ),
                (phrase("take-up"), show.share(second.take_up)),
                (phrase("cloth with take-up"), show.length(parts.cloth_m)),
                (phrase("fringes"), show.length(parts.fringe_m)),
                (phrase("headers with take-up"), show.length(parts.header_m)),
                (phrase("sample"), show.length(parts.sample_m)),
                (phrase("loom waste"), show.length(parts.waste_m)),
                (phrase("needed"), show.length(parts.needed_m)),
            ),
            phrase("take-up = end drawn out ÷ sample as woven − 1, measured")
            if measured
            else phrase("take-up as asked for")
            if said
            else phrase("usual take-up; {custom}", custom=CUSTOM),
        ),
    )


def _wound_in(plan: WarpPlan, show: Shown) -> tuple[Figure, ...]:
    """The parts in which a warp is wound: sections or bouts. A band is wound whole on its inkle loom: the
    string heddles through which it goes."""
    if plan.loom.kind == "inkle":
        strings = rigid.string_heddles(plan)
        if strings is None:
            return ()
        return (
            Figure(
                "string_heddles",
                phrase("String heddles"),
                f"{strings.needed:,}",
                phrase("one for each heddled end: every other end"),
                (
                    (phrase("on the loom"), f"{strings.there:,}"),
                    (phrase("to tie"), f"{strings.to_tie:,}"),
                ),
                CUSTOM,
            ),
        )
    return (
        Figure(
            "sections",
            phrase("Sections"),
            f"{len(plan.bouts)}",
            phrase("ends ÷ (section width × sett), rounded up"),
            (
                (phrase("section width"), show.width(plan.sections.width_mm)),
                (phrase("sett"), show.epi(plan.sett_per_cm)),
                (phrase("on the beam"), f"{plan.sections.on_beam}"),
            ),
            CUSTOM,
        )
        if plan.sections is not None
        else Figure(
            "bouts",
            phrase("Bouts"),
            f"{len(plan.bouts)}",
            phrase("the fewest bouts within the limit, as equal as possible"),
            (
                (
                    phrase("at most"),
                    phrase("{max_bout_ends} ends of yarn", max_bout_ends=plan.order.max_bout_ends),
                ),
            ),
            CUSTOM,
        ),
    )


def width_label(plan: WarpPlan) -> Phrase:
    """What the width of the warp is called: on an inkle loom and in a rigid heddle it lies in no reed."""
    if plan.loom.kind == "inkle":
        return phrase("Width on the loom")
    if plan.loom.is_rigid_heddle:
        return phrase("Width in the heddle") if plan.loom.shafts == 1 else phrase("Width in the heddles")
    return phrase("Width in the reed")


def per_dent(plan: WarpPlan) -> str:
    """Ends in each dent, in short."""
    sley = plan.sley
    if sley is None:
        return phrase("none")
    if sley.denting and not plan.order.stripes:
        return phrase("{cycle}, wider at the fold", cycle=sley.told)
    if sley.denting:
        return phrase("by stripes, at most {most}", most=sley.most)
    return sley.told


def yarn_figures(plan: WarpPlan, need: YarnNeed) -> tuple[Figure, ...]:
    """What is still needed of a yarn and what is surely on hand, each with how it is calculated."""
    show = Shown(plan.guild.units)
    doubled_weft = any(weft.strands > 1 for weft in plan.wefts)
    taken = ((phrase("taken already"), show.yarn_needed(need.taken_m)),) if need.taken_m > 0 else ()
    return (
        Figure(
            "need",
            phrase("{yarn}: needed", yarn=need.yarn.name),
            show.yarn_needed(need.wanted_m),
            phrase("ends × warp length + picks × width in the reed × (1 + weft take-up)")
            if not doubled_weft
            else phrase(
                "ends × warp length + picks × strands in each × width in the reed × (1 + weft take-up)"
            ),
            (
                (phrase("ends"), f"{need.warp_ends:,}"),
                (phrase("warp length"), show.length(plan.length_of(need.yarn.key))),
                (phrase("warp"), show.yarn_needed(need.warp_m)),
                (phrase("weft"), show.yarn_needed(need.weft_m)),
                *taken,
                (phrase("weft take-up"), show.share(plan.order.weft_take_up)),
            ),
            CUSTOM,
        ),
        Figure(
            "sure",
            phrase("{yarn}: sure", yarn=need.yarn.name),
            show.yarn_there(need.sure_m),
            phrase(
                "expected − 1.6449 × its standard uncertainty, from scale, tare and the tolerance of the "
                "grist"
            ),
            (
                (phrase("expected"), show.yarn(need.on_shelf_m)),
                *_count(need),
                (phrase("grist"), show.grist(need.yarn.grist_m_per_g)),
                (phrase("grist tolerance"), f"± {show.share(need.yarn.tolerance)}"),
                (phrase("reserve"), show.share(plan.order.reserve)),
                (phrase("available"), show.yarn_there(need.available_m)),
            ),
            GUM,
        ),
    )


def _count(need: YarnNeed) -> tuple[tuple[Phrase, str], ...]:
    """The count that the grist comes from. Twisting shortens a plied yarn: no part of the grist's band."""
    if not label(need.yarn):
        return ()
    name = phrase("count, before twisting") if is_before_twisting(need.yarn) else phrase("count")
    return ((name, label(need.yarn)),)

"""The project record on paper: what was used, measured and learned, with what is known filled in."""

from __future__ import annotations

from loomready.loomside.steps import tying_in
from loomready.loomside.steps.doubled_told import ends_told
from loomready.model.dressing_order import jobs_in_order
from loomready.model.guild import Cone
from loomready.packet.options import USUAL, Options
from loomready.packet.words import Data, Letters, cut_short
from loomready.phrases import Phrase, listed, phrase
from loomready.report.money import money
from loomready.units import Shown
from loomready.warp.figures import width_label
from loomready.warp.result import ConeUse, WarpPlan, YarnNeed
from loomready.warp.rigid import through
from loomready.yarn.dates_taken import comes_off

JOBS = {
    "winding": phrase("Winding"),
    "beaming": phrase("Beaming"),
    "sleying": phrase("Sleying"),
    "threading": phrase("Threading"),
    "tying": phrase("Tying on"),
    "test-weave": phrase("Test weave"),
    "weaving": phrase("Weaving"),
}


def record(plan: WarpPlan, letters: Letters, options: Options = USUAL) -> Data:
    return {
        "lines": [
            {"what": what, "planned": planned, "known": known} for what, planned, known in _lines(plan)
        ],
        "days": _days(plan),
        "cones": _cones(plan, letters),
        "cost": _cost(plan, letters),
        "hours": _hours(plan) if options.hours else [],
    }


def _second_length(plan: WarpPlan, show: Shown) -> list[tuple[Phrase, str, str]]:
    second, wound_m = plan.second, plan.order.second_wound_length_m
    if second is None:
        return []
    known = "" if wound_m is None else show.length(wound_m)
    return [(phrase("Second warp length, as wound"), show.length(second.lengths.needed_m), known)]


def _lines(plan: WarpPlan) -> list[tuple[Phrase, str, str]]:
    """Each measure with the figure planned, and the one known."""
    show, order = Shown(plan.guild.units), plan.order
    wound = "" if order.wound is None else ends_told(plan)
    length = "" if order.wound_length_m is None else show.length(order.wound_length_m)
    needed = plan.lengths.needed_m if length else plan.warp_length_m
    woven = "" if order.woven_picks is None else f"{order.woven_picks:,}"
    finished_m = sum(item.finished_length_m * item.count for item in order.items)
    return [
        (phrase("Ends wound"), ends_told(plan), wound),
        (phrase("Warp length, as wound"), show.length(needed), length),
        *_second_length(plan, show),
        (width_label(plan), show.width(plan.width_in_reed_mm), ""),
        (phrase("Width at the fell"), show.width(plan.width_in_reed_mm * (1 - order.draw_in)), ""),
        (
            phrase("Picks per inch") if show.us else phrase("Picks per cm"),
            show.ppi(order.picks_per_cm),
            "",
        ),
        (phrase("Picks woven"), f"{plan.picks:,}", woven),
        (phrase("Length woven, tension off"), show.length(plan.lengths.woven_m + order.sample_m), ""),
        (phrase("Width washed and dry"), show.width(plan.finished_width_mm), ""),
        (phrase("Length washed and dry, all pieces"), show.length(finished_m), ""),
        (phrase("Warp left over at the end"), show.length(plan.lengths.left_over_m), ""),
    ]


def _days(plan: WarpPlan) -> list[Data]:
    """When it was wound, and when it came off the loom, as far as known."""
    days = ((phrase("Wound on"), plan.order.wound), (phrase("Off the loom on"), plan.order.off))
    return [{"what": what, "day": "" if day is None else day.isoformat()} for what, day in days]


def _with_cone(need: YarnNeed, cone: Cone, length_m: float) -> float:
    """What the cone weighs with so much yarn on it, g."""
    return cone.tare_g + max(0.0, length_m) / need.yarn.grist_m_per_g


def _weight_before(plan: WarpPlan, need: YarnNeed, use: ConeUse, cone: Cone) -> str:
    """The cone before this warp: less what warps before it take; of a warp that is wound, as weighed before.

    Where the cone was weighed after the warp took its part, nothing is known.
    """
    show, wound = Shown(plan.guild.units), plan.order.wound
    if wound is None:
        return show.weight(_with_cone(need, cone, use.expected_before_m))
    return show.weight(cone.gross_g) if comes_off(wound, cone.weighed) else "–"


def _cones(plan: WarpPlan, letters: Letters) -> list[Data]:
    show, cones = Shown(plan.guild.units), {cone.key: cone for cone in plan.guild.cones}
    uses = [(need, use) for need in plan.yarns for use in need.uses if use.ends or use.weft_m]
    return [
        {
            "key": letters.cone(plan, use.cone),
            **letters.chip(plan, need.yarn.key),
            "before": _weight_before(plan, need, use, cones[use.cone]),
            "after": show.weight(_with_cone(need, cones[use.cone], use.expected_after_m)),
        }
        for need, use in uses
    ]


def _cost(plan: WarpPlan, letters: Letters) -> Data | None:
    """What the yarn costs as planned; None where the guild names no currency or no price."""
    show, currency = Shown(plan.guild.units), plan.guild.currency
    priced = [(need, need.cost) for need in plan.yarns if need.cost is not None]
    if currency is None or not priced:
        return None
    unpriced = [cut_short(need.yarn.name, 40) for need in plan.yarns if need.cost is None]
    return {
        "yarns": [
            {
                **letters.chip(plan, need.yarn.key),
                "weight": show.weight(need.weight_g),
                "cost": money(cost, currency),
            }
            for need, cost in priced
        ],
        "total": money(plan.cost_of_priced, currency),
        "unpriced": phrase("Without {yarns}: no price is given.", yarns=listed(unpriced)) if unpriced else "",
    }


def _hours(plan: WarpPlan) -> list[Phrase]:
    """The jobs in the order in which they are done, and finishing."""
    with_heddle = {"sleying"} if through(plan) is not None else set()  # with a heddle this is threading
    left_out = tying_in.left_out(plan) | with_heddle
    jobs = [JOBS[job] for job in jobs_in_order(plan.guild.dressing) if job not in left_out]
    return [*jobs, phrase("Finishing")]

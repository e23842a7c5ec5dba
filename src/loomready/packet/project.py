"""The project sheet: the figures, the yarn with its cones, what falls short and what can be done."""

from __future__ import annotations

from loomready.loomside.steps import painting
from loomready.loomside.steps.stripes_told import warp_told
from loomready.model.guild import Loom
from loomready.packet.pictures import face_of
from loomready.packet.words import Data, Letters, cut_short
from loomready.phrases import Phrase, listed, listed_with_and, phrase, some, word
from loomready.units import Shown
from loomready.warp.cloth_floats import floats_of
from loomready.warp.figures import figures
from loomready.warp.result import ConeUse, WarpPlan, YarnNeed
from loomready.yarn.label import label


def project(plan: WarpPlan, letters: Letters) -> Data:
    show = Shown(plan.guild.units)
    return {
        "title": plan.draft.title or "",
        "loom": _loom(plan.loom),
        "cloth": _cloth_told(plan),
        "verdict": _verdict(plan),
        "stopped": plan.stopped,
        "figures": [{"label": figure.label, "value": figure.shown} for figure in figures(plan)]
        + _more(plan, show),
        "stripes": warp_told(plan.order, plan.web.heddle_ends, plan.guild.names_of_yarns),
        "yarns": [_yarn(plan, letters, need, show) for need in plan.yarns],
        "has_cost": plan.guild.currency is not None and any(need.cost is not None for need in plan.yarns),
        "problems": [
            {
                "word": phrase("Stop") if problem.level == "stop" else phrase("Check"),
                "level": problem.level,
                "message": problem.message,
                "remedies": [remedy.says for remedy in problem.remedies],
            }
            for problem in plan.problems
        ],
        "sett": plan.sett_advice.lines(show),
        "notes": cut_short(" ".join((plan.draft.notes or "").split()), 600),
    }


def _cloth_told(plan: WarpPlan) -> Phrase:
    """What the picture of the cloth shows."""
    if face_of(plan) is not None:
        return phrase("The upper layer of the washed cloth at true size, from end 1.")
    if painting.stretches(plan):
        return phrase("The washed cloth at true size, from end 1, the warp undyed.")
    return phrase("The washed cloth at true size, from end 1.")


def _loom(loom: Loom) -> Phrase:
    shafts = some(loom.shafts, "heddle") if loom.is_rigid_heddle else some(loom.shafts, "shaft")
    if loom.kind == "inkle":
        return phrase("{loom}: {kind}", loom=loom.name, kind=phrase("inkle loom"))
    treadles = (some(loom.treadles, "treadle"),) if loom.treadles else ()
    if loom.direct_tie_up:
        treadles = (*treadles, phrase("direct tie-up"))
    return phrase("{loom}: {kind}", loom=loom.name, kind=listed((word(loom.kind), shafts, *treadles)))


def _verdict(plan: WarpPlan) -> Phrase:
    if plan.order.off is not None:
        return phrase("Off the loom: it needs no more yarn.")
    if plan.order.wound is not None:
        return (
            phrase("Wound, but see the stops below.")
            if plan.stopped
            else phrase("Wound: its warp yarn is off the shelf.")
        )
    if plan.stopped:
        return phrase("This warp can't be dressed as planned. See the stops below.")
    if plan.problems:
        return phrase("Can be wound. Check the notes below first.")
    return phrase("Ready to wind.")


def _more(plan: WarpPlan, show: Shown) -> list[Data]:
    web, order = plan.web, plan.order
    repeat = phrase("{repeats:,} × {ends}", repeats=web.repeats, ends=some(web.repeat_ends, "end"))
    if web.border_ends:
        repeat = phrase("{repeats} + {ends:,} outside", repeats=repeat, ends=web.border_ends)
    longest = floats_of(plan, plan.wefts[0])
    more: list[tuple[Phrase, str]] = [
        (phrase("Repeats"), repeat),
        (phrase("Picks in the cloth"), show.ppi(order.picks_per_cm)),
        (phrase("Take-up, draw-in"), f"{show.share(order.take_up)}, {show.share(order.draw_in)}"),
        (
            phrase("Shrinkage length, width"),
            f"{show.share(order.shrink_length)}, {show.share(order.shrink_width)}",
        ),
        (
            phrase("Longest floats"),
            listed((_warp_float(longest.warp_threads), _weft_float(longest.weft_threads)))
            if longest
            else phrase("not counted: the layers cannot be told apart"),
        ),
    ]
    if web.selvedge:
        more.append((phrase("Selvedges"), phrase("{ends} at each side", ends=some(web.selvedge, "end"))))
    if web.floating:
        more.append((phrase("Floating selvedges"), f"{web.floating}"))
    if order.layers > 1:
        more.append((phrase("Layers of cloth"), f"{order.layers}"))
    return [{"label": label, "value": value} for label, value in more]


def _warp_float(threads: int | None) -> Phrase:
    return phrase("loose warp") if threads is None else phrase("{threads} warp", threads=threads)


def _weft_float(threads: int | None) -> Phrase:
    return phrase("loose weft") if threads is None else phrase("{threads} weft", threads=threads)


def _yarn(plan: WarpPlan, letters: Letters, need: YarnNeed, show: Shown) -> Data:
    wanted_m = need.wanted_m
    longest_m = max(wanted_m, need.on_shelf_m) or 1.0
    grist = show.grist(need.yarn.grist_m_per_g)
    return {
        **letters.chip(plan, need.yarn.key),
        "full_name": cut_short(need.yarn.name, 70),
        "count": cut_short(label(need.yarn), 40),
        "grist": phrase("{grist} (estimated)", grist=grist) if need.yarn.estimated else grist,
        "warp": listed((some(need.warp_ends, "end"), show.yarn_needed(need.warp_m)))
        if need.warp_ends
        else "–",
        "weft": show.yarn_needed(need.weft_m) if need.weft_m else "–",
        "bobbins": phrase("about {bobbins}", bobbins=some(need.bobbins, "bobbin")) if need.bobbins else "",
        "needed": show.yarn_needed(wanted_m),
        "taken": phrase("{taken} taken already", taken=show.yarn_needed(need.taken_m))
        if need.taken_m > 0
        else "",
        "weight": show.weight(need.weight_g),
        "cost": f"{need.cost:,.2f} {plan.guild.currency}"
        if need.cost is not None and plan.guild.currency
        else "",
        "on_shelf": show.yarn(need.on_shelf_m),
        "sure": show.yarn_there(need.sure_m),
        "available": show.yarn_there(need.available_m),
        "enough": need.enough,
        "lacks": _lacks(need, show),
        "bar": {
            "needed": round(100 * wanted_m / longest_m, 3),
            "expected": round(100 * need.on_shelf_m / longest_m, 3),
            "available": round(100 * min(need.available_m, longest_m) / longest_m, 3),
        },
        "cones": [_cone(plan, letters, use, show) for use in need.uses],
    }


def _lacks(need: YarnNeed, show: Shown) -> Phrase:
    told = []
    if need.missing_ends:
        told.append(some(need.missing_ends, "warp end"))
    if need.missing_weft_m:
        told.append(phrase("{missing_weft} of weft", missing_weft=show.yarn_needed(need.missing_weft_m)))
    if told:
        return phrase("short {yarn}", yarn=listed_with_and(told))
    return phrase("enough") if need.enough else phrase("short")


def _cone(plan: WarpPlan, letters: Letters, use: ConeUse, show: Shown) -> Data:
    parts = []
    if use.ends:
        parts.append(some(use.ends, "end"))
    if use.weft_m:
        parts.append(phrase("{weft} of weft", weft=show.yarn_needed(use.weft_m)))
    return {
        "key": letters.cone(plan, use.cone),
        "gives": listed(parts) if parts else phrase("not used"),
        "left": phrase(
            "{expected_after} expected, {sure_after} sure",
            expected_after=show.yarn(use.expected_after_m),
            sure_after=show.yarn_there(use.sure_after_m),
        ),
    }

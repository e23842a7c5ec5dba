"""Double width and tubes in words: how the web opens, what is done at the fold, the tabby of each layer."""

from __future__ import annotations

from loomready.loomside.steps.threading import loom_shaft
from loomready.phrases import Phrase, listed, phrase, some, word
from loomready.units import Shown
from loomready.warp.double_cloth import Layers, Shafts, layers_in
from loomready.warp.result import WarpPlan, cycle_told

_LAYERS = (phrase("upper"), phrase("lower"))


def double_told(plan: WarpPlan) -> list[Phrase]:
    """Everything about the fold and the layers, a line for each point; nothing for cloth of one width."""
    if plan.order.double_cloth is None:
        return []
    found = layers_in(plan)
    layers = [] if found is None else [*shuttle_told(plan, found), *layers_told(plan, found)]
    return [_opens(plan), *fold_told(plan), *layers]


def _opens(plan: WarpPlan) -> Phrase:
    show = Shown(plan.guild.units)
    side = word("left" if plan.guild.end_1 == "right" else "right")
    if plan.order.double_cloth == "tube":
        return phrase(
            "A tube, folded at both edges: {finished} wide as it lies flat, {around} around.",
            finished=show.width(plan.finished_width_mm),
            around=show.width(2 * plan.finished_width_mm),
        )
    return phrase(
        "Double width: {in_reed} in the reed opens to {finished}. The fold is at end {last:,}, at the "
        "{side}; the other edge is open.",
        in_reed=show.width(plan.width_in_reed_mm),
        finished=show.width(plan.finished_width_mm),
        last=plan.web.ends,
        side=side,
    )


def fold_told(plan: WarpPlan) -> list[Phrase]:
    """What is other at the fold: ends left out, a wider sley."""
    order, made = plan.order, []
    if order.fold_left_out:
        made.append(
            phrase(
                "{ends} of the threading left out, so that the weave continues around the tube.",
                ends=some(order.fold_left_out, "end"),
            )
            if order.double_cloth == "tube"
            else phrase(
                "{ends} of the threading left out at the fold, so that it is no denser than the cloth.",
                ends=some(order.fold_left_out, "end"),
            )
        )
    if order.fold_sley:
        made.append(
            phrase(
                "At the fold, sley the outermost {dents} {sley} per dent, counted from the edge.",
                dents=some(len(order.fold_sley), "dent"),
                sley=cycle_told(order.fold_sley),
            )
        )
    return made


def shuttle_told(plan: WarpPlan, found: Layers) -> list[Phrase]:
    """In which order one shuttle weaves the layers, and from where; nothing if it weaves the other cloth.

    Double width is open at the side of end 1. The shuttle has to be at the fold when it goes to the other
    layer, so it starts at the open edge; at the fold, if two picks of one layer come first.
    """
    picks = found.layer_of_pick
    if found.turns != plan.order.double_cloth:
        return []
    if plan.order.double_cloth == "tube":
        return [
            phrase(
                "Weave with one shuttle, from either side: {order}, and so on. It goes to the other layer at "
                "both edges.",
                order=listed(_LAYERS[layer] for layer in picks[:2]),
            )
        ]
    before_fold = next(number for number in (1, 2) if picks[number - 1] != picks[number])
    from_open = before_fold % 2 == 1
    right = (plan.guild.end_1 == "right") == from_open
    edge = phrase("the open edge") if from_open else phrase("the fold")
    return [
        phrase(
            "Weave with one shuttle; pick 1 starts from the {side}, {edge}: {order}, and so on. So it "
            "goes to the other layer at the fold.",
            side=word("right" if right else "left"),
            edge=edge,
            order=listed(_LAYERS[layer] for layer in picks[:4]),
        )
    ]


def layers_told(plan: WarpPlan, found: Layers) -> list[Phrase]:
    """The shafts of each layer and the lifts of its tabby, in the loom's shafts."""
    made = []
    upper, lower = _named(plan, found.upper), _named(plan, found.lower)
    if found.upper_tabby is None:
        made.append(phrase("Upper layer: shafts {shafts}; this threading has no tabby for it.", shafts=upper))
    else:
        one, two = (_named(plan, shed) for shed in found.upper_tabby)
        made.append(
            phrase(
                "Upper layer: shafts {shafts}; its tabby lifts {one}, then {two}.",
                shafts=upper,
                one=one,
                two=two,
            )
        )
    if found.lower_tabby is None:
        made.append(phrase("Lower layer: shafts {shafts}; this threading has no tabby for it.", shafts=lower))
    else:
        one, two = (_named(plan, shed) for shed in found.lower_tabby)
        made.append(
            phrase(
                "Lower layer: shafts {shafts}; its tabby lifts {one}, then {two}, with the upper layer.",
                shafts=lower,
                one=one,
                two=two,
            )
        )
    return made


def _named(plan: WarpPlan, shafts: Shafts) -> str:
    on_loom = loom_shaft(plan)
    return " ".join(str(on_loom[shaft]) for shaft in sorted(shafts, key=lambda each: on_loom[each] or 0))

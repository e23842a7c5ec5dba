"""What to prepare before each job of dressing."""

from __future__ import annotations

from loomready.loomside.steps import painting, second_told, sectional, tying_in
from loomready.loomside.steps.double_told import double_told, fold_told
from loomready.loomside.steps.doubled_told import threading_told, winding_told
from loomready.loomside.steps.winding import counting_spread
from loomready.loomside.steps.words import folded
from loomready.phrases import Phrase, phrase, some, word
from loomready.units import Shown
from loomready.warp import rigid
from loomready.warp.result import WarpPlan


def ready(plan: WarpPlan, job: str) -> list[Phrase]:
    """What to do before the first step, one short line each."""
    forward = plan.dressing == "front to back"
    match job:
        case "winding":
            return _winding(plan)
        case "sleying":
            return _sleying(plan, forward)
        case "threading":
            return _threading(plan, forward)
        case "beaming":
            return _beaming(plan, forward)
        case "tying-in":
            return _tying_in(plan, forward)
        case "tying":
            return _tying(plan, forward)
        case "test-weave":
            return _test_weave(plan)
        case _:
            return _weaving(plan)


def _winding(plan: WarpPlan) -> list[Phrase]:
    show = Shown(plan.guild.units)
    if plan.loom.kind == "inkle":
        return [*rigid.lines(plan), *on_inkle_loom(plan)]
    if plan.sections is not None:
        return [*sectional.lines(plan), *in_sections(plan)]
    lines = [
        phrase(
            "Lay the guide string: {warp_length}, that is {same_length}.",
            warp_length=show.length(plan.warp_length_m),
            same_length=show.piece(plan.warp_length_m),
        ),
        *winding_told(plan),
        *second_told.winding_told(plan),
        phrase("Wind end 1 first; it will be at the {side} of the loom.", side=word(plan.guild.end_1)),
        phrase(
            "Tie each of the four arms of the cross separately, the end loop, and choke ties, one every yard "
            "or two."
        ),
    ]
    if painting.stretches(plan):
        lines.append(painting.LOOSE_TIES)
        lines.append(phrase("Tag the end that will be tied on: the painted bands are measured from it."))
    if plan.web.floating:
        lines.append(phrase("Ends 1 and {ends:,} are floating selvedges: tag them.", ends=plan.web.ends))
    return lines


def on_inkle_loom(plan: WarpPlan) -> list[Phrase]:
    """What to do while a band is wound on its loom, one short line each."""
    show = Shown(plan.guild.units)
    return [
        phrase(
            "Set the pegs and the tension peg to a way of {length}. Wind around them in one loop, end 1 at "
            "the {side}.",
            length=show.length(plan.warp_length_m),
            side=word(plan.guild.end_1),
        ),
        phrase(
            "A heddled end goes over the upper peg and through its string heddle as it is wound; an open one "
            "goes straight under it."
        ),
        phrase("Change yarns at the first peg: tie the new one to the old with a knot at the peg."),
        phrase("Wind evenly, not tightly: the tension peg does the rest."),
    ]


def in_sections(plan: WarpPlan) -> list[Phrase]:
    """What to do at the beam, one short line each."""
    return [
        phrase(
            "Thread the ends through the tension box in their order, end 1 at the {side}.",
            side=word(plan.guild.end_1),
        ),
        phrase("Set the turn counter to 0 for each section. Wind every section with the same tension."),
        phrase(
            "Before you cut a section, tape its ends flat in their order, and make its cross if the tension "
            "box can."
        ),
    ]


def _sleying(plan: WarpPlan, forward: bool) -> list[Phrase]:
    sley = plan.sley
    if sley is None:
        return []
    where = phrase(
        "Reed {reed}, {dents}: the first is dent {first_dent:,} from the {side}.",
        reed=sley.reed.name,
        dents=some(sley.dents, "dent"),
        first_dent=sley.first_dent,
        side=word(plan.guild.end_1),
    )
    if forward:
        return [
            phrase(
                "Put the lease sticks through the cross, tie their ends, and fix them in front of the reed."
            ),
            where,
            *fold_told(plan),
            *threading_told(plan),
            phrase("Take each end from the cross in order."),
        ]
    return [
        where,
        *fold_told(plan),
        *threading_told(plan),
        phrase("Take the ends from their heddles in order, without crossing them."),
    ]


def _threading(plan: WarpPlan, forward: bool) -> list[Phrase]:
    heddle = rigid.lines(plan)
    if heddle:
        return [phrase("Take each end from the cross in order."), *heddle]
    lines = [
        phrase(
            "Sit where you can reach every heddle. The reed's dents keep the order: take each end as it "
            "comes."
        )
        if forward
        else phrase("Take each end in its order, section by section, from the tape or the cross.")
        if plan.sections is not None
        else phrase("The lease sticks stay in behind the heddles: take each end from the cross in order."),
    ]
    lines += [*threading_told(plan), *second_told.threading_told(plan)]
    if plan.heddles.moved:
        lines.append(
            phrase(
                "Carry {heddles} first; the packet shows from where to where.",
                heddles=some(plan.heddles.moved, "heddle"),
            )
        )
    return lines


def _beaming(plan: WarpPlan, forward: bool) -> list[Phrase]:
    if forward:
        return [
            phrase("Every end is in its hole or slot. Tie the ends to the back apron, evenly.")
            if plan.loom.is_rigid_heddle
            else phrase(
                "Every end is in its heddle and in its dent. Tie the ends to the back apron, evenly."
            ),
            phrase("Comb the warp with your fingers, keep all of it tight, and wind; a helper holds it."),
            *second_told.beaming_told(plan),
        ]
    lines = [phrase("Put the lease sticks through the cross and tie their ends together.")]
    spread = counting_spread(plan.raddle)
    if spread is not None and plan.second is not None:
        lines.append(
            phrase(
                "Spread the ends in the raddle of {spacing}, a group between counting ties in each space, "
                "starting {spaces} from its center mark on the side of end 1. Skip the spaces for which "
                "the winding list has a 0.",
                spacing=spread.name,
                spaces=some(spread.from_center, "space"),
            )
        )
    elif spread is not None and not spread.repeats:
        lines.append(
            phrase(
                "Spread the ends in the raddle of {spacing}, crammed and spaced as in the reed: {groups} per "
                "space, starting {spaces} from its center mark on the side of end 1.",
                spacing=spread.name,
                groups=folded(list(spread.cycle)),
                spaces=some(spread.from_center, "space"),
            )
        )
    elif spread is not None:
        cycle = " · ".join(map(str, spread.cycle))
        lines.append(
            phrase(
                "Spread the ends in the raddle of {spacing}: {cycle} per space, as a repeat, starting "
                "{spaces} from its center mark on the side of end 1.",
                spacing=spread.name,
                cycle=cycle,
                spaces=some(spread.from_center, "space"),
            )
        )
    lines.append(phrase("Close the raddle. Untie the choke ties as they come, never before."))
    lines += second_told.beaming_told(plan)
    return lines


def _tying(plan: WarpPlan, forward: bool) -> list[Phrase]:
    first = (
        phrase("The beam is full.")
        if forward
        else phrase("Every end is through {heddles}.", heddles=rigid.the_heddle(plan.loom))
        if plan.loom.is_rigid_heddle
        else phrase("Every end is through heddle and reed.")
    )
    lines = [
        phrase(
            "{first} Knots of about {size}, from the middle.",
            first=first,
            size=phrase("an inch") if plan.guild.units == "us" else "2.5 cm",
        )
    ]
    lines += second_told.tying_told(plan)
    lines.append(phrase("First round: tie. Second round: even them by hand, then close the knots."))
    if plan.web.floating:
        lines.append(phrase("Weight each floating selvedge separately, or tie it with the outer knot."))
    return lines


def _tying_in(plan: WarpPlan, forward: bool) -> list[Phrase]:
    """The new ends meet the old ones in front of the reed, or behind the heddles, from the full beam."""
    if plan.loom.is_rigid_heddle:
        through = front = behind = rigid.the_heddle(plan.loom)
    else:
        through, front, behind = phrase("heddles and reed"), phrase("the reed"), phrase("the heddles")
    where = (
        phrase(
            "Leave the old ends in {through} and cut them in front of {front}, long enough to tie. Put the "
            "lease sticks through the cross of the new warp, in front of them.",
            through=through,
            front=front,
        )
        if forward
        else phrase(
            "Leave the old ends in {through} and cut them behind {behind}, long enough to tie. The new warp "
            "is on the beam, its cross on the lease sticks.",
            through=through,
            behind=behind,
        )
    )
    after = (
        phrase("Pull all knots gently through {through} to the back before you beam.", through=through)
        if forward
        else phrase(
            "Pull all knots gently through {through} to the front before you tie on.", through=through
        )
    )
    small = (
        phrase(
            "Tie each end from the cross, in order, to the next old end, with a knot that passes {heddles}.",
            heddles=rigid.the_heddle(plan.loom),
        )
        if plan.loom.is_rigid_heddle
        else phrase(
            "Tie each end from the cross, in order, to the next old end, with a knot that passes the dents."
        )
    )
    return [*tying_in.lines(plan), where, small, after]


def _test_weave(plan: WarpPlan) -> list[Phrase]:
    return [
        phrase("Weave a little waste yarn until the ends are evenly spaced."),
        phrase(
            "Take a smooth weft in a color that no warp end has, and beat so lightly that you see each pick."
        ),
        phrase("Then look along the cloth from below and from above, and along the reed against a light."),
    ]


def _weaving(plan: WarpPlan) -> list[Phrase]:
    lines = [
        phrase(
            "Weave a little waste yarn first, until the ends are evenly spaced. Count from the first "
            "pick after it."
        ),
        *double_told(plan),
        *second_told.tension_told(plan),
    ]
    if plan.web.floating:
        lines.append(
            phrase("Pass the shuttle over the floating selvedge where it enters, under it where it leaves.")
        )
    return lines

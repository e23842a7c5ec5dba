"""What to prepare before each job of dressing, and its safety notes."""

from __future__ import annotations

from collections.abc import Mapping

from loomready.loomside.steps.winding import counting_spread
from loomready.loomside.steps.words import some
from loomready.units import Shown
from loomready.warp import rigid
from loomready.warp.result import WarpPlan

# Safety notes for each job. Common practice, no source; the rules of the place come first.
_MOST = "change tasks after an hour and a half at most."
_BREAK = f"Take a break at least every half hour; {_MOST}"
_TIED = "Tie back hair, scarves and cords."
_RULES = "Follow the rules of the place first."
CARE: Mapping[str, tuple[str, ...]] = {
    "winding": ("Keep the floor clear around the board.", _BREAK, _RULES),
    "sleying": (_BREAK, _RULES),
    "threading": ("Keep feet off the treadles while hands are in the heddles.", _BREAK, _RULES),
    "beaming": (_TIED, "Keep fingers clear of the beam and its ratchet while it turns.", _BREAK, _RULES),
    "tying": ("Keep feet off the treadles while hands are at the shafts.", _BREAK, _RULES),
    "test-weave": ("Keep feet off the treadles while hands are in the heddles.", _BREAK, _RULES),
    "weaving": (
        _TIED,
        "Let nobody else touch treadles, jacks, levers or beater. Never leave a loom under tension "
        "near children: release it first.",
        f"Take a break at least every half hour of beating and bending; {_MOST}",
        _RULES,
    ),
}


def ready(plan: WarpPlan, job: str) -> list[str]:
    """What to do before the first step, one short line each."""
    forward = plan.guild.dressing == "front to back"
    match job:
        case "winding":
            return _winding(plan)
        case "sleying":
            return _sleying(plan, forward)
        case "threading":
            return _threading(plan, forward)
        case "beaming":
            return _beaming(plan, forward)
        case "tying":
            return _tying(plan, forward)
        case "test-weave":
            return _test_weave(plan)
        case _:
            return _weaving(plan)


def _winding(plan: WarpPlan) -> list[str]:
    show = Shown(plan.guild.units)
    lines = [
        f"Lay the guide string: {show.length(plan.warp_length_m)}, that is {show.piece(plan.warp_length_m)}.",
        f"Wind end 1 first; it will be at the {plan.guild.end_1} of the loom.",
        "Tie each of the four arms of the cross separately, the end loop, and a choke tie every yard or two.",
    ]
    if plan.web.floating:
        lines.append(f"Ends 1 and {plan.web.ends:,} are floating selvedges: tag them.")
    return lines


def _sleying(plan: WarpPlan, forward: bool) -> list[str]:
    sley = plan.sley
    if sley is None:
        return []
    where = (
        f"Reed {sley.reed.key}, {some(sley.dents, 'dent')}: the first is dent {sley.first_dent:,} from the "
        f"{plan.guild.end_1}."
    )
    if forward:
        return [
            "Put the lease sticks through the cross, tie their ends, and fix them in front of the reed.",
            where,
            "Take each end from the cross in order.",
        ]
    return [where, "Take the ends from their heddles in order, without crossing them."]


def _threading(plan: WarpPlan, forward: bool) -> list[str]:
    heddle = rigid.lines(plan)
    if heddle:
        return ["Take each end from the cross in order.", *heddle]
    lines = [
        "Sit where you can reach every heddle. The reed's dents keep the order: take each end as it comes."
        if forward
        else "The lease sticks stay in behind the heddles: take each end from the cross in order.",
    ]
    if plan.heddles.moved:
        lines.append(
            f"Carry {some(plan.heddles.moved, 'heddle')} first; the packet shows from where to where."
        )
    return lines


def _beaming(plan: WarpPlan, forward: bool) -> list[str]:
    if forward:
        return [
            "Every end is in its heddle and in its dent. Tie the ends to the back apron, evenly.",
            "Comb the warp with your fingers, keep all of it tight, and wind; a helper holds it.",
        ]
    lines = ["Put the lease sticks through the cross and tie their ends together."]
    spread = counting_spread(plan.raddle)
    if spread is not None:
        cycle = " · ".join(map(str, spread.cycle))
        lines.append(
            f"Spread the ends in the raddle of {spread.name}: {cycle} per space, as a repeat, starting "
            f"{some(spread.from_center, 'space')} from its center mark on the side of end 1."
        )
    lines.append("Close the raddle. Untie the choke ties as they come, never before.")
    return lines


def _tying(plan: WarpPlan, forward: bool) -> list[str]:
    first = "The beam is full." if forward else "Every end is through heddle and reed."
    lines = [
        f"{first} Knots of about {'an inch' if plan.guild.units == 'us' else '2.5 cm'}, from the middle."
    ]
    lines.append("First round: tie. Second round: even them by hand, then close the knots.")
    if plan.web.floating:
        lines.append("Weight each floating selvedge separately, or tie it with the outer knot.")
    return lines


def _test_weave(plan: WarpPlan) -> list[str]:
    return [
        "Weave a little waste yarn until the ends are evenly spaced.",
        "Take a smooth weft in a color that no warp end has, and beat so lightly that you see each pick.",
        "Then look along the cloth from below and from above, and along the reed against a light.",
    ]


def _weaving(plan: WarpPlan) -> list[str]:
    lines = [
        "Weave a little waste yarn first, until the ends are evenly spaced. Count from the first "
        "pick after it."
    ]
    if plan.web.floating:
        lines.append("Pass the shuttle over the floating selvedge where it enters, under it where it leaves.")
    return lines

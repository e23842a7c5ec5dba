"""The winding sheet: the length of the guide string, the bouts with their colors, cones and ties."""

from __future__ import annotations

from loomready.loomside.board.choice import way
from loomready.loomside.board.ties import choke_ties
from loomready.loomside.steps import second_told
from loomready.loomside.steps.doubled_told import ends_told, winding_told
from loomready.loomside.steps.painting import LOOSE_TIES, stretches
from loomready.loomside.steps.winding import counting_spread, cuts_a_group, groups_told
from loomready.loomside.steps.words import folded, span
from loomready.packet.words import Data, Letters, cut_short, runs_shown
from loomready.phrases import Phrase, joined, phrase, plural, some, word
from loomready.units import Shown
from loomready.warp.result import Bout, Lengths, RaddleSpread, WarpPlan


def winding(plan: WarpPlan, letters: Letters) -> Data:
    show = Shown(plan.guild.units)
    spread = counting_spread(plan.raddle)
    ties = groups_told(plan) if spread else [[] for _ in plan.bouts]
    side, other = plan.guild.end_1, "left" if plan.guild.end_1 == "right" else "right"
    return {
        "string": show.length(plan.warp_length_m),
        "string_too": show.piece(plan.warp_length_m),
        "string_why": _string_why(plan, plan.lengths, plan.order.wound_length_m, show),
        "second": _second(plan, show),
        "choke": _choke(plan, show),
        "order": phrase(
            "Wind bout 1 first, its end 1 first. End 1 will lie at the {side} of the loom, end {last:,} "
            "at the {other}.",
            side=word(side),
            last=plan.web.ends,
            other=word(other),
        ),
        "floating": _floating(plan),
        "side_by_side": _side_by_side(plan),
        "doubled": winding_told(plan),
        "tie_every": _tie_every(plan, spread),
        "raddle_head": phrase("Ends of both warps in each space")
        if plan.second is not None
        else phrase("Ends in each space, repeat")
        if all(one.repeats for one in plan.raddle)
        else phrase("Ends in each space, in order; 10 × 3 is three spaces of 10"),
        "raddle": [
            {
                "spacing": one.name,
                "cycle": " · ".join(map(str, one.cycle)) if one.repeats else folded(list(one.cycle)),
                "spaces": f"{one.spaces:,}",
                "first": f"{one.from_center:,}",
                "ties": one is spread,
            }
            for one in plan.raddle
            if plan.dressing == "back to front"  # else they are beamed from reed and heddles
        ],
        "bouts": [_bout(plan, letters, bout, groups) for bout, groups in zip(plan.bouts, ties, strict=True)],
        "ends": f"{plan.web.ends:,}",
        "yarn": _yarn(plan, show),
        "not_given": _not_given(plan),
        "board": _board(plan),
    }


def _yarn(plan: WarpPlan, show: Shown) -> Phrase:
    """The yarn of all bouts; where ends work as one, with what it is counted from."""
    length = show.yarn_needed(plan.warp_m)
    if not plan.web.is_doubled:
        return phrase("{length} of yarn", length=length)
    return phrase("{ends}: {length}", ends=ends_told(plan), length=length)


def _board(plan: WarpPlan) -> Data | None:
    """The path over the guild's board; None where there is none."""
    found = way(plan)
    if found is None:
        return None
    return {"name": cut_short(found.board, 60), "way": found.pegs, "says": found.length}


def _bout(plan: WarpPlan, letters: Letters, bout: Bout, groups: list[int]) -> Data:
    return {
        "number": f"{bout.number}",
        "warp": second_told.which(bout) if plan.second is not None else "",
        "ends": span(*second_told.ends_of(plan, bout)),
        "count": f"{bout.ends:,}",
        "colors": runs_shown(plan, letters, bout.colors),
        "cones": [{"key": letters.cone(plan, cone), "ends": f"{ends:,}"} for cone, ends in bout.cones],
        "lacking": _lacking(bout) if _not_given(plan) else "",
        "ties": folded(groups),
    }


def _lacking(bout: Bout) -> str:
    missing = bout.every_end - sum(ends for _, ends in bout.cones)
    return phrase("no cone for {ends}", ends=some(missing, "end")) if missing else ""


def _not_given(plan: WarpPlan) -> str:
    missing = sum(bout.every_end - sum(ends for _, ends in bout.cones) for bout in plan.bouts)
    if not missing or plan.order.wound is not None or plan.order.off is not None:
        return ""
    return plural(
        missing,
        "{count:,} end of this warp can't be wound from the shelf. Resolve this before you start.",
        "{count:,} ends of this warp can't be wound from the shelf. Resolve this before you start.",
    )


def _second(plan: WarpPlan, show: Shown) -> Data | None:
    """The guide string of the second warp, and how it is wound; None: one warp."""
    second = plan.second
    if second is None:
        return None
    return {
        "string": show.length(second.length_m),
        "string_too": show.piece(second.length_m),
        "string_why": _string_why(plan, second.lengths, plan.order.second_wound_length_m, show),
        "told": [*second_told.winding_told(plan), *second_told.beaming_told(plan)],
    }


def _string_why(plan: WarpPlan, parts: Lengths, wound_m: float | None, show: Shown) -> Phrase:
    told = [phrase("{cloth} for the cloth with its take-up", cloth=show.length(parts.cloth_m))]
    if parts.fringe_m:
        told.append(phrase("{fringe} of fringe", fringe=show.length(parts.fringe_m)))
    if parts.header_m:
        told.append(phrase("{header} for headers", header=show.length(parts.header_m)))
    if parts.sample_m:
        told.append(phrase("{sample} for the sample", sample=show.length(parts.sample_m)))
    told.append(phrase("{waste} of loom waste", waste=show.length(parts.waste_m)))
    if wound_m is not None:
        return phrase(
            "The length of the path on the board. Needed: {needed}, that is {sum}.",
            needed=show.length(parts.needed_m),
            sum=joined(" + ", told),
        )
    return phrase("{sum}.", sum=joined(" + ", told))


def _choke(plan: WarpPlan, show: Shown) -> Phrase:
    ties = some(choke_ties(plan.warp_length_m, show.us), "choke tie")
    told = (
        phrase("{ties} on each chain, about one every yard, the first close to the cross.", ties=ties)
        if show.us
        else phrase("{ties} on each chain, about one every meter, the first close to the cross.", ties=ties)
    )
    return joined(" ", (told, LOOSE_TIES if stretches(plan) else phrase("Tie them tight.")))


def _floating(plan: WarpPlan) -> str:
    if not plan.web.floating:
        return ""
    return phrase(
        "Ends 1 and {last:,} are floating selvedges: they are not threaded. They are counted in "
        "their bouts; tag them and keep them apart.",
        last=plan.web.ends,
    )


def _side_by_side(plan: WarpPlan) -> str:
    """A word on colors that change so often that tying on at each change would be foolish."""
    quick = any(
        one[1] <= 2 and two[1] <= 2
        for bout in plan.bouts
        for one, two in zip(bout.colors, bout.colors[1:], strict=False)
    )
    if quick:
        return phrase(
            "Where colors change every end or two, wind them together with a finger between the threads "
            "so that they don't twist, and lay them in the cross one by one in the order of the list."
        )
    if any(len(bout.colors) > 1 for bout in plan.bouts):
        return phrase(
            "At a change of color leave the old thread waiting at the end peg if it comes back soon; "
            "else cut it and tie on the new one at the end peg, never along the path."
        )
    return ""


def _tie_every(plan: WarpPlan, spread: RaddleSpread | None) -> str:
    if spread is None:
        return ""
    if plan.dressing == "front to back":
        return phrase("A counting tie after each group of the list, so that you can check the count.")
    told = _groups_fill(plan, spread)
    if not cuts_a_group(plan):
        return told
    return phrase(
        "{told} Where a bout ends inside a group, the first ends of the next bout fill its space.", told=told
    )


def _groups_fill(plan: WarpPlan, spread: RaddleSpread) -> Phrase:
    """What the groups between counting ties are in the raddle."""
    if plan.second is not None:
        return phrase(
            "A counting tie after each group of the list: what one space of a {spacing} raddle holds of this "
            "warp. 0: a space that stays empty.",
            spacing=spread.name,
        )
    groups = " · ".join(map(str, spread.cycle))
    if not spread.repeats:
        return phrase(
            "A counting tie after each group of the list: a group fills one space of a {spacing} raddle. "
            "The ends lie as close there as in the reed.",
            spacing=spread.name,
        )
    if len(set(spread.cycle)) == 1:
        return phrase(
            "A counting tie after every {groups} ends: each group fills one space of a {spacing} raddle.",
            groups=groups,
            spacing=spread.name,
        )
    return phrase(
        "A counting tie after every {groups} ends, repeat: each group fills one space of a {spacing} raddle.",
        groups=groups,
        spacing=spread.name,
    )

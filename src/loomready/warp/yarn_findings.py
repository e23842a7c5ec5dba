"""Problems with the yarn of a warp: too little of it, dye lots, cones that should be weighed again."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.phrases import Phrase, listed_with_and, phrase, plural, some, word
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp.result import WarpPlan, YarnNeed
from loomready.warp.rounding import at_most
from loomready.warp.shelf import Given
from loomready.yarn.dates_taken import comes_off, same_day_unclear


def of_warp(plan: WarpPlan, given: dict[str, Given]) -> Iterator[Problem]:
    """yarn-short, lots-mixed, lots-side-by-side and weigh-again of one warp."""
    yield from _short(plan, given)
    yield from weigh_again(plan, given)


def _short(plan: WarpPlan, given: dict[str, Given]) -> Iterator[Problem]:
    for need in plan.yarns:
        took = given[need.yarn.key]
        if not need.enough:
            if took.mixing_helps:
                yield Problem(
                    "lots-mixed",
                    "stop",
                    phrase(
                        "{short} in one dye lot; all lots together are enough if you let them mix.",
                        short=_lacks(plan, need),
                    ),
                )
            else:
                yield Problem(
                    "yarn-short",
                    "stop",
                    phrase("{short}. {why}", short=_lacks(plan, need), why=_why(plan, need)),
                )
        if took.mixed and plan.order.wound is None:
            lots = [lot or phrase("no lot recorded") for lot in took.lots]
            yield Problem(
                "lots-side-by-side",
                "warn",
                phrase(
                    "{yarn} comes from lots {lots} in one color: place them where a change of shade will not "
                    "show.",
                    yarn=need.yarn.name,
                    lots=listed_with_and(lots),
                ),
            )


def weigh_again(plan: WarpPlan, given: dict[str, Given]) -> Iterator[Problem]:
    for need in plan.yarns:
        took = given[need.yarn.key]
        if took.weigh_again:
            yield Problem(
                "weigh-again",
                "warn",
                phrase(
                    "{ends} more of {yarn} were wound than its cones showed before: weigh them again.",
                    ends=some(took.weigh_again, "end"),
                    yarn=need.yarn.name,
                ),
            )
        order = plan.order
        parts = [part.at for part in order.woven_from]
        takings = [each for each in (order.wound, order.off, order.woven_at, *parts) if each]
        same_day = [
            cone.key
            for cone in plan.guild.cones
            if cone.key in took.unclear and any(same_day_unclear(each, cone.weighed) for each in takings)
        ]
        guessed = [key for key in took.unclear if key not in same_day]
        if same_day:
            yield Problem(
                "weigh-again",
                "warn",
                plural(
                    len(same_day),
                    "{cones} was weighed on a day on which this warp took yarn. The plan assumes that the "
                    "weighing came first: weigh again.",
                    "{cones} were weighed on a day on which this warp took yarn. The plan assumes that the "
                    "weighing came first: weigh again.",
                    cones=listed_with_and(map(plan.guild.name_of_cone, same_day)),
                ),
            )
        if guessed:
            yield Problem(
                "weigh-again",
                "warn",
                plural(
                    len(guessed),
                    "{cones} was not weighed since this warp took {yarn}, but another cone was, and which "
                    "of them gave it is not recorded. The plan takes it off the one not weighed: weigh "
                    "again.",
                    "{cones} were not weighed since this warp took {yarn}, but another cone was, and which "
                    "of them gave it is not recorded. The plan takes it off the one not weighed: weigh "
                    "again.",
                    cones=listed_with_and(map(plan.guild.name_of_cone, guessed)),
                    yarn=need.yarn.name,
                ),
            )
    yield from _from_nowhere(plan)


def _from_nowhere(plan: WarpPlan) -> Iterator[Problem]:
    """Ends and weft named from a cone that cannot have given them, or that is not on the shelf."""
    order, yarn_of = plan.order, {cone.key: cone.yarn for cone in plan.guild.cones}
    asked = (
        ("warp", order.wound, order.warp_yarns, [each.cone for each in order.wound_from]),
        ("weft", order.off or order.woven_at, order.all_weft_yarns, [each.cone for each in order.woven_from]),
    )
    for part, moment, yarns, cones in asked:
        # A cone that is used up and gone is no fault, where the others were weighed since.
        unsure = moment is not None and any(
            comes_off(moment, cone.weighed) for cone in plan.guild.cones if cone.yarn in yarns
        )
        for key in dict.fromkeys(cones):
            if yarn_of.get(key) in yarns or not (key in yarn_of or unsure):
                continue
            why_not = phrase("is of another yarn") if key in yarn_of else phrase("is not on the shelf")
            yield Problem(
                "weigh-again",
                "warn",
                phrase(
                    "{cone} is written down as a cone that gave {warp_or_weft} yarn, and {why_not}: nothing "
                    "is taken off the shelf for it. Correct it, or weigh the cones of this warp again.",
                    cone=plan.guild.name_of_cone(key),
                    warp_or_weft=word(part),
                    why_not=why_not,
                ),
            )


def _lacks(plan: WarpPlan, need: YarnNeed) -> Phrase:
    show = Shown(plan.guild.units)
    parts = []
    if need.missing_ends:
        meters = need.missing_ends * plan.length_of(need.yarn.key)
        parts.append(
            phrase(
                "{ends} ({length})",
                ends=some(need.missing_ends, "warp end"),
                length=show.yarn_needed(meters),
            )
        )
    if need.missing_weft_m:
        parts.append(phrase("{length} of weft", length=show.yarn_needed(need.missing_weft_m)))
    return phrase("{yarn} is short {parts}", yarn=need.yarn.name, parts=listed_with_and(parts))


def _why(plan: WarpPlan, need: YarnNeed) -> Phrase:
    show = Shown(plan.guild.units)
    asked = []
    if need.warp_ends and plan.order.wound is None:
        asked.append(
            phrase(
                "{ends} of {warp_length}",
                ends=some(need.warp_ends, "end"),
                warp_length=show.length(plan.length_of(need.yarn.key)),
            )
        )
    if need.weft_m:
        asked.append(phrase("{length} of weft", length=show.yarn_needed(need.weft_m)))
    rests = (
        phrase(
            " Together they would be enough, but what is left on each cone is shorter than the warp and "
            "gives no end."
        )
        if need.missing_ends and at_most(need.wanted_m, need.available_m)
        else ""
    )
    return phrase(
        "It needs {parts}; {available} is available (sure {sure}, less the reserve).{rests}",
        parts=listed_with_and(asked),
        available=show.yarn_there(need.available_m),
        sure=show.yarn_there(need.sure_m),
        rests=rests,
    )

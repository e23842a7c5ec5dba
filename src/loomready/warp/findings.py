"""The problems of a plan, as messages. Remedies are found in remedies.py."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from loomready.draft.structure.analysis import Analysis
from loomready.draft.structure.periods import mirrors
from loomready.model.guild import Guild
from loomready.phrases import joined, listed, listed_with_and, phrase, some
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp import (
    cloth_findings,
    direct_findings,
    double_cloth,
    maximum_sett,
    mixed_shrinkage,
    rigid,
    second_findings,
    sections_findings,
    spare_ends,
    tied_findings,
    uneven_spacing,
    yarn_findings,
)
from loomready.warp.result import WarpPlan, cycle_told
from loomready.warp.rounding import at_most
from loomready.warp.shelf import Given
from loomready.warp.width import WIDTH_OFF, finished_width_mm

CROWDED = 4  # ends in a dent at most for smooth yarns (common practice, no source)


def of_guild(guild: Guild) -> tuple[Problem, ...]:
    """Problems of the warps taken together."""
    found = []
    for loom in guild.looms:
        names = [
            order.name
            for order in guild.warps
            if order.loom == loom.key and order.off is None and not order.loom_is_open
        ]
        if len(names) > 1:
            found.append(
                Problem(
                    "loom-shared",
                    "warn",
                    phrase(
                        "{loom} is planned for {names}: only one at a time.",
                        loom=loom.name,
                        names=listed_with_and(names),
                    ),
                )
            )
    return tuple(found)


def of_warp(plan: WarpPlan, drafts: dict[str, Analysis], given: dict[str, Given]) -> tuple[Problem, ...]:
    """Every problem of a warp, stops first. For a warp off the loom only its yarn matters."""
    if plan.order.off is not None:
        return tuple(yarn_findings.weigh_again(plan, given))
    found = [
        *_loom(plan),
        *_reed(plan),
        *maximum_sett.of_warp(plan),
        *_width(plan),
        *_heddles(plan),
        *sections_findings.of_warp(plan),
        *tied_findings.of_warp(plan),
        *rigid.of_warp(plan),
        *_length(plan),
        *second_findings.of_warp(plan),
        *yarn_findings.of_warp(plan, given),
        *spare_ends.of_warp(plan),
        *mixed_shrinkage.of_warp(plan),
        *cloth_findings.of_warp(plan, drafts),
        *uneven_spacing.of_warp(plan),
        *double_cloth.of_warp(plan),
        *_edges(plan),
        *_sheds(plan),
        *_treadles(plan),
        *direct_findings.of_warp(plan),
    ]
    return tuple(sorted(found, key=lambda problem: problem.level != "stop"))


def _loom(plan: WarpPlan) -> Iterator[Problem]:
    show, loom = Shown(plan.guild.units), plan.loom
    used = sum(count > 0 for count in plan.heddles.needed)
    if used > loom.draft_shafts:
        has = (
            phrase(
                "{heddles}, which with the slots weaves {draft_shafts}",
                heddles=some(loom.shafts, "heddle"),
                draft_shafts=loom.draft_shafts,
            )
            if loom.is_rigid_heddle
            else phrase("heddled and open ends, which weaves {shafts}", shafts=loom.draft_shafts)
            if loom.kind == "inkle"
            else loom.shafts
        )
        yield Problem(
            "too-many-shafts",
            "stop",
            phrase("The draft uses {used} shafts; {loom} has {has}.", used=used, loom=loom.name, has=has),
        )
    if not at_most(plan.width_in_reed_mm, loom.weaving_width_mm):
        yield Problem(
            "too-wide",
            "stop",
            phrase(
                "The web is {width_in_reed} wide in the reed; {loom} weaves {weaving_width}.",
                width_in_reed=show.width(plan.width_in_reed_mm),
                loom=loom.name,
                weaving_width=show.width(loom.weaving_width_mm),
            ),
        )


def _reed(plan: WarpPlan) -> Iterator[Problem]:
    show, sley = Shown(plan.guild.units), plan.sley
    own = rigid.own_reed(plan.loom) is not None
    if sley is None:
        if plan.loom.kind == "inkle":
            return  # it has none
        if plan.loom.is_rigid_heddle and not plan.guild.reeds:
            return  # the no-gauge problem covers this
        longest = phrase(
            "{loom} takes no reed longer than {takes_reed}",
            loom=plan.loom.name,
            takes_reed=show.width(plan.loom.takes_reed_mm),
        )
        yield Problem(
            "too-narrow-reed",
            "stop",
            phrase("{longest}; every reed to choose from is longer.", longest=longest)
            if plan.guild.reeds
            else phrase("There is no reed in the guild file."),
        )
        return
    holder = plan.reeds.holder(sley.reed)
    if holder is not None:
        yield Problem(
            "reed-shared",
            "warn",
            phrase(
                "Warp {other_warp} is in reed {reed}, and no other reed is left for this one: two warps on "
                "their looms at once cannot share a reed.",
                other_warp=plan.guild.name_of_warp(holder),
                reed=sley.reed.name,
            ),
        )
    if not sley.fits and (
        sley.dents > sley.reed_dents or not at_most(plan.width_in_reed_mm, sley.reed.width_mm)
    ):
        yield Problem(
            "too-narrow-reed",
            "stop",
            phrase(
                "The heddle of {loom} has {reed_dents:,} holes and slots across; the web needs {dents:,}.",
                loom=plan.loom.name,
                reed_dents=sley.reed_dents,
                dents=sley.dents,
            )
            if own
            else phrase(
                "{reeds} is wide enough for {width_in_reed} of web.",
                reeds=_reeds(plan),
                width_in_reed=show.width(plan.width_in_reed_mm),
            ),
        )
    if not sley.within:
        yield Problem(
            "no-sley",
            "warn",
            phrase(
                "The heddle of {loom} gives {sett}; {asked_sett} was asked for.",
                loom=plan.loom.name,
                sett=show.epi(sley.sett_per_cm),
                asked_sett=show.epi(plan.asked_sett_per_cm),
            )
            if own
            else phrase(
                "Tied on to warp {warp}, this one is sleyed as it was: {sett} in reed {reed}, {cycle} per "
                "dent. {asked_sett} was asked for.",
                warp=plan.tied.old.order.name,
                sett=show.epi(sley.sett_per_cm),
                reed=sley.reed.name,
                cycle=sley.told,
                asked_sett=show.epi(plan.asked_sett_per_cm),
            )
            if plan.tied is not None and plan.order.set_reed is None and plan.order.set_sley is None
            else phrase(
                "{reeds} comes within 3 % of {asked_sett}; the nearest is {sett} in reed {reed}, {cycle} per "
                "dent.",
                reeds=_reeds(plan),
                asked_sett=show.epi(plan.asked_sett_per_cm),
                sett=show.epi(sley.sett_per_cm),
                reed=sley.reed.name,
                cycle=sley.told,
            ),
        )
    if sley.most > CROWDED:
        yield Problem(
            "crowded-dent",
            "warn",
            phrase(
                "{ends} ends per dent: only smooth, fine yarn weaves well this way. Use another reed or a "
                "wider sett.",
                ends=sley.most,
            ),
        )


def _reeds(plan: WarpPlan) -> str:
    """What could be chosen from, as the beginning of a sentence that none of it serves."""
    order = plan.order
    limits = [phrase("reed {reed}", reed=order.set_reed)] if order.set_reed else []
    if order.set_sley:
        limits.append(phrase("{cycle} a dent", cycle=cycle_told(order.set_sley)))
    if not limits and plan.reeds.held:
        return phrase("No free reed that {loom} takes", loom=plan.loom.name)
    if not limits:
        return phrase("No reed that {loom} takes", loom=plan.loom.name)
    if order.reed is not None or order.sley is not None:
        return phrase("No sley that you allow ({limits})", limits=listed(limits))
    return phrase("No sley that this warp was wound for ({limits})", limits=listed(limits))


def _width(plan: WarpPlan) -> Iterator[Problem]:
    show, asked_mm, got_mm = Shown(plan.guild.units), plan.order.finished_width_mm, plan.finished_width_mm
    if not at_most(abs(got_mm - asked_mm), WIDTH_OFF * asked_mm):
        repeat_mm = finished_width_mm(plan.order, plan.web.repeat_ends, plan.sett_per_cm)
        yield Problem(
            "width-off",
            "warn",
            phrase(
                "You asked for {asked} finished; this plan gives {got}. A repeat is {repeat} wide.",
                asked=show.width(asked_mm),
                got=show.width(got_mm),
                repeat=show.width(repeat_mm),
            ),
        )


def _heddles(plan: WarpPlan) -> Iterator[Problem]:
    heddles, total = plan.heddles, sum(plan.loom.heddles)
    if heddles.short:
        yield Problem(
            "heddles-short",
            "stop",
            phrase(
                "{loom} is short {heddles}: the warp needs {needed}, it has {total}.",
                loom=plan.loom.name,
                heddles=some(heddles.short, "heddle"),
                needed=sum(heddles.needed),
                total=total,
            ),
        )
    elif heddles.moved:
        moves = joined(
            "; ",
            (
                phrase(
                    "{heddles} from shaft {from_shaft} to {to_shaft}",
                    heddles=move.count,
                    from_shaft=move.from_shaft,
                    to_shaft=move.to_shaft,
                )
                for move in heddles.moves
            ),
        )
        saved = heddles.moved - heddles.least_moved
        other = phrase(" Shafts in another order would save {saved} of them.", saved=saved) if saved else ""
        yield Problem(
            "heddles-move",
            "warn",
            phrase(
                "{heddles} must move: {moves}.{other}",
                heddles=some(heddles.moved, "heddle"),
                moves=moves,
                other=other,
            ),
        )


def _length(plan: WarpPlan) -> Iterator[Problem]:
    show, need = Shown(plan.guild.units), plan.lengths.needed_m
    longest = plan.loom.longest_warp_m
    if longest is not None and not at_most(plan.warp_length_m, longest):
        yield Problem(
            "too-long",
            "stop",
            phrase(
                "The warp is {warp_length} long; {loom} holds {longest}.",
                warp_length=show.length(plan.warp_length_m),
                loom=plan.loom.name,
                longest=show.length(longest),
            ),
        )
    if not at_most(need, plan.warp_length_m):
        lack = need - plan.warp_length_m
        yield Problem(
            "wound-short",
            "stop",
            phrase(
                "The warp is wound {warp_length} long and needs {need}: {lack} short.",
                warp_length=show.length(plan.warp_length_m),
                need=show.length(need),
                lack=show.piece(lack),
            ),
        )


def _edges(plan: WarpPlan) -> Iterator[Problem]:
    web = plan.web
    if web.repeat_ends <= 2:
        return
    lowest = int(web.role.max()) + 1
    threads = web.shaft if plan.order.stripes else web.shaft * lowest + web.role
    inner = threads[web.floating // 2 : web.ends - web.floating // 2]
    first = web.repeat_starts[0]
    repeat = threads[first : first + web.repeat_ends]
    if not mirrors(repeat) or np.array_equal(inner, inner[::-1]):
        return
    helps = ""
    if plan.order.repeat_ends is None and not web.selvedge:
        more = _balancing(inner, np.roll(repeat, -web.border_ends))
        helps = (
            phrase(" {ends} more of the repeat after the last would make them match.", ends=some(more, "end"))
            if more
            else ""
        )
    yield Problem(
        "unbalanced-edge",
        "warn",
        phrase("The repeat is symmetrical, but the two edges do not match.{helps}", helps=helps),
    )


def _balancing(threads: np.ndarray, following: np.ndarray) -> int | None:
    """The fewest of the following threads that make the whole symmetrical."""
    for more in (np.flatnonzero(following[:-1] == threads[0]) + 1).tolist():
        grown = np.concatenate([threads, following[:more]])
        if np.array_equal(grown, grown[::-1]):
            return int(more)
    return None


def _sheds(plan: WarpPlan) -> Iterator[Problem]:
    loom = plan.loom
    used = np.flatnonzero(np.asarray(plan.heddles.needed) > 0)
    for weft in {id(weft.draft): weft for weft in plan.wefts}.values():
        lifts = weft.draft.lifts[:, used]
        if loom.kind == "counterbalance":
            uneven = np.flatnonzero(2 * lifts.sum(axis=1) != used.size) + 1
            if uneven.size:
                yield Problem(
                    "uneven-shed",
                    "warn",
                    phrase(
                        "{loom} opens best with half the shafts up; {uneven} of {picks} are uneven, the "
                        "first is pick {first}.",
                        loom=loom.name,
                        uneven=some(int(uneven.size), "pick"),
                        picks=weft.draft.picks,
                        first=int(uneven[0]),
                    ),
                )


def _treadles(plan: WarpPlan) -> Iterator[Problem]:
    made = plan.treadles
    if made is not None and made.short:
        about = "" if made.proved else phrase("about ")
        together = (
            phrase(", {treadles} at a time,", treadles=made.most_pressed) if made.most_pressed > 1 else ""
        )
        yield Problem(
            "treadles-short",
            "stop",
            phrase(
                "Everything woven on this warp needs {about}{treadles}{together} on one tie-up; {loom} has "
                "{there}.",
                about=about,
                treadles=some(made.count, "treadle"),
                together=together,
                loom=plan.loom.name,
                there=made.there,
            ),
        )

"""The problems of a plan, as messages. Remedies are found in remedies.py."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from loomready.draft.structure.analysis import Analysis
from loomready.draft.structure.findings import SNAGS_MM
from loomready.draft.structure.periods import mirrors
from loomready.model.guild import Guild
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp import maximum_sett, mixed_shrinkage, rigid, spare_ends, uneven_spacing
from loomready.warp.cloth_floats import floats_of
from loomready.warp.result import WarpPlan, YarnNeed
from loomready.warp.rounding import at_most
from loomready.warp.shelf import Given
from loomready.warp.width import WIDTH_OFF, finished_width_mm
from loomready.yarn.taken import comes_off, same_day_unclear

CROWDED = 4  # ends in a dent at most for smooth yarns (common practice, no source)


def of_guild(guild: Guild) -> tuple[Problem, ...]:
    """Problems of the warps taken together."""
    found = []
    for loom in guild.looms:
        names = [order.key for order in guild.warps if order.loom == loom.key and order.off is None]
        if len(names) > 1:
            found.append(
                Problem(
                    "loom-shared", "warn", f"{loom.name} is planned for {_list(names)}: only one at a time."
                )
            )
    return tuple(found)


def of_warp(plan: WarpPlan, drafts: dict[str, Analysis], given: dict[str, Given]) -> tuple[Problem, ...]:
    """Every problem of a warp, stops first. For a warp off the loom only its yarn matters."""
    if plan.order.off is not None:
        return tuple(_weigh_again(plan, given))
    found = [
        *_loom(plan),
        *_reed(plan),
        *maximum_sett.of_warp(plan),
        *_width(plan),
        *_heddles(plan),
        *rigid.of_warp(plan),
        *_length(plan),
        *_yarn(plan, given),
        *_weigh_again(plan, given),
        *spare_ends.of_warp(plan),
        *mixed_shrinkage.of_warp(plan),
        *_cloth(plan, drafts),
        *uneven_spacing.of_warp(plan),
        *_edges(plan),
        *_sheds(plan),
        *_treadles(plan),
    ]
    return tuple(sorted(found, key=lambda problem: problem.level != "stop"))


def _loom(plan: WarpPlan) -> Iterator[Problem]:
    show, loom = Shown(plan.guild.units), plan.loom
    used = sum(count > 0 for count in plan.heddles.needed)
    if used > loom.draft_shafts:
        has = (
            f"{_some(loom.shafts, 'heddle')}, which with the slots weaves {loom.draft_shafts}"
            if loom.is_rigid_heddle
            else f"{loom.shafts}"
        )
        yield Problem("too-many-shafts", "stop", f"The draft uses {used} shafts; {loom.name} has {has}.")
    if not at_most(plan.width_in_reed_mm, loom.weaving_width_mm):
        yield Problem(
            "too-wide",
            "stop",
            f"The web is {show.width(plan.width_in_reed_mm)} wide in the reed; {loom.name} weaves "
            f"{show.width(loom.weaving_width_mm)}.",
        )


def _reed(plan: WarpPlan) -> Iterator[Problem]:
    show, sley = Shown(plan.guild.units), plan.sley
    own = rigid.own_reed(plan.loom) is not None
    if sley is None:
        if plan.loom.is_rigid_heddle and not plan.guild.reeds:
            return  # the no-gauge problem covers this
        longest = f"{plan.loom.name} takes no reed longer than {show.width(plan.loom.takes_reed_mm)}"
        yield Problem(
            "too-narrow-reed",
            "stop",
            f"{longest}; every reed to choose from is longer."
            if plan.guild.reeds
            else "There is no reed in the guild file.",
        )
        return
    holder = plan.reeds.holder(sley.reed)
    if holder is not None:
        yield Problem(
            "reed-shared",
            "warn",
            f"Warp {holder} is in reed {sley.reed.key}, and no other reed is left for this one: two warps on "
            "their looms at once cannot share a reed.",
        )
    if not sley.fits and (
        sley.dents > sley.reed_dents or not at_most(plan.width_in_reed_mm, sley.reed.width_mm)
    ):
        yield Problem(
            "too-narrow-reed",
            "stop",
            f"The heddle of {plan.loom.name} has {sley.reed_dents:,} holes and slots across; the web needs "
            f"{sley.dents:,}."
            if own
            else f"{_reeds(plan)} is wide enough for {show.width(plan.width_in_reed_mm)} of web.",
        )
    if not sley.within:
        yield Problem(
            "no-sley",
            "warn",
            f"The heddle of {plan.loom.name} gives {show.epi(sley.sett_per_cm)}; "
            f"{show.epi(plan.asked_sett_per_cm)} was asked for."
            if own
            else f"{_reeds(plan)} comes within 3 % of {show.epi(plan.asked_sett_per_cm)}; the nearest is "
            f"{show.epi(sley.sett_per_cm)} in reed {sley.reed.key}, {'-'.join(map(str, sley.cycle))} "
            "per dent.",
        )
    if max(sley.cycle) > CROWDED:
        yield Problem(
            "crowded-dent",
            "warn",
            f"{max(sley.cycle)} ends per dent: only smooth, fine yarn weaves well this way. Use another "
            "reed or a wider sett.",
        )


def _reeds(plan: WarpPlan) -> str:
    """What could be chosen from, as the beginning of a sentence that none of it serves."""
    order = plan.order
    limits = [f"reed {order.set_reed}"] if order.set_reed else []
    limits += [f"{'-'.join(map(str, order.set_sley))} a dent"] if order.set_sley else []
    if not limits:
        return f"No {'free ' if plan.reeds.held else ''}reed that {plan.loom.name} takes"
    asked = order.reed is not None or order.sley is not None
    return f"No sley {'that you allow' if asked else 'that this warp was wound for'} ({', '.join(limits)})"


def _width(plan: WarpPlan) -> Iterator[Problem]:
    show, asked_mm, got_mm = Shown(plan.guild.units), plan.order.finished_width_mm, plan.finished_width_mm
    if not at_most(abs(got_mm - asked_mm), WIDTH_OFF * asked_mm):
        repeat_mm = finished_width_mm(plan.order, plan.web.repeat_ends, plan.sett_per_cm)
        yield Problem(
            "width-off",
            "warn",
            f"You asked for {show.width(asked_mm)} finished; this plan gives {show.width(got_mm)}. "
            f"A repeat is {show.width(repeat_mm)} wide.",
        )


def _heddles(plan: WarpPlan) -> Iterator[Problem]:
    heddles, total = plan.heddles, sum(plan.loom.heddles)
    if heddles.short:
        yield Problem(
            "heddles-short",
            "stop",
            f"{plan.loom.name} is short {_some(heddles.short, 'heddle')}: "
            f"the warp needs {sum(heddles.needed)}, it has {total}.",
        )
    elif heddles.moved:
        moves = "; ".join(
            f"{move.count} from shaft {move.from_shaft} to {move.to_shaft}" for move in heddles.moves
        )
        saved = heddles.moved - heddles.least_moved
        other = f" Shafts in another order would save {saved} of them." if saved else ""
        yield Problem("heddles-move", "warn", f"{_some(heddles.moved, 'heddle')} must move: {moves}.{other}")


def _length(plan: WarpPlan) -> Iterator[Problem]:
    show, need = Shown(plan.guild.units), plan.lengths.needed_m
    if not at_most(need, plan.warp_length_m):
        lack = need - plan.warp_length_m
        yield Problem(
            "wound-short",
            "stop",
            f"The warp is wound {show.length(plan.warp_length_m)} long and needs {show.length(need)}: "
            f"{show.piece(lack)} short.",
        )


def _yarn(plan: WarpPlan, given: dict[str, Given]) -> Iterator[Problem]:
    for need in plan.yarns:
        took = given[need.yarn.key]
        if not need.enough:
            if took.mixing_helps:
                yield Problem(
                    "lots-mixed",
                    "stop",
                    f"{_lacks(plan, need)} in one dye lot; all lots together are enough if you let them mix.",
                )
            else:
                yield Problem("yarn-short", "stop", f"{_lacks(plan, need)}. {_why(plan, need)}")
        if took.mixed and plan.order.wound is None:
            lots = [lot or "no lot recorded" for lot in took.lots]
            yield Problem(
                "lots-side-by-side",
                "warn",
                f"{need.yarn.name} comes from lots {_list(lots)} in one color: place them where a change of "
                "shade will not show.",
            )


def _weigh_again(plan: WarpPlan, given: dict[str, Given]) -> Iterator[Problem]:
    for need in plan.yarns:
        took = given[need.yarn.key]
        if took.weigh_again:
            yield Problem(
                "weigh-again",
                "warn",
                f"{_some(took.weigh_again, 'end')} more of {need.yarn.name} were wound than its cones showed "
                "before: weigh them again.",
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
            were = "was" if len(same_day) == 1 else "were"
            yield Problem(
                "weigh-again",
                "warn",
                f"{_list(same_day)} {were} weighed on a day on which this warp took yarn. The plan "
                "assumes that the weighing came first: weigh again.",
            )
        if guessed:
            were = "was" if len(guessed) == 1 else "were"
            yield Problem(
                "weigh-again",
                "warn",
                f"{_list(guessed)} {were} not weighed since this warp took {need.yarn.name}, but another "
                "cone was, and which of them gave it is not recorded. The plan takes it off the one not "
                "weighed: weigh again.",
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
            what = "is of another yarn" if key in yarn_of else "is not on the shelf"
            yield Problem(
                "weigh-again",
                "warn",
                f"{key} is written down as a cone that gave {part} yarn, and {what}: nothing is taken off "
                "the shelf for it. Correct it, or weigh the cones of this warp again.",
            )


def _lacks(plan: WarpPlan, need: YarnNeed) -> str:
    show = Shown(plan.guild.units)
    parts = []
    if need.missing_ends:
        meters = need.missing_ends * plan.warp_length_m
        parts.append(f"{_some(need.missing_ends, 'warp end')} ({show.yarn_needed(meters)})")
    if need.missing_weft_m:
        parts.append(f"{show.yarn_needed(need.missing_weft_m)} of weft")
    return f"{need.yarn.name} is short {' and '.join(parts)}"


def _why(plan: WarpPlan, need: YarnNeed) -> str:
    show = Shown(plan.guild.units)
    asked = []
    if need.warp_ends and plan.order.wound is None:
        asked.append(f"{_some(need.warp_ends, 'end')} of {show.length(plan.warp_length_m)}")
    if need.weft_m:
        asked.append(f"{show.yarn_needed(need.weft_m)} of weft")
    rests = (
        " Together they would be enough, but what is left on each cone is shorter than the warp and "
        "gives no end."
        if need.missing_ends and at_most(need.wanted_m, need.available_m)
        else ""
    )
    return (
        f"It needs {' and '.join(asked)}; {show.yarn_there(need.available_m)} is available "
        f"(sure {show.yarn_there(need.sure_m)}, less the reserve).{rests}"
    )


def _cloth(plan: WarpPlan, drafts: dict[str, Analysis]) -> Iterator[Problem]:
    several = len({id(found) for found in drafts.values()}) > 1
    told = set()
    for label, found in drafts.items():
        if id(found) in told:
            continue
        told.add(id(found))
        place = f"In {label}: " if several else ""
        if found.parts > plan.order.layers:
            layers = "one layer" if plan.order.layers == 1 else f"{plan.order.layers} layers"
            why = next((p.message for p in found.problems if p.code == "falls-apart"), "")
            yield Problem(
                "falls-apart", "stop", f"{place}The cloth is in {found.parts} parts, {layers} intended. {why}"
            )
        for problem in found.problems:
            if problem.code in {"loose-thread", "no-shed"}:
                yield Problem(problem.code, "warn", f"{place}{problem.message}")
        yield from _floats(plan, label, place)


def _floats(plan: WarpPlan, label: str, place: str) -> Iterator[Problem]:
    show = Shown(plan.guild.units)
    found = floats_of(plan, next(weft for weft in plan.wefts if weft.label == label))
    if found is None:
        yield Problem(
            "layers-unclear",
            "warn",
            f"{place}The draft does not show which threads make which of its {plan.order.layers} layers: for "
            "the sett each is counted as plain weave, and floats are not measured.",
        )
        return
    layer = " within its layer" if plan.order.layers > 1 else ""
    for name, threads, length_mm, crossed in (
        ("warp", found.warp_threads, found.warp_mm, "picks"),
        ("weft", found.weft_threads, found.weft_mm, "ends"),
    ):
        if threads is not None and not at_most(length_mm, SNAGS_MM):
            yield Problem(
                "long-float",
                "warn",
                f"{place}The longest {name} float goes over {threads} {crossed}{layer}, "
                f"{show.width(length_mm)} in the finished cloth: "
                f"more than {show.width(SNAGS_MM)} snags in use.",
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
            f" {_some(more, 'end')} more of the repeat after the last would make them match." if more else ""
        )
    yield Problem(
        "unbalanced-edge", "warn", f"The repeat is symmetrical, but the two edges do not match.{helps}"
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
                    f"{loom.name} opens best with half the shafts up; {_some(int(uneven.size), 'pick')} of "
                    f"{weft.draft.picks} are uneven, the first is pick {uneven[0]}.",
                )


def _treadles(plan: WarpPlan) -> Iterator[Problem]:
    made = plan.treadles
    if made is not None and made.short:
        least = "" if made.proved else "about "
        together = f", {made.most_pressed} at a time," if made.most_pressed > 1 else ""
        yield Problem(
            "treadles-short",
            "stop",
            f"Everything woven on this warp needs {least}{_some(made.count, 'treadle')}{together} on one "
            f"tie-up; {plan.loom.name} has {made.there}.",
        )


def _some(count: int, noun: str) -> str:
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"


def _list(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

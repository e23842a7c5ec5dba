"""Why a warp has no loom for an event, and what would help: each way was planned again.

Ways are tried alone, least first: a loom that stands free, a reed to borrow, more heddles, a cone, a narrower
or otherwise changed warp. Where none of them helps alone, they are tried in pairs, so many and no more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import combinations, islice

from loomready.event.places import OF_YARN, Held, Place, Trials
from loomready.event.purchases import full_cone
from loomready.event.watch import Watch
from loomready.model.guild import Guild, Loom, Reed, WarpOrder
from loomready.phrases import Phrase, joined, listed_with_and, phrase, some
from loomready.problems import BadInput, Problem
from loomready.units import Shown
from loomready.warp.plan import plan_once, plan_warp, shelf_now
from loomready.warp.remedies import with_repeats
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf

MOST_WAYS = 10  # tried alone for one warp
MOST_PAIRS = 24  # tried for one warp where none helps alone
MOST_TOLD = 2
CONE_G = 500.0  # a cone where the guild has none of the yarn; our choice

Better = Callable[[Guild, str], bool]
"""Whether with a changed guild one warp more can be dressed, the one of this key."""


@dataclass(frozen=True, slots=True)
class Case:
    """What was chosen. ``guild``: as it was; ``placed``: with warps in their places, and what is bought."""

    guild: Guild
    placed: Guild
    options: Mapping[str, list[Place]]
    places: Mapping[str, Place]
    held: Held
    given_up: frozenset[str]
    trials: Trials
    bare: dict[tuple[str, str], WarpPlan] = field(default_factory=dict)

    def on_loom(self, loom: str) -> str | None:
        """The warp that has a loom."""
        chosen = next((key for key, place in self.places.items() if place.loom == loom), None)
        return chosen or self.held.looms.get(loom)

    def in_reed(self, reed: str | None) -> str | None:
        """The warp that has a reed."""
        chosen = next((key for key, place in self.places.items() if place.reed == reed), None)
        return chosen or self.held.reeds.get(reed or "")


@dataclass(frozen=True, slots=True)
class _Way:
    says: Phrase
    changed: Callable[[Guild], Guild]


def explained(case: Case, order: WarpOrder, plan: WarpPlan | None, better: Better, watch: Watch) -> Problem:
    """Why a warp is not dressed, by name, with what would help.

    :param plan: its plan, where it has a place and cannot be dressed there
    """
    if plan is not None:
        why = joined(" ", _of_plan(case, plan))
        says = phrase(
            "{warp} cannot be dressed on {loom}: {why}", warp=order.name, loom=plan.loom.name, why=why
        )
    else:
        reasons = [reason for loom in order.looms or (order.loom,) for reason in _of_loom(case, order, loom)]
        says = phrase("{warp} has no place: {why}", warp=order.name, why=joined(" ", dict.fromkeys(reasons)))
    ways = _ways_out(case, order, plan, better, watch)
    if ways:
        told = joined("; ", ways)
        says = phrase("{reason} What would help: {ways}.", reason=says, ways=told)
    return Problem("stands-out", "stop", says)


def _of_plan(case: Case, plan: WarpPlan) -> list[Phrase]:
    made = [problem.message for problem in plan.problems if problem.level == "stop"]
    for need in plan.yarns:
        if need.enough:
            continue
        if need.yarn.key in case.given_up:
            made.append(
                phrase("So many cones of {yarn} are needed that none were chosen.", yarn=need.yarn.name)
            )
        elif not any(each.yarn == need.yarn.key for each in case.guild.shop):
            made.append(phrase("The shop sells no {yarn}.", yarn=need.yarn.name))
    return made


def _of_loom(case: Case, order: WarpOrder, loom: str) -> list[Phrase]:
    """What stands in the way on one loom."""
    guild, name = case.guild, case.guild.loom(loom).name
    able = [place for place in case.options.get(order.key, ()) if place.loom == loom]
    if not able:
        tried = _bare(case, order, loom)
        stops = [each for each in tried.problems if each.level == "stop" and each.code not in OF_YARN]
        return [_on(name, each) for each in stops[:1]]
    holder = case.on_loom(loom)
    if holder is not None:
        return [phrase("{loom} has {warp}.", loom=name, warp=guild.name_of_warp(holder))]
    taken = {place.reed: case.in_reed(place.reed) for place in able if place.reed is not None}
    if taken and all(taken.values()):
        names = {reed.key: reed.name for reed in guild.reeds}
        reeds = listed_with_and(
            phrase("{reed} has {warp}", reed=names[reed], warp=guild.name_of_warp(holder or ""))
            for reed, holder in taken.items()
        )
        return [phrase("{loom} is free, but every reed for it is taken: {reeds}.", loom=name, reeds=reeds)]
    free = next(place for place in able if place.reed is None or taken[place.reed] is None)
    there = replace(order, loom=loom, looms=(), reed=free.reed or order.reed)
    tried = _on_what_is_left(case, there)
    stops = [each for each in tried.problems if each.level == "stop"]
    return [_on(name, each) for each in stops[:1]] or [
        phrase("{loom} is free, but the search was ended before it was tried.", loom=name)
    ]


def _on(loom: str, problem: Problem) -> Phrase:
    """A problem on a loom, which its message may name already."""
    if loom in problem.message:
        return problem.message
    return phrase("{loom}: {why}", loom=loom, why=problem.message)


def _bare(case: Case, order: WarpOrder, loom: str) -> WarpPlan:
    """The plan on a loom, with remedies, whatever other warps need."""
    if (order.key, loom) not in case.bare:
        alone = replace(order, loom=loom, looms=())
        bare = replace(case.guild, warps=(alone,))
        case.bare[order.key, loom] = plan_warp(alone, bare, case.trials.drafts, Shelf(bare))[0]
    return case.bare[order.key, loom]


def _on_what_is_left(case: Case, order: WarpOrder) -> WarpPlan:
    """The plan with remedies, once every warp that has a place has its yarn."""
    guild, drafts = case.placed, case.trials.drafts
    others = tuple(each for each in guild.warps if each.key != order.key)
    shelf = shelf_now(guild, others, drafts)
    for each in others:
        shelf = plan_once(each, guild, drafts, shelf)[1]
    return plan_warp(order, replace(guild, warps=(*others, order)), drafts, shelf)[0]


def _ways_out(
    case: Case, order: WarpOrder, plan: WarpPlan | None, better: Better, watch: Watch
) -> list[Phrase]:
    """What would help: ways alone, or the first pair of ways."""

    def helps(*ways: _Way) -> bool:
        changed = case.guild
        try:
            for way in ways:
                changed = way.changed(changed)
            return better(changed, order.key)
        except BadInput:
            return False

    found: list[Phrase] = []
    ways = list(islice(_candidates(case, order, plan), MOST_WAYS))
    for way in ways:
        if watch.stop():
            return found
        if helps(way):
            found.append(way.says)
            if len(found) == MOST_TOLD:
                return found
    if found:
        return found
    for one, other in islice(combinations(ways, 2), MOST_PAIRS):
        if watch.stop():
            break
        if helps(one, other):
            return [phrase("{way} and {other_way}", way=one.says, other_way=other.says)]
    return []


def _candidates(case: Case, order: WarpOrder, plan: WarpPlan | None) -> Iterator[_Way]:
    """Ways that may help, least first."""
    guild, named = case.guild, order.looms or (order.loom,)
    tried = [_bare(case, order, loom) for loom in named] if plan is None else [plan]
    if plan is None:
        for loom in guild.looms:
            if loom.key not in named and case.on_loom(loom.key) is None:
                yield _Way(
                    phrase("take {loom}", loom=loom.name), _changing(order.key, looms=(*named, loom.key))
                )
        yield from _reeds(case, order, tried)
        yield from _heddles(tried)
    yield from _cones(case, [plan] if plan is not None else tried)
    for each in tried:
        for says, changed in _changed_orders(case, each, plan is not None):
            reed = order.reed if changed.reed == each.order.reed else changed.reed
            yield _Way(says, _replacing(replace(changed, loom=order.loom, looms=order.looms, reed=reed)))


def _changing(key: str, **more: object) -> Callable[[Guild], Guild]:
    def changed(guild: Guild) -> Guild:
        return replace(
            guild,
            warps=tuple(
                replace(each, **more) if each.key == key else each  # type: ignore[arg-type]
                for each in guild.warps
            ),
        )

    return changed


def _replacing(order: WarpOrder) -> Callable[[Guild], Guild]:
    def changed(guild: Guild) -> Guild:
        warps = tuple(order if each.key == order.key else each for each in guild.warps)
        return replace(guild, warps=warps)

    return changed


def _reeds(case: Case, order: WarpOrder, tried: list[WarpPlan]) -> Iterator[_Way]:
    """One more reed: like one that fits and is taken, or as long as a loom takes."""
    show, seen = Shown(case.guild.units), set()
    able = [place.reed for place in case.options.get(order.key, ()) if place.reed is not None]
    wanted = [(reed.dents_per_cm, reed.width_mm) for reed in case.guild.reeds if reed.key in able]
    for each in tried:
        if each.sley is not None and each.sley.fits and case.in_reed(each.sley.reed.key) is not None:
            wanted.append((each.sley.reed.dents_per_cm, each.sley.reed.width_mm))
        if any(problem.code == "too-narrow-reed" for problem in each.problems):
            wanted += [(reed.dents_per_cm, each.loom.takes_reed_mm) for reed in case.guild.reeds]
    for dents, width in wanted:
        if (dents, width) not in seen:
            seen.add((dents, width))
            says = phrase(
                "borrow a reed of {dents}, {width} long", dents=show.dents(dents), width=show.width(width)
            )
            reed = Reed(f"borrowed reed {len(seen)}", dents, width)
            yield _Way(says, _with_reed(reed, None if order.reed is None else order.key))


def _with_reed(reed: Reed, sets: str | None) -> Callable[[Guild], Guild]:
    """One reed more; the warp ``sets``, which may have one reed only, has this one."""

    def changed(guild: Guild) -> Guild:
        warps = (replace(each, reed=reed.key) if each.key == sets else each for each in guild.warps)
        return replace(guild, reeds=(*guild.reeds, reed), warps=tuple(warps))

    return changed


def _heddles(tried: list[WarpPlan]) -> Iterator[_Way]:
    for each in sorted(tried, key=lambda plan: plan.heddles.short):
        short = each.heddles.short
        if short > 0:
            says = phrase("{heddles} more on {loom}", heddles=some(short, "heddle"), loom=each.loom.name)
            yield _Way(says, _with_heddles(each.loom, short))


def _with_heddles(loom: Loom, more: int) -> Callable[[Guild], Guild]:
    fuller = replace(loom, heddles=(loom.heddles[0] + more, *loom.heddles[1:]))

    def changed(guild: Guild) -> Guild:
        looms = tuple(fuller if each.key == loom.key else each for each in guild.looms)
        return replace(guild, looms=looms)

    return changed


def _cones(case: Case, tried: list[WarpPlan]) -> Iterator[_Way]:
    """One more cone of a yarn that is short and that nobody sells, as heavy as the heaviest on the shelf."""
    show = Shown(case.guild.units)
    for yarn in dict.fromkeys(need.yarn for plan in tried for need in plan.yarns if not need.enough):
        if any(each.yarn == yarn.key for each in case.guild.shop):
            continue
        weights = [cone.net_g for cone in case.guild.cones if cone.yarn == yarn.key]
        weight = max([*weights, 0.0]) or CONE_G
        for each in (weight, 2 * weight):
            says = phrase("one more cone of {yarn}, {weight}", yarn=yarn.name, weight=show.weight(each))
            yield _Way(says, _with_cone(yarn.key, each))


def _with_cone(yarn: str, weight_g: float) -> Callable[[Guild], Guild]:
    cone = full_cone(f"one more of {yarn}", yarn, weight_g, "one more")
    return lambda guild: replace(guild, cones=(*guild.cones, cone))


def _changed_orders(case: Case, plan: WarpPlan, has_place: bool) -> Iterator[tuple[Phrase, WarpOrder]]:
    """One repeat less, then what the plan's own remedies change."""
    if plan.order.wound is not None:
        return
    if plan.web.repeats > 1:
        narrower = with_repeats(plan, plan.web.repeats - 1)
        if narrower is not None:
            yield (
                phrase("one repeat less of {warp}", warp=plan.order.name),
                replace(plan.order, finished_width_mm=narrower.finished_width_mm),
            )
    told = _on_what_is_left(case, plan.order) if has_place else plan
    for problem in told.problems:
        if problem.level == "stop":
            for remedy in problem.remedies[:2]:
                yield remedy.says, replace(plan.order, **remedy.change)

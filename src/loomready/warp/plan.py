"""The plan: the warps take yarn from the shelf one after another, in file order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from loomready.draft.draft import Draft
from loomready.draft.structure.analysis import Analysis, analyze
from loomready.model.guild import Guild, WarpOrder
from loomready.problems import BadInput, Problem
from loomready.units import Shown
from loomready.warp import findings, rigid
from loomready.warp.bouts import bouts_between, plan_bouts
from loomready.warp.denting import sleyed
from loomready.warp.direct import direct_treadles
from loomready.warp.free_reeds import Reeds, in_its_reed, shared_out
from loomready.warp.heddles import plan_heddles
from loomready.warp.length import (
    first_strands_by_yarn,
    lengths,
    second_lengths,
    unwoven_m,
    weft_m_by_yarn,
    wefts,
)
from loomready.warp.order_check import check, check_loom, check_tied
from loomready.warp.painted import check_painted
from loomready.warp.pairs import inside_pairs
from loomready.warp.raddle import raddle_spreads
from loomready.warp.remedies import with_remedies
from loomready.warp.result import (
    Bout,
    GuildPlan,
    Ints,
    Lengths,
    Sley,
    WarpPlan,
    Web,
    Weft,
    YarnNeed,
    length_of,
)
from loomready.warp.rounding import whole_up
from loomready.warp.second import Second, check_second, is_second, take_up_of, tension_of
from loomready.warp.sections import sections_of
from loomready.warp.sett import SettAdvice, advise
from loomready.warp.shelf import WEFT, Given, Shelf, Want, cone_of_each_end, give
from loomready.warp.thickness import mean_diameter_mm
from loomready.warp.tied import kept_heddles, over_old_dents, sleyed_as, tie
from loomready.warp.treadles import treadles_for
from loomready.warp.width import Span, finished_width_mm, lay_web, span_of, wanted_width_mm
from loomready.warp.yarn_taken import taken_of
from loomready.yarn.dates_taken import moment_of

Drafts = Mapping[str, Draft]


@lru_cache(maxsize=256)
def analysis_of(draft: Draft) -> Analysis:
    """The analysis of a draft, cached: drafts are immutable."""
    return analyze(draft)


def plan_guild(guild: Guild, drafts: Drafts, *, until: str | None = None) -> GuildPlan:
    """Plan every warp in file order, or up to the one named, with the yarn that the wound warps left.

    :raises BadInput: an order that is not valid with its draft; ``where`` names its table and key
    """
    shelf, made = shelf_now(guild, guild.warps, drafts), []
    for number, order in enumerate(guild.warps, start=1):
        try:
            plan, shelf = plan_warp(order, guild, drafts, shelf)
        except BadInput as error:
            raise error.inside(f"[warps {number}]") from None
        made.append(plan)
        if order.key == until:
            break
    return GuildPlan(guild, tuple(made), findings.of_guild(guild))


def shelf_now(guild: Guild, orders: Sequence[WarpOrder], drafts: Drafts) -> Shelf:
    """The shelf less what wound and finished warps took: the ends of every wound warp, the weft of every
    finished one.

    These come off first, in the order of their dates, wherever the warps are in the file. An invalid order
    takes nothing here; its plan gives the reason.
    """
    shelf = Shelf(guild)
    for order in sorted((each for each in orders if each.wound or each.off), key=_taken_at):
        try:
            shelf = _without(shelf, order, _laid(order, guild, drafts), guild)
        except BadInput:
            continue
    return shelf


def _taken_at(order: WarpOrder) -> str:
    """Sort key: by day, then by time of day where there is one."""
    moment = order.wound or order.off
    return moment_of(moment) if moment else ""


def plan_warp(order: WarpOrder, guild: Guild, drafts: Drafts, shelf: Shelf) -> tuple[WarpPlan, Shelf]:
    """One warp's plan with remedies for its problems, and the shelf that it leaves."""
    plan, left = _plan(order, guild, drafts, shelf)

    def again(changed: WarpOrder) -> WarpPlan | None:
        try:
            return _plan(changed, guild, drafts, shelf)[0]
        except BadInput:
            return None

    return with_remedies(plan, again), left


def plan_once(order: WarpOrder, guild: Guild, drafts: Drafts, shelf: Shelf) -> tuple[WarpPlan, Shelf]:
    """Like :func:`plan_warp`, but without remedies, in a fraction of the time."""
    return _plan(order, guild, drafts, shelf)


def shelf_before(guild: Guild, drafts: Drafts, key: str | None) -> Shelf:
    """The shelf as the wound warps and the warps before the one named leave it; None: as all warps do.

    :raises BadInput: as :func:`plan_guild`
    """
    shelf = shelf_now(guild, guild.warps, drafts)
    for number, order in enumerate(guild.warps, start=1):
        if order.key == key:
            break
        try:
            _, shelf = _plan(order, guild, drafts, shelf)
        except BadInput as error:
            raise error.inside(f"[warps {number}]") from None
    return shelf


@dataclass(frozen=True, slots=True)
class _Laid:
    """The part of a plan that does not depend on the shelf."""

    advice: SettAdvice
    asked_per_cm: float
    web: Web
    reeds: Reeds
    sley: Sley | None
    sett_per_cm: float
    width_mm: float
    parts: Lengths
    length_m: float
    second: Second | None
    woven: tuple[Weft, ...]
    wants: dict[str, tuple[Want, ...]]
    woven_m: dict[str, float]

    def length_of(self, order: WarpOrder, yarn: str) -> float:
        return length_of(order, yarn, self.length_m, self.second)


def _second(order: WarpOrder, web: Web, waste_m: float) -> Second | None:
    """The second warp of a web; None: there is none."""
    if order.second_yarns is None:
        return None
    parts = second_lengths(order, waste_m)
    return Second(
        of_end=is_second(order, web.role),
        lengths=parts,
        length_m=parts.needed_m if order.second_wound_length_m is None else order.second_wound_length_m,
        take_up=take_up_of(order),
        tension=tension_of(order),
        weighted=order.second_weighted,
    )


def _laid(order: WarpOrder, guild: Guild, drafts: Drafts) -> _Laid:
    loom, draft = guild.loom(order.loom), drafts[order.draft]
    reeds = reeds_for(order, guild, drafts)
    advice, asked, span, repeats, sley = _sleyed(order, guild, drafts, reeds)
    sett = sley.sett_per_cm if sley else asked
    web = lay_web(order, draft, span, repeats)
    width_mm = web.ends / sett * 10
    parts = lengths(order, unwoven_m(order, loom))
    length_m = order.wound_length_m if order.wound_length_m is not None else parts.needed_m
    woven = wefts(order, drafts)
    wants = wants_of(
        order,
        web.every_end_of(len(order.warp_yarns)),
        weft_m_by_yarn(woven, width_mm, order.weft_take_up),
    )
    woven_m = _woven_m(order, drafts, width_mm)
    second = _second(order, web, parts.waste_m)
    return _Laid(
        advice, asked, web, reeds, sley, sett, width_mm, parts, length_m, second, woven, wants, woven_m
    )


def _woven_m(order: WarpOrder, drafts: Drafts, width_mm: float) -> dict[str, float]:
    """Weft by yarn of the picks known to be woven; empty where none were counted."""
    if order.wound is None or order.woven_picks is None or order.woven_at is None:
        return {}
    return weft_of_picks(order, drafts, width_mm, order.woven_picks)


def weft_of_picks(order: WarpOrder, drafts: Drafts, width_mm: float, picks: int) -> dict[str, float]:
    """Meters of each weft yarn in the first picks of a warp, as they are woven."""
    each_m = width_mm / 1000 * (1 + order.weft_take_up)
    return {key: count * each_m for key, count in first_strands_by_yarn(order, drafts, picks).items()}


def _sleyed(
    order: WarpOrder, guild: Guild, drafts: Drafts, reeds: Reeds
) -> tuple[SettAdvice, float, Span, int, Sley | None]:
    """Sett advice, the sett asked for (ends/cm), the span of the web and its repeats, and the sley.

    A wound warp keeps its number of ends: where another warp holds the reed it was wound for, the same ends
    are sleyed in the best other reed.
    """
    draft = drafts[order.draft]
    check(order, drafts)
    check_loom(order, guild.loom(order.loom))
    check_second(order, guild.loom(order.loom))
    check_painted(order, Shown(guild.units))
    advice = _advice(order, guild, draft)
    asked = order.sett_per_cm if order.sett_per_cm is not None else advice.formula_per_cm
    span, loom = span_of(order, draft), guild.loom(order.loom)
    order = _in_the_old_reed(order, guild, drafts)
    repeats, sley = sleyed(order, draft, span, asked, Reeds(guild.reeds) if reeds.held else reeds, loom)
    if sley is not None and reeds.holder(sley.reed) is not None:
        repeats, sley = sleyed(order, draft, span, asked, reeds, loom, repeats)
    return advice, asked, span, repeats, sley


def old_warp(order: WarpOrder, guild: Guild) -> WarpOrder | None:
    """The old warp that an order is tied on to.

    :raises BadInput: it is for another loom
    """
    if order.tied_to is None:
        return None
    old = next(each for each in guild.warps if each.key == order.tied_to)
    check_tied(order, old)
    return old


def _in_the_old_reed(order: WarpOrder, guild: Guild, drafts: Drafts) -> WarpOrder:
    """The order in the reed and sley of the old warp that it is tied on to, if it is."""
    old = old_warp(order, guild)
    if old is None:
        return order
    return sleyed_as(order, _sleyed(old, guild, drafts, reeds_for(old, guild, drafts))[-1])


def reeds_for(order: WarpOrder, guild: Guild, drafts: Drafts) -> Reeds:
    """The reeds that an order may choose from: two warps on looms at the same time cannot share one.

    A warp that is wound and not off holds the reed it was wound for; where the file does not say which that
    was, it holds its reed against every such warp after it in the file.
    """
    own = rigid.own_reed(guild.loom(order.loom))
    if own is not None:
        return Reeds((own,))
    if guild.loom(order.loom).kind == "inkle":
        return Reeds(())
    held: dict[str, str] = {}
    if not in_its_reed(order):
        return shared_out(guild.reeds, held)
    own_keys = (order.key, order.tied_to)  # the old warp hands on its reed
    others = [each for each in guild.warps if in_its_reed(each) and each.key not in own_keys]
    before = [each.key for each in guild.warps]
    before = before[: before.index(order.key)] if order.key in before else before
    for other in others:
        if other.wound_reed and other.set_reed and (order.wound_reed is None or other.key in before):
            held.setdefault(other.set_reed, other.key)
    for other in others:
        known = other.wound_reed is not None or rigid.own_reed(guild.loom(other.loom)) is not None
        if known or order.wound_reed is not None or other.key not in before:
            continue
        try:
            sley = _sleyed(other, guild, drafts, shared_out(guild.reeds, held))[-1]
        except BadInput:
            continue  # its own plan reports this
        if sley is not None:
            held.setdefault(sley.reed.key, other.key)
    return shared_out(guild.reeds, held)


def _without(shelf: Shelf, order: WarpOrder, laid: _Laid, guild: Guild) -> Shelf:
    """The shelf less what a wound warp took: ends, weft of picks known to be woven, all of it once off."""
    wound = order.wound or order.off
    if wound is None:
        return shelf
    gone = {
        key: taken_of(
            shelf,
            guild.yarn(key),
            wants,
            order,
            laid.length_of(order, key),
            laid.woven_m.get(key, 0.0),
            wound,
        )
        for key, wants in laid.wants.items()
    }
    return shelf.without(order.key, gone)


def _plan(order: WarpOrder, guild: Guild, drafts: Drafts, shelf: Shelf) -> tuple[WarpPlan, Shelf]:
    loom, draft = guild.loom(order.loom), drafts[order.draft]
    laid = _laid(order, guild, drafts)
    web, width_mm = laid.web, laid.width_mm
    if order.key not in shelf.gone:
        shelf = _without(shelf, order, laid, guild)
    asked = {
        key: give(
            shelf,
            guild.yarn(key),
            still_asked(order, wants, laid.woven_m.get(key, 0.0)),
            laid.length_of(order, key),
            reserve=order.reserve,
            mix_lots=order.mix_lots,
        )
        for key, wants in laid.wants.items()
    }
    gone = shelf.gone.get(order.key, {}) if order.wound or order.off else {}
    given = {key: each.after(gone[key]) if key in gone else each for key, each in asked.items()}
    heddles = (
        rigid.hang(web.shaft, draft.shafts, loom)
        if loom.has_open_ends
        else plan_heddles(web.shaft, draft.shafts, loom.heddles)
    )
    old = old_warp(order, guild)
    tied = None if old is None else tie(web, heddles, _plan(old, guild, drafts, Shelf(guild))[0])
    sley = laid.sley
    if tied is not None:
        heddles = kept_heddles(web, heddles, tied)
        tied = tie(web, heddles, tied.old)
        first = over_old_dents(sley, tied.old.sley, tied.shift)
        sley = sley if sley is None or first is None else replace(sley, first_dent=first)
    woven = tuple({id(weft.draft): weft.draft for weft in laid.woven}.values())
    plan = WarpPlan(
        order=order,
        guild=guild,
        loom=loom,
        draft=draft,
        analysis=analysis_of(draft),
        web=web,
        wanted_width_mm=wanted_width_mm(order),
        width_in_reed_mm=width_mm,
        finished_width_mm=finished_width_mm(order, web.ends, laid.sett_per_cm),
        asked_sett_per_cm=laid.asked_per_cm,
        sett_per_cm=laid.sett_per_cm,
        sett_advice=laid.advice,
        lengths=laid.parts,
        warp_length_m=laid.length_m,
        wefts=laid.woven,
        picks=sum(weft.picks for weft in laid.woven),
        yarns=tuple(
            _need(shelf, guild, order, key, wants, given[key], laid) for key, wants in laid.wants.items()
        ),
        sley=sley,
        reeds=laid.reeds,
        heddles=heddles,
        sections=sections_of(order, loom, laid.sett_per_cm, web.ends),
        tied=tied,
        second=laid.second,
        treadles=direct_treadles(woven, loom, heddles.assignment)
        if loom.direct_tie_up
        else treadles_for(woven, loom, np.asarray(heddles.needed) > 0),
        bouts=_bouts(order, guild, web, given, laid.sett_per_cm, laid.second),
        raddle=() if loom.kind == "inkle" else raddle_spreads(web.ends, width_mm, guild.units, sley),
        problems=(),
    )
    analyses: dict[str, Analysis] = {weft.label: analysis_of(weft.draft) for weft in laid.woven}
    found: tuple[Problem, ...] = findings.of_warp(plan, analyses, given)
    left = shelf
    for each in asked.values():
        left = left.take(each.uses)
    return replace(plan, problems=found), left


def _advice(order: WarpOrder, guild: Guild, draft: Draft) -> SettAdvice:
    found = analysis_of(draft)
    return advise(order, guild, draft, found, mean_diameter_mm)


def wants_of(
    order: WarpOrder, ends_of_role: Sequence[int], weft_m: Mapping[str, float]
) -> dict[str, tuple[Want, ...]]:
    """What each yarn must supply, warp roles first; yarns in the order in which the warp names them."""
    wanted: dict[str, tuple[Want, ...]] = {}
    for role, (key, ends) in enumerate(zip(order.warp_yarns, ends_of_role, strict=True)):
        wanted[key] = (*wanted.get(key, ()), Want(role, ends=ends))
    for key, meters in weft_m.items():
        wanted[key] = (*wanted.get(key, ()), Want(WEFT, weft_m=meters))
    return wanted


def still_asked(order: WarpOrder, wants: tuple[Want, ...], woven_m: float = 0.0) -> tuple[Want, ...]:
    """What a warp still needs from the shelf: only weft once it is wound, nothing once it is off.

    :param woven_m: weft of the yarn that is known to be woven
    """
    if order.off is not None:
        return tuple(replace(want, ends=0, weft_m=0.0) for want in wants)
    if order.wound is not None:
        return tuple(replace(want, ends=0, weft_m=max(0.0, want.weft_m - woven_m)) for want in wants)
    return wants


def _need(
    shelf: Shelf,
    guild: Guild,
    order: WarpOrder,
    key: str,
    wants: tuple[Want, ...],
    given: Given,
    laid: _Laid,
) -> YarnNeed:
    yarn, cones, length_m = guild.yarn(key), shelf.cones_of(key), laid.length_of(order, key)
    wanted = still_asked(order, wants, laid.woven_m.get(key, 0.0))
    ends, weft_m = sum(want.ends for want in wants), sum(want.weft_m for want in wants)
    weight = (ends * length_m + weft_m) / yarn.grist_m_per_g
    return YarnNeed(
        yarn=yarn,
        warp_ends=ends,
        warp_m=ends * length_m,
        weft_m=weft_m,
        wanted_m=sum(want.ends * length_m + want.weft_m for want in wanted),
        weight_g=weight,
        cost=None if yarn.price_per_g is None else weight * yarn.price_per_g,
        on_shelf_m=shelf.expected_m(cones, yarn),
        sure_m=shelf.sure_m(cones, yarn),
        available_m=shelf.usable_m(cones, yarn, order.reserve),
        enough=given.missing_ends == 0 and given.missing_weft_m == 0,
        missing_ends=given.missing_ends,
        missing_weft_m=given.missing_weft_m,
        lots=given.lots,
        uses=given.uses,
        bobbins=whole_up(weft_m / yarn.grist_m_per_g / guild.bobbin_g),
    )


def _bouts(
    order: WarpOrder,
    guild: Guild,
    web: Web,
    given: dict[str, Given],
    sett_per_cm: float,
    second: Second | None,
) -> tuple[Bout, ...]:
    """What is wound at a time: bouts at the board, the sections of the beam, or a whole band."""
    yarns = tuple(dict.fromkeys(order.warp_yarns))
    yarn_of_role = np.asarray([yarns.index(key) for key in order.warp_yarns])
    served = {role: took for each in given.values() for role, took in each.cones_of_role.items()}
    cones = tuple(cone.key for cone in guild.cones)
    cone_of_end: Ints = cone_of_each_end(np.repeat(web.role, web.as_one), served, cones)
    yarn = yarn_of_role[web.role]
    sections = sections_of(order, guild.loom(order.loom), sett_per_cm, web.ends)
    if sections is not None:
        return bouts_between(sections.places, yarn, cone_of_end, yarns, cones, web.as_one)
    if guild.loom(order.loom).kind == "inkle":  # a band is wound whole
        return bouts_between((0, web.ends), yarn, cone_of_end, yarns, cones, web.as_one)
    never = inside_pairs(web.shaft, yarn, order.layers, web.floating // 2)
    if second is not None:
        return _bouts_of_two(order, second, yarn, cone_of_end, yarns, cones)
    return plan_bouts(
        yarn,
        cone_of_end,
        yarns,
        cones,
        order.max_bout_ends,
        web.repeat_starts,
        never,
        striped=bool(order.stripes),
        as_one=web.as_one,
    )


def _bouts_of_two(
    order: WarpOrder,
    second: Second,
    yarn: Ints,
    cone_of_end: Ints,
    yarns: tuple[str, ...],
    cones: tuple[str, ...],
) -> tuple[Bout, ...]:
    """The bouts of the first warp, then those of the second, numbered on; ends in the order of winding."""
    made: list[Bout] = []
    for of_second in (False, True):
        places = np.flatnonzero(second.of_end == of_second)
        if not places.size:
            continue
        parted = tuple((np.flatnonzero(np.diff(places) > 1) + 1).tolist())  # between its stripes
        bouts = plan_bouts(
            yarn[places],
            cone_of_end[places],
            yarns,
            cones,
            order.max_bout_ends,
            parted,
        )
        before, wound = len(made), sum(bout.ends for bout in made)
        made += [
            replace(bout, number=bout.number + before, first_end=bout.first_end + wound, second=of_second)
            for bout in bouts
        ]
    return tuple(made)

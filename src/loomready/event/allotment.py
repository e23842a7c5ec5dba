"""Which loom and which reed for each warp of an event, and which cones to buy.

Each warp gets one of its looms and a reed, no loom or reed twice. The choice has, in this order, the most
value of warps that have a place, the fewest warps whose sett no reed comes near, the least cost of cones to
buy, the fewest heddles to move, and the looms and reeds that come first in the file. Whether a warp can be
dressed as chosen is judged by its plan, in file order, with what is bought on the shelf.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

from loomready.draft.draft import Draft
from loomready.model.event import ShopCone
from loomready.model.guild import Cone, Guild, WarpOrder
from loomready.phrases import Phrase, joined, phrase
from loomready.problems import BadInput, Problem
from loomready.warp.free_reeds import in_its_reed
from loomready.warp.plan import plan_once, plan_warp, shelf_now
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf

Drafts = Mapping[str, Draft]
OF_YARN = ("yarn-short", "lots-mixed")  # stops that buying can end
MOST_PLANS = 20_000  # one for each loom and reed of each warp
MOST_NODES = 20_000  # of the search for looms and reeds
MOST_CHOICES = 40  # whose cost is worked out
MOST_BASKETS = 120  # tried for one yarn


@dataclass(frozen=True, slots=True)
class Place:
    """A loom and a reed for a warp. ``off_sett``: no reed comes near the sett asked for."""

    loom: str
    reed: str | None
    heddles_moved: int
    off_sett: bool


@dataclass(frozen=True, slots=True)
class Purchase:
    """Full cones of one kind to buy, and what they cost together."""

    cone: ShopCone
    cones: int

    @property
    def cost(self) -> float:
        return self.cones * self.cone.price


@dataclass(frozen=True, slots=True)
class Allotment:
    """``places``: by warp, in file order. ``guild``: with looms and reeds as chosen, and what is bought on
    the shelf. ``plans``: of the warps that have a place; ``problems``: why others have none.
    """

    places: Mapping[str, Place]
    buy: tuple[Purchase, ...]
    proved: bool
    guild: Guild
    plans: Mapping[str, WarpPlan]
    problems: tuple[Problem, ...]

    @property
    def cost(self) -> float:
        return sum(each.cost for each in self.buy)


def warps_of(guild: Guild) -> tuple[WarpOrder, ...]:
    """The warps of the guild's event, in file order; finished ones are left out."""
    named = guild.event.warps if guild.event is not None else None
    return tuple(
        order for order in guild.warps if order.off is None and (named is None or order.key in named)
    )


def allot(guild: Guild, drafts: Drafts) -> Allotment:
    """The best places for the event's warps, and what to buy.

    :raises BadInput: an order that is not valid with its draft
    """
    orders = warps_of(guild)
    choices = sum(len(order.looms) or 1 for order in orders) * max(1, len(guild.reeds))
    if choices > MOST_PLANS:
        raise BadInput(
            phrase(
                "come to {choices:,} choices of a loom and a reed; expected at most {most:,}",
                choices=choices,
                most=MOST_PLANS,
            ),
            where=("[event]", "warps"),
        )
    options: dict[str, list[Place]] = {}
    for number, order in enumerate(guild.warps, 1):
        if order in orders:
            try:
                options[order.key] = _options(order, guild, drafts)
            except BadInput as error:
                raise error.inside(f"[warps {number}]") from None
    held = _held(guild, orders)
    best: tuple[tuple[float, ...], dict[str, Place], _Bought] | None = None
    search = _Search(orders, options, held)
    for tried, places in enumerate(search.choices()):
        left_out = sum(order.value for order in orders if order.key not in places)
        off_sett = sum(place.off_sett for place in places.values())
        if best is not None and (left_out, off_sett) > best[0][:2]:
            break  # as all that follow
        if tried == MOST_CHOICES:
            search.whole = False
            break
        bought = _bought(_placed(guild, places), drafts, set(places))
        moved = sum(place.heddles_moved for place in places.values())
        rank = (left_out + bought.short, off_sett, bought.cost, moved)
        if best is None or rank < best[0]:
            best = rank, places, bought
        if not bought.purchases and not bought.short:
            break  # nothing to buy: the choices come in order of all else
    assert best is not None
    _rank, places, bought = best
    placed = bought.guild
    plans = {
        plan.order.key: plan for plan in _plans(placed, drafts, placed.warps) if plan.order.key in places
    }
    stopped = {key for key, plan in plans.items() if plan.stopped}
    problems = tuple(
        _stands_out(order, guild, drafts, options[order.key], places, plans.get(order.key))
        for order in orders
        if order.key not in places or order.key in stopped
    )
    return Allotment(
        {
            order.key: places[order.key]
            for order in orders
            if order.key in places and order.key not in stopped
        },
        bought.purchases,
        search.whole and bought.proved,
        placed,
        {key: plan for key, plan in plans.items() if key not in stopped},
        problems,
    )


def _options(order: WarpOrder, guild: Guild, drafts: Drafts) -> list[Place]:
    """Every loom with a reed on which the warp can be dressed, whatever the shelf holds, in file order.

    Where some reed comes near the sett that is asked for, the others are left out. A warp that is wound keeps
    its loom and its reed.
    """
    found: list[Place] = []
    looms = (order.loom,) if order.wound is not None else order.looms or (order.loom,)
    for loom in looms:
        reeds: tuple[str | None, ...] = tuple(reed.key for reed in guild.reeds)
        if guild.loom(loom).is_rigid_heddle and guild.loom(loom).gauge_per_cm is not None:
            reeds = (None,)
        if order.set_reed is not None:
            reeds = (order.set_reed,)
        for reed in reeds or (None,):
            plan = _tried(replace(order, loom=loom, looms=(), reed=reed or order.reed), guild, drafts)
            codes = {problem.code for problem in plan.problems if problem.level == "stop"}
            if codes <= set(OF_YARN):
                off = any(problem.code == "no-sley" for problem in plan.problems)
                key = plan.sley.reed.key if plan.sley is not None and reed is not None else None
                found.append(Place(loom, key, plan.heddles.moved, off))
    near = [place for place in found if not place.off_sett]
    looms_near = {place.loom for place in near}
    return [place for place in found if not place.off_sett or place.loom not in looms_near]


def _tried(order: WarpOrder, guild: Guild, drafts: Drafts) -> WarpPlan:
    """The plan of an order as if no other warp were there: its reeds are free."""
    alone = replace(guild, warps=(order,))
    return plan_once(order, alone, drafts, Shelf(alone))[0]


def _held(guild: Guild, orders: Sequence[WarpOrder]) -> tuple[frozenset[str], frozenset[str]]:
    """Looms and reeds of warps that are wound, not off, and not of the event."""
    keys = {order.key for order in orders}
    others = [order for order in guild.warps if in_its_reed(order) and order.key not in keys]
    reeds = {order.set_reed for order in others if order.set_reed is not None}
    return frozenset(order.loom for order in others), frozenset(reeds)


class _Search:
    """Places for warps in file order: depth first, the best left for each first.

    ``whole``: nothing was cut short by the limit of effort.
    """

    def __init__(
        self,
        orders: Sequence[WarpOrder],
        options: Mapping[str, list[Place]],
        held: tuple[frozenset[str], frozenset[str]],
    ) -> None:
        self.orders, self.options, self.held = orders, options, held
        self.whole = True

    def choices(self) -> Iterator[dict[str, Place]]:
        """Choices from the best on: value left out, setts missed, heddles moved, file order. A best first
        search whose bound is what each warp costs on its own."""
        rest = [(0, 0, 0)]
        for order in reversed(self.orders):
            own = min(
                [(0, int(place.off_sett), place.heddles_moved) for place in self._of(order)]
                or [(order.value, 0, 0)]
            )
            rest.append(_sum(rest[-1], own))
        rest.reverse()
        number = count()
        heap: list[tuple[tuple[int, int, int], tuple[int, ...], int, dict[str, Place]]] = [
            (rest[0], (), next(number), {})
        ]
        nodes = 0
        while heap:
            cost, chosen, _, places = heapq.heappop(heap)
            depth = len(chosen)
            if depth == len(self.orders):
                yield places
                continue
            nodes += 1
            if nodes > MOST_NODES:
                self.whole = False
                # what is left is finished as it comes, without a search
                yield self._finished(places, depth)
                return
            order = self.orders[depth]
            own = _minus(cost, rest[depth])
            looms = {place.loom for place in places.values()} | self.held[0]
            reeds = {place.reed for place in places.values()} | self.held[1]
            for rank, place in enumerate(self._of(order)):
                if place.loom in looms or (place.reed is not None and place.reed in reeds):
                    continue
                now = _sum(_sum(own, (0, int(place.off_sett), place.heddles_moved)), rest[depth + 1])
                heapq.heappush(heap, (now, (*chosen, rank), next(number), {**places, order.key: place}))
            out = _sum(_sum(own, (order.value, 0, 0)), rest[depth + 1])
            heapq.heappush(heap, (out, (*chosen, len(self._of(order))), next(number), places))

    def _of(self, order: WarpOrder) -> list[Place]:
        return self.options[order.key]

    def _finished(self, places: dict[str, Place], depth: int) -> dict[str, Place]:
        made = dict(places)
        for order in self.orders[depth:]:
            looms = {place.loom for place in made.values()} | self.held[0]
            reeds = {place.reed for place in made.values() if place.reed is not None} | self.held[1]
            free = [each for each in self._of(order) if each.loom not in looms and each.reed not in reeds]
            if free:
                made[order.key] = min(free, key=lambda each: (each.off_sett, each.heddles_moved))
        return made


def _sum(one: tuple[int, int, int], other: tuple[int, int, int]) -> tuple[int, int, int]:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]


def _minus(one: tuple[int, int, int], other: tuple[int, int, int]) -> tuple[int, int, int]:
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def _placed(guild: Guild, places: Mapping[str, Place]) -> Guild:
    """The guild with its warps on the looms and in the reeds chosen, without those that have no place."""
    event = {order.key for order in warps_of(guild)}
    warps = []
    for order in guild.warps:
        place = places.get(order.key)
        if place is not None:
            warps.append(replace(order, loom=place.loom, looms=(), reed=place.reed or order.reed))
        elif order.key not in event:
            warps.append(order)
    return replace(guild, warps=tuple(warps))


def _plans(guild: Guild, drafts: Drafts, orders: Sequence[WarpOrder]) -> list[WarpPlan]:
    """Plans in file order, each with what the ones before leave."""
    shelf, made = shelf_now(guild, guild.warps, drafts), []
    for order in orders:
        try:
            plan, shelf = plan_once(order, guild, drafts, shelf)
        except BadInput as error:
            raise error.inside(f"[warps {order.key}]") from None
        made.append(plan)
    return made


@dataclass(frozen=True, slots=True)
class _Bought:
    """``short``: value of warps that are short of yarn that cannot be bought."""

    purchases: tuple[Purchase, ...]
    guild: Guild
    short: int
    proved: bool

    @property
    def cost(self) -> float:
        return sum(each.cost for each in self.purchases)


def _bought(guild: Guild, drafts: Drafts, event: set[str]) -> _Bought:
    """The cheapest cones with which no warp of the event is short of yarn: each yarn on its own."""
    plans = _plans(guild, drafts, guild.warps)
    lacking = dict.fromkeys(
        need.yarn.key
        for plan in plans
        if plan.order.key in event
        for need in plan.yarns
        if not need.enough and plan.order.wound is None
    )
    purchases: list[Purchase] = []
    proved, unbought = True, set()
    for yarn in lacking:
        found, whole = _basket(guild, drafts, yarn, event)
        proved = proved and whole
        if found is None:
            unbought.add(yarn)
        else:
            purchases += found
    bought = _with(guild, purchases)
    short = sum(
        plan.order.value
        for plan in plans
        if plan.order.key in event
        and any(need.yarn.key in unbought and not need.enough for need in plan.yarns)
    )
    return _Bought(tuple(purchases), bought, short, proved)


def _with(guild: Guild, purchases: Sequence[Purchase]) -> Guild:
    """The guild with what is bought on its shelf, in one dye lot for each kind of cone."""
    cones = tuple(
        Cone(
            f"{each.cone.key} bought {number}",
            each.cone.yarn,
            each.cone.weight_g,
            0.0,
            lot=f"bought {each.cone.key}",
            tare_sd_g=0.0,
        )
        for each in purchases
        for number in range(1, each.cones + 1)
    )
    return replace(guild, cones=guild.cones + cones)


def _basket(guild: Guild, drafts: Drafts, yarn: str, event: set[str]) -> tuple[list[Purchase] | None, bool]:
    """The cheapest cones of a yarn that are enough, and whether that is proved; None: none are sold, or so
    many are needed that the search was given up."""
    kinds = [each for each in guild.shop if each.yarn == yarn]
    if not kinds:
        return None, True
    using = [order for order in guild.warps if yarn in order.warp_yarns or yarn in order.all_weft_yarns]
    heap: list[tuple[float, tuple[int, ...]]] = [(0.0, (0,) * len(kinds))]
    seen, tried = {heap[0][1]}, 0
    while heap and tried < MOST_BASKETS:
        _cost, counts = heapq.heappop(heap)
        purchases = [Purchase(kind, many) for kind, many in zip(kinds, counts, strict=True) if many]
        tried += 1
        plans = _plans(_with(guild, purchases), drafts, using)
        if all(
            need.enough
            for plan in plans
            if plan.order.key in event
            for need in plan.yarns
            if need.yarn.key == yarn
        ):
            return purchases, True
        for place in range(len(kinds)):
            more = (*counts[:place], counts[place] + 1, *counts[place + 1 :])
            if more not in seen:
                seen.add(more)
                price = sum(kind.price * many for kind, many in zip(kinds, more, strict=True))
                heapq.heappush(heap, (price, more))
    return None, False


def _stands_out(
    order: WarpOrder,
    guild: Guild,
    drafts: Drafts,
    options: Sequence[Place],
    places: Mapping[str, Place],
    plan: WarpPlan | None,
) -> Problem:
    """Why a warp has no place, loom by loom, with what would help."""
    if plan is not None:
        stops = [problem.message for problem in plan.problems if problem.level == "stop"]
        return Problem(
            "stands-out",
            "stop",
            phrase(
                "{warp} cannot be dressed, and no cones to buy would help: {reasons}",
                warp=order.key,
                reasons=joined(" ", stops),
            ),
        )
    reasons: list[Phrase] = []
    for loom in order.looms or (order.loom,):
        name = guild.loom(loom).name
        holder = next((key for key, place in places.items() if place.loom == loom), None)
        able = [place for place in options if place.loom == loom]
        if able and holder is not None:
            reasons.append(phrase("{loom} has {warp}.", loom=name, warp=holder))
        elif able:
            reeds = joined(", ", dict.fromkeys(str(place.reed) for place in able))
            reasons.append(
                phrase("for {loom} no reed is left; borrow one like {reeds}.", loom=name, reeds=reeds)
            )
        else:
            alone = replace(order, loom=loom, looms=())
            bare = replace(guild, warps=(alone,))
            tried = plan_warp(alone, bare, drafts, Shelf(bare))[0]
            for problem in tried.problems:
                if problem.level == "stop" and problem.code not in OF_YARN:
                    reasons.append(problem.message)
                    if problem.remedies:
                        reasons.append(phrase("One way out: {way}.", way=problem.remedies[0].says))
                    break
    return Problem(
        "stands-out",
        "stop",
        phrase("{warp} has no loom: {reasons}", warp=order.key, reasons=joined(" ", reasons)),
    )

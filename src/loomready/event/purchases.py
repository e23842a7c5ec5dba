"""The cheapest cones with which no warp of an event is short of yarn.

Each yarn on its own, the cheapest cones first: whether they are enough is judged by the plans of all warps
that use the yarn. Prices are decimal numbers.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from loomready.draft.draft import Draft
from loomready.event.places import OF_YARN
from loomready.model.event import ShopCone
from loomready.model.guild import Cone, Guild, WarpOrder
from loomready.problems import BadInput
from loomready.warp.plan import plan_once, shelf_now
from loomready.warp.result import WarpPlan, YarnNeed
from loomready.yarn.cones import pooled

Drafts = Mapping[str, Draft]
MOST_BASKETS = 120  # planned for one yarn
MOST_COUNTED = 20_000  # looked at for one yarn; too little yarn in all needs no plan


@dataclass(frozen=True, slots=True)
class Purchase:
    """Full cones of one kind to buy, and what they cost together."""

    cone: ShopCone
    cones: int

    @property
    def cost(self) -> Decimal:
        return self.cones * self.cone.price


@dataclass(frozen=True, slots=True)
class Bought:
    """``guild``: with what is bought on the shelf; ``short``: value of warps that are short of yarn anyway.

    ``given_up``: yarns of which so many cones are needed that the search for them was given up.
    """

    purchases: tuple[Purchase, ...]
    guild: Guild
    short: int
    given_up: frozenset[str]

    @property
    def cost(self) -> Decimal:
        return cost_of(self.purchases)


def cost_of(purchases: Sequence[Purchase]) -> Decimal:
    return sum((each.cost for each in purchases), Decimal(0))


def plans_in_order(guild: Guild, drafts: Drafts, orders: Sequence[WarpOrder]) -> list[WarpPlan]:
    """Plans in file order, each with what the ones before leave.

    :raises BadInput: an order that is not valid with its draft, placed by its key
    """
    shelf, made = shelf_now(guild, guild.warps, drafts), []
    for order in orders:
        try:
            plan, shelf = plan_once(order, guild, drafts, shelf)
        except BadInput as error:
            raise error.inside(order.key) from None
        made.append(plan)
    return made


def buy(guild: Guild, drafts: Drafts, event: Collection[str]) -> Bought:
    """The cheapest cones with which no warp of the event is short of yarn.

    :param event: keys of its warps
    """
    plans = [plan for plan in plans_in_order(guild, drafts, guild.warps) if plan.order.key in event]
    lacking = dict.fromkeys(need.yarn.key for plan in plans for need in plan.yarns if _lacks(plan, need))
    purchases: list[Purchase] = []
    unbought, given_up = set(), set()
    for yarn in lacking:
        found, whole = _basket(guild, drafts, yarn, event)
        if found is None:
            unbought.add(yarn)
        purchases += found or ()
        if not whole:
            given_up.add(yarn)
    short = sum(
        plan.order.value
        for plan in plans
        if any(need.yarn.key in unbought and _lacks(plan, need) for need in plan.yarns)
    )
    return Bought(tuple(purchases), _with(guild, purchases), short, frozenset(given_up))


def _lacks(plan: WarpPlan, need: YarnNeed) -> bool:
    """Whether this yarn stops the warp; a wound warp has its warp yarn, whatever the shelf holds."""
    stops = any(problem.code in OF_YARN and problem.level == "stop" for problem in plan.problems)
    return not need.enough and (stops or plan.order.wound is None)


def _with(guild: Guild, purchases: Sequence[Purchase]) -> Guild:
    """The guild with what is bought on its shelf, in one dye lot for each kind of cone."""
    cones = tuple(
        full_cone(
            f"{each.cone.key} bought {number}", each.cone.yarn, each.cone.weight_g, f"bought {each.cone.key}"
        )
        for each in purchases
        for number in range(1, each.cones + 1)
    )
    return replace(guild, cones=guild.cones + cones)


def full_cone(key: str, yarn: str, weight_g: float, lot: str) -> Cone:
    """A cone that holds what its label says."""
    return Cone(key, yarn, weight_g, 0.0, lot=lot, tare_sd_g=0.0)


def _basket(
    guild: Guild, drafts: Drafts, yarn: str, event: Collection[str]
) -> tuple[list[Purchase] | None, bool]:
    """The cheapest cones of a yarn that are enough, and whether that is proved; None: none are sold, or so
    many are needed that the search was given up."""
    kinds = [each for each in guild.shop if each.yarn == yarn]
    if not kinds:
        return None, True
    using = [order for order in guild.warps if yarn in order.warp_yarns or yarn in order.all_weft_yarns]
    least_g = _least_g(guild, yarn, plans_in_order(guild, drafts, using), event)
    heap: list[tuple[Decimal, tuple[int, ...]]] = [(Decimal(0), (0,) * len(kinds))]
    seen, planned = {heap[0][1]}, 0
    while heap and planned < MOST_BASKETS and len(seen) < MOST_COUNTED:
        _cost, counts = heapq.heappop(heap)
        purchases = [Purchase(kind, many) for kind, many in zip(kinds, counts, strict=True) if many]
        if sum(each.cones * each.cone.weight_g for each in purchases) >= least_g:
            planned += 1
            plans = plans_in_order(_with(guild, purchases), drafts, using)
            if not any(
                need.yarn.key == yarn and _lacks(plan, need)
                for plan in plans
                if plan.order.key in event
                for need in plan.yarns
            ):
                return purchases, True
        for place in range(len(kinds)):
            more = (*counts[:place], counts[place] + 1, *counts[place + 1 :])
            if more not in seen:
                seen.add(more)
                price = sum((kind.price * many for kind, many in zip(kinds, more, strict=True)), Decimal(0))
                heapq.heappush(heap, (price, more))
    return None, False


def _least_g(guild: Guild, yarn: str, plans: Sequence[WarpPlan], event: Collection[str]) -> float:
    """A weight that cannot be enough: what is wanted in all, less all that the cones may hold."""
    wanted_m = sum(
        need.wanted_m
        for plan in plans
        if plan.order.key in event
        for need in plan.yarns
        if need.yarn.key == yarn
    )
    there = guild.yarn(yarn)
    cones = tuple(cone for cone in guild.cones if cone.yarn == yarn)
    each_m = pooled((full_cone("one", yarn, 1.0, ""),), there).expected_m
    return max(0.0, wanted_m - (pooled(cones, there).expected_m if cones else 0.0)) / each_m - 1e-6

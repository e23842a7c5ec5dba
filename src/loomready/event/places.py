"""Looms and reeds for warps: on which a warp can be dressed, and the best choices for all of them.

A warp that is begun keeps its loom and its reed, and nobody else gets them. Of the others each gets one of
its looms and a reed, no loom or reed twice.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

from loomready.draft.draft import Draft
from loomready.model.guild import Guild, Loom, Reed, WarpOrder
from loomready.problems import BadInput
from loomready.warp.free_reeds import in_its_reed
from loomready.warp.plan import plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf

Drafts = Mapping[str, Draft]
Kept = tuple[str, str | None]
"""The loom and the reed, by keys, of a warp that is begun; None: no reed is known."""

OF_YARN = ("yarn-short", "lots-mixed")  # stops that buying can end
MOST_NODES = 20_000  # of the search for looms and reeds

Cost = tuple[int, int, int]
"""Value left out, setts that no reed comes near, heddles moved."""


@dataclass(frozen=True, slots=True)
class Place:
    """A loom and a reed for a warp. ``off_sett``: no reed comes near the sett asked for."""

    loom: str
    reed: str | None
    heddles_moved: int
    off_sett: bool


@dataclass(frozen=True, slots=True)
class Held:
    """Looms and reeds that are taken already, each with the key of the warp that has it."""

    looms: Mapping[str, str]
    reeds: Mapping[str, str]

    def has(self, place: Place) -> bool:
        return place.loom in self.looms or place.reed in self.reeds


def warps_of(guild: Guild) -> tuple[WarpOrder, ...]:
    """The warps of the guild's event, in file order; finished ones are left out."""
    named = guild.event.warps if guild.event is not None else None
    return tuple(
        order for order in guild.warps if order.off is None and (named is None or order.key in named)
    )


def in_their_places(guild: Guild, begun: Mapping[str, Kept]) -> Guild:
    """The guild with each warp that is begun on its loom and in its reed.

    What the guild file says of a warp comes first: a loom that it does not name, or a reed that is gone, is
    not kept.
    """
    reeds = {reed.key for reed in guild.reeds}

    def kept(order: WarpOrder) -> WarpOrder:
        loom, reed = begun.get(order.key, ("", None))
        if loom in (order.looms or (order.loom,)):
            order = replace(order, loom=loom, looms=())
        return replace(order, reed=reed) if reed in reeds and order.set_reed is None else order

    return replace(guild, warps=tuple(map(kept, guild.warps)))


def is_begun(order: WarpOrder, begun: Mapping[str, Kept]) -> bool:
    """Whether a warp is wound, or known to be begun."""
    return in_its_reed(order) or (order.off is None and order.key in begun)


class Trials:
    """Plans of warps on their own, one for each loom and reed: each is made once.

    They do not depend on the shelf: what a warp is short of yarn is left to what is bought.
    """

    def __init__(self, drafts: Drafts) -> None:
        self.drafts = drafts
        self._made: dict[tuple[WarpOrder, Loom, Reed | None], WarpPlan] = {}

    def plan(self, order: WarpOrder, guild: Guild) -> WarpPlan:
        """The plan of an order as if no other warp were there: its reeds are free."""
        reed = next((each for each in guild.reeds if each.key == order.reed), None)
        key = (order, guild.loom(order.loom), reed)
        if order.reed is None or order.tied_to is not None or not _hashable(order):
            return _alone(order, guild, self.drafts)
        if key not in self._made:
            self._made[key] = _alone(order, guild, self.drafts)
        return self._made[key]

    def options(self, order: WarpOrder, guild: Guild) -> list[Place]:
        """Every loom with a reed on which a warp that is not begun can be dressed, in file order.

        Where some reed comes near the sett that is asked for, the others are left out.
        """
        found: list[Place] = []
        for loom in order.looms or (order.loom,):
            reeds: tuple[str | None, ...] = tuple(reed.key for reed in guild.reeds)
            if guild.loom(loom).is_rigid_heddle and guild.loom(loom).gauge_per_cm is not None:
                reeds = (None,)
            if order.set_reed is not None:
                reeds = (order.set_reed,)
            for reed in reeds or (None,):
                plan = self.plan(replace(order, loom=loom, looms=(), reed=reed or order.reed), guild)
                if {problem.code for problem in plan.problems if problem.level == "stop"} <= set(OF_YARN):
                    found.append(_place(plan, reed is not None))
        near = {place.loom for place in found if not place.off_sett}
        return [place for place in found if not place.off_sett or place.loom not in near]

    def own(self, order: WarpOrder, guild: Guild) -> Place | None:
        """The place of a warp that is begun: its own loom, the reed that it sets or that its plan gives it.
        None: an order that is not valid."""
        try:
            return _place(plan_once(order, guild, self.drafts, Shelf(guild))[0], True)
        except BadInput:
            return None


def _hashable(order: WarpOrder) -> bool:
    try:
        hash(order)
    except TypeError:
        return False
    return True


def _alone(order: WarpOrder, guild: Guild, drafts: Drafts) -> WarpPlan:
    old = [each for each in guild.warps if each.key == order.tied_to]
    alone = replace(guild, warps=(*old, order))
    return plan_once(order, alone, drafts, Shelf(alone))[0]


def _place(plan: WarpPlan, in_reed: bool) -> Place:
    off = any(problem.code == "no-sley" for problem in plan.problems)
    reed = plan.sley.reed.key if plan.sley is not None and in_reed else None
    own = plan.loom.is_rigid_heddle and plan.loom.gauge_per_cm is not None
    return Place(plan.loom.key, None if own else reed, plan.heddles.moved, off)


def held_by(guild: Guild, begun: Mapping[str, Kept], trials: Trials) -> tuple[Held, dict[str, Place]]:
    """Looms and reeds of every warp that is begun, and the places of these warps by key."""
    places = {
        order.key: place
        for order in guild.warps
        if is_begun(order, begun) and (place := trials.own(order, guild)) is not None
    }
    looms: dict[str, str] = {}
    reeds: dict[str, str] = {}
    for key, place in places.items():
        looms.setdefault(place.loom, key)
        if place.reed is not None:
            reeds.setdefault(place.reed, key)
    return Held(looms, reeds), places


class Search:
    """Places for warps in file order, a best first search whose bound is what each warp costs on its own.

    ``whole``: nothing was cut short by the limit of effort.
    """

    def __init__(self, orders: Sequence[WarpOrder], options: Mapping[str, list[Place]], held: Held) -> None:
        self.orders, self.held = orders, held
        self.options = {
            order.key: [place for place in options[order.key] if not held.has(place)] for order in orders
        }
        self.whole = True

    def choices(self) -> Iterator[dict[str, Place]]:
        """Choices from the best on: value left out, setts missed, heddles moved, file order."""
        rest = [(0, 0, 0)]
        for order in reversed(self.orders):
            alone = [(0, int(place.off_sett), place.heddles_moved) for place in self._of(order)]
            rest.append(_sum(rest[-1], min(alone or [(order.value, 0, 0)])))
        rest.reverse()
        number = count()
        heap: list[tuple[Cost, tuple[int, ...], int, dict[str, Place]]] = [(rest[0], (), next(number), {})]
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
                yield self._finished(places, depth)  # as it comes, without a search
                return
            order = self.orders[depth]
            own = _less(cost, rest[depth])
            for rank, place in enumerate(self._of(order)):
                if is_free(place, places):
                    now = _sum(_sum(own, (0, int(place.off_sett), place.heddles_moved)), rest[depth + 1])
                    heapq.heappush(heap, (now, (*chosen, rank), next(number), {**places, order.key: place}))
            out = _sum(_sum(own, (order.value, 0, 0)), rest[depth + 1])
            heapq.heappush(heap, (out, (*chosen, len(self._of(order))), next(number), places))

    def _of(self, order: WarpOrder) -> list[Place]:
        return self.options[order.key]

    def _finished(self, places: dict[str, Place], depth: int) -> dict[str, Place]:
        made = dict(places)
        for order in self.orders[depth:]:
            free = [each for each in self._of(order) if is_free(each, made)]
            if free:
                made[order.key] = min(free, key=lambda each: (each.off_sett, each.heddles_moved))
        return made


def is_free(place: Place, places: Mapping[str, Place]) -> bool:
    """Whether no other warp has the loom or the reed."""
    return not any(
        place.loom == each.loom or (place.reed is not None and place.reed == each.reed)
        for each in places.values()
    )


def _sum(one: Cost, other: Cost) -> Cost:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]


def _less(one: Cost, other: Cost) -> Cost:
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]

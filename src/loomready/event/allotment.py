"""Which loom and which reed for each warp of an event, and which cones to buy.

The choice has, in this order, the most value of warps that have a place, the fewest warps whose sett no reed
comes near, the least cost of cones to buy, the fewest heddles to move, and the looms and reeds that come
first in the file. Whether a warp can be dressed as chosen is judged by its plan, in file order, with what is
bought on the shelf. A warp that is begun keeps its loom and its reed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import count

from loomready.event.places import (
    Drafts,
    Held,
    Kept,
    Place,
    Search,
    Trials,
    held_by,
    in_their_places,
    is_begun,
    is_free,
    warps_of,
)
from loomready.event.purchases import Bought, Purchase, buy, cost_of, plans_in_order
from loomready.event.standing_out import Case, explained
from loomready.event.watch import UNWATCHED, Watch
from loomready.model.guild import Guild, WarpOrder
from loomready.phrases import phrase
from loomready.problems import BadInput, Problem
from loomready.warp.result import WarpPlan

MOST_PLANS = 20_000  # one for each loom and reed of each warp
MOST_CHOICES = 40  # whose cost is worked out
MOST_TRIES = 60  # ways to dress one warp more, for all that stand out
MOST_PLACES = 2  # of such a warp in each way


@dataclass(frozen=True, slots=True)
class Allotment:
    """``places``: by warp, in file order. ``guild``: with looms and reeds as chosen, and what is bought on
    the shelf. ``plans``: of the warps that have a place; ``problems``: why others have none.

    ``ended_early``: the search was ended before it was done; this is the best until then.
    """

    places: Mapping[str, Place]
    buy: tuple[Purchase, ...]
    proved: bool
    guild: Guild
    plans: Mapping[str, WarpPlan]
    problems: tuple[Problem, ...]
    ended_early: bool = False

    @property
    def cost(self) -> Decimal:
        return cost_of(self.buy)


@dataclass(frozen=True, slots=True)
class _Chosen:
    """The best choice, before it is explained. ``out``: value of warps that are not dressed."""

    out: int
    places: Mapping[str, Place]
    bought: Bought
    whole: bool
    ended_early: bool
    options: Mapping[str, list[Place]]
    held: Held


def allot(
    guild: Guild,
    drafts: Drafts,
    begun: Mapping[str, Kept] | None = None,
    watch: Watch = UNWATCHED,
) -> Allotment:
    """The best places for the event's warps, and what to buy.

    :param begun: by key, the looms and reeds of warps that are begun; those that are wound are known anyway
    :raises BadInput: an order that is not valid with its draft
    """
    try:
        return _allotted(guild, drafts, begun or {}, watch)
    except BadInput as error:
        numbers = {order.key: f"[warps {number}]" for number, order in enumerate(guild.warps, 1)}
        error.path = (*(numbers.get(f"{step}", step) for step in error.path[:1]), *error.path[1:])
        raise


def _allotted(guild: Guild, drafts: Drafts, begun: Mapping[str, Kept], watch: Watch) -> Allotment:
    guild = in_their_places(guild, begun)
    orders = warps_of(guild)
    _refuse_too_many(orders, guild)
    trials = Trials(drafts)
    chosen = _choose(guild, begun, trials, watch, MOST_CHOICES)
    placed = chosen.bought.guild
    plans = {
        plan.order.key: plan
        for plan in plans_in_order(placed, drafts, placed.warps)
        if plan.order.key in chosen.places
    }
    dressed = [key for key, plan in plans.items() if not plan.stopped]

    tries = count()

    def better(changed: Guild, key: str) -> bool:
        """Whether with a changed guild this warp can be dressed beside the others, within the effort."""
        if next(tries) >= MOST_TRIES:
            return False
        others = {other: place for other, place in chosen.places.items() if other != key}
        order = next(each for each in changed.warps if each.key == key)
        own = [chosen.places[key]] if is_begun(order, begun) and key in chosen.places else None
        options = trials.options(order, changed) if own is None else own
        free = [place for place in options if is_free(place, others) and (own or not chosen.held.has(place))]
        for place in sorted(free, key=lambda place: (place.off_sett, place.heddles_moved))[:MOST_PLACES]:
            again = buy(_placed(changed, {**others, key: place}), drafts, {*others, key})
            made = plans_in_order(again.guild, drafts, again.guild.warps)
            if not any(plan.stopped for plan in made if plan.order.key in (key, *dressed)):
                return True
        return False

    case = Case(guild, placed, chosen.options, chosen.places, chosen.held, chosen.bought.given_up, trials)
    out = [order for order in orders if order.key not in dressed]
    return Allotment(
        {order.key: chosen.places[order.key] for order in orders if order.key in dressed},
        chosen.bought.purchases,
        chosen.whole and not chosen.bought.given_up and not chosen.ended_early,
        placed,
        {key: plans[key] for key in dressed},
        tuple(explained(case, order, plans.get(order.key), better, watch) for order in out),
        chosen.ended_early,
    )


def _refuse_too_many(orders: Sequence[WarpOrder], guild: Guild) -> None:
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


def _choose(
    guild: Guild, begun: Mapping[str, Kept], trials: Trials, watch: Watch, most_choices: int
) -> _Chosen:
    orders = warps_of(guild)
    held, own = held_by(guild, begun, trials)
    options: dict[str, list[Place]] = {}
    for number, order in enumerate(guild.warps, 1):
        if order not in orders:
            continue
        try:
            if is_begun(order, begun):
                trials.plan(order, guild)
                options[order.key] = [own[order.key]] if order.key in own else []
            else:
                options[order.key] = trials.options(order, guild)
        except BadInput as error:
            raise error.inside(f"[warps {number}]") from None
    fixed = {order.key: own[order.key] for order in orders if order.key in own}
    search = Search([order for order in orders if order.key not in fixed], options, held)
    best: tuple[tuple[int, int, Decimal, int], dict[str, Place], Bought] | None = None
    ended_early = False
    for tried, found in enumerate(search.choices()):
        places = {order.key: place for order in orders if (place := (fixed | found).get(order.key))}
        left_out = sum(order.value for order in orders if order.key not in places)
        off_sett = sum(place.off_sett for place in places.values())
        if best is not None and (left_out, off_sett) > best[0][:2]:
            break  # as all that follow
        if best is not None and watch.stop():
            ended_early = True
            break
        if tried == most_choices:
            search.whole = False
            break
        watch.on_progress("looms and yarn", tried / most_choices)
        bought = buy(_placed(guild, places), trials.drafts, set(places))
        moved = sum(place.heddles_moved for place in places.values())
        rank = (left_out + bought.short, off_sett, bought.cost, moved)
        if best is None or rank < best[0]:
            best = rank, places, bought
        if not bought.purchases and not bought.short:
            break  # nothing to buy: the choices come in order of all else
    assert best is not None
    return _Chosen(best[0][0], best[1], best[2], search.whole, ended_early, options, held)


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

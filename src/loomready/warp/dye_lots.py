"""Which dye lot serves which color role when lots may not mix within a color."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from loomready.warp.rounding import at_most, whole_down

EFFORT = 20_000  # choices tried; after that the best one found so far is used


class RoleDemand(NamedTuple):
    """What one role wants: ends, or meters of weft."""

    ends: int
    weft_m: float


@dataclass(frozen=True, slots=True)
class LotStock:
    """What one lot has: ends that each of its cones can give, largest first, and its pooled usable length."""

    cone_ends: tuple[int, ...]
    usable_m: float

    @property
    def ends(self) -> int:
        return sum(self.cone_ends)

    def opened(self, ends: int) -> int:
        """The fewest cones that give that many ends."""
        for count, capacity in enumerate(self.cone_ends):
            if ends <= 0:
                return count
            ends -= capacity
        return len(self.cone_ends)


def choose_lots(
    stocks: tuple[LotStock, ...], roles: tuple[RoleDemand, ...], length_m: float, pool_m: float
) -> tuple[int, ...]:
    """The lot of each role, as places in ``stocks``.

    If every role can be served from one lot, the choice opens the fewest cones for the warp (ties: the
    earliest
    lots for the largest roles). If not, the largest roles take the lots with most left. ``pool_m``: usable
    length of all lots together, which may be less than theirs one by one.
    """
    order = sorted(range(len(roles)), key=lambda role: (-roles[role].ends, -roles[role].weft_m))
    total = sum(role.ends * length_m + role.weft_m for role in roles)
    found = _fewest_cones(stocks, roles, order, length_m) if at_most(total, pool_m) else None
    return found if found is not None else _roomiest(stocks, roles, order, length_m)


def _fewest_cones(
    stocks: tuple[LotStock, ...], roles: tuple[RoleDemand, ...], order: list[int], length_m: float
) -> tuple[int, ...] | None:
    """Depth first, largest role first; branches that open no fewer cones than the best so far are dropped."""
    ends, weft = [0] * len(stocks), [0.0] * len(stocks)
    chosen = [0] * len(roles)
    best: tuple[int, tuple[int, ...]] | None = None
    looked = 0

    def opened() -> int:
        return sum(stock.opened(count) for stock, count in zip(stocks, ends, strict=True))

    def lots_for(role: RoleDemand) -> Iterator[int]:
        tried = set()  # lots alike in stock and in use give the same result: one of them is enough
        for place, stock in enumerate(stocks):
            alike = (stock, ends[place], weft[place])
            if alike in tried:
                continue
            tried.add(alike)
            more = ends[place] + role.ends
            meters = more * length_m + weft[place] + role.weft_m
            if more <= stock.ends and at_most(meters, stock.usable_m):
                yield place

    def place_role(depth: int) -> None:
        nonlocal best, looked
        looked += 1
        if looked > EFFORT or (best is not None and opened() >= best[0]):
            return
        if depth == len(order):
            best = (opened(), tuple(chosen))
            return
        role = roles[order[depth]]
        for place in list(lots_for(role)):
            ends[place] += role.ends
            weft[place] += role.weft_m
            chosen[order[depth]] = place
            place_role(depth + 1)
            ends[place] -= role.ends
            weft[place] -= role.weft_m

    place_role(0)
    return None if best is None else best[1]


def _roomiest(
    stocks: tuple[LotStock, ...], roles: tuple[RoleDemand, ...], order: list[int], length_m: float
) -> tuple[int, ...]:
    """Each role, largest first, goes to the lot that is least short for it, or else to the one with the most
    left."""
    ends = [stock.ends for stock in stocks]
    meters = [stock.usable_m for stock in stocks]
    chosen = [0] * len(roles)
    for which in order:
        role = roles[which]

        def lack(place: int, role: RoleDemand = role) -> tuple[int, float, float]:
            got = min(role.ends, ends[place], whole_down(max(0.0, meters[place]) / length_m))
            left = meters[place] - got * length_m
            return role.ends - got, max(0.0, role.weft_m - max(0.0, left)), -left

        place = min(range(len(stocks)), key=lack)
        got = min(role.ends, ends[place])
        ends[place] -= got
        meters[place] -= got * length_m + min(role.weft_m, max(0.0, meters[place] - got * length_m))
        chosen[which] = place
    return tuple(chosen)

"""Colors from the shelf: every way to fill a warp's color roles with yarn that is surely on hand.

The yarns that can fill each role are combined in every way that uses no yarn twice and only yarns that go
together. The offers differ from one another and come from the top of the column they are sorted by; each is
planned as a whole before it is offered.

Yarn that other warps claim is left for them: for the earlier warps of the file, and for the later ones, which
no offer makes short.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from loomready.choose.colors.columns import NAMES, Choices, Columns, Reals
from loomready.choose.colors.hues import relation
from loomready.choose.colors.roles import Role, roles_of_order, woven_in
from loomready.choose.colors.yarns_for_roles import (
    NEAR_GRIST,
    Candidates,
    Like,
    SpokenFor,
    candidates,
    none_because,
)
from loomready.model.guild import Guild, WarpOrder
from loomready.phrases import Phrase, listed, phrase
from loomready.problems import BadInput
from loomready.warp.plan import Drafts, plan_once, shelf_before
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from loomready.yarn.fibers import shrinks_like

MOST_LOOKED_AT = 16_000_000  # choices sorted; above that only the most different yarns are combined
MOST_KEPT = 20_000  # of the best, from which different ones are picked
MOST_REFUSED = 300  # failed plans in a row after which the search ends
CHUNK = 400_000
UNLIKE = (
    0.24,
    0.12,
    0.06,
    0.03,
    0.0,
)  # OKLab distances, weighted by cloth: the first try, then closer
YARN_STOPS = frozenset({"yarn-short", "lots-mixed"})


@dataclass(frozen=True, slots=True)
class Wishes:
    """How colors are to be chosen and shown.

    order_by    a column, largest first, or the least with ``least_first``
    distance_m  from how far the cloth is seen
    like        yarns near those planned in their places, for which sett, picks and shrinkage were written;
                or only near one another. None: as planned where a sett is written, else near one another
    band        how much coarser one of two yarns near one another may be, as a share
    any_fiber   allow fibers with different shrinkage
    first       this warp takes from the shelf before the later ones of the file
    """

    order_by: str = "contrast"
    least_first: bool = False
    count: int = 24
    skip: int = 0
    distance_m: float = 3.0
    like: Like | None = None
    band: float = NEAR_GRIST
    any_fiber: bool = False
    first: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class ColorOffer:
    """One choice: a yarn for each role, the order and the whole plan with them, and its columns."""

    yarns: tuple[str, ...]
    order: WarpOrder
    plan: WarpPlan
    columns: dict[str, float]
    hue: Phrase


@dataclass(frozen=True, slots=True, eq=False)
class ColorChoice:
    """The offers for one warp.

    ``possible``: combinations of yarns that are each enough and go together. ``all_looked_at``: whether all
    of them were sorted. ``more``: whether there are offers after these. ``none_because``: why there is
    none.
    """

    order: WarpOrder
    guild: Guild
    wishes: Wishes
    roles: tuple[Role, ...]
    found: tuple[Candidates, ...]
    offers: tuple[ColorOffer, ...]
    possible: int
    all_looked_at: bool
    more: bool
    none_because: tuple[Phrase, ...]


def choose_colors(guild: Guild, drafts: Drafts, key: str, wishes: Wishes | None = None) -> ColorChoice:
    """Colors from the shelf for the warp named.

    :raises BadInput: the order does not fit its draft, or a wish is invalid
    """
    wishes = wishes or Wishes()
    _check(wishes)
    order = next(each for each in guild.warps if each.key == key)
    like: Like = wishes.like or ("one-another" if order.sett_per_cm is None else "planned")
    wishes = replace(wishes, like=like)
    plans = _Plans(order, guild, drafts, wishes.first)
    if order.second_yarns is not None:
        raise BadInput(
            phrase("colors are not chosen for a warp with a second warp; expected one warp"),
            where="second_yarns",
        )
    roles = roles_of_order(order, drafts)
    found = candidates(
        order,
        roles,
        guild,
        drafts,
        plans.before,
        plans.spoken_for,
        like=like,
        band=wishes.band,
        any_fiber=wishes.any_fiber,
    )
    made = _Made(order, guild, wishes, roles, found)
    if all(each.able for each in found):
        columns = Columns(order, plans.now, roles, guild.yarns, found, wishes.distance_m)
        made.rank(columns)
        made.pick(columns, plans)
    offers = tuple(made.offers[wishes.skip : wishes.skip + wishes.count])
    return ColorChoice(
        order=order,
        guild=guild,
        wishes=wishes,
        roles=roles,
        found=found,
        offers=tuple(sorted(offers, key=made.place_of)),
        possible=made.possible,
        all_looked_at=made.all_looked_at,
        more=len(made.offers) > wishes.skip + wishes.count,
        none_because=() if made.offers else made.why_none(),
    )


def _check(wishes: Wishes) -> None:
    if wishes.order_by not in NAMES:
        raise BadInput(
            phrase(
                'no column "{column}"; expected one of: {columns}',
                column=wishes.order_by,
                columns=listed(NAMES),
            )
        )
    if not 0 < wishes.distance_m <= 1000:
        raise BadInput(phrase("a viewing distance must be above 0 and at most 1000 m"))
    if not 0 <= wishes.band <= 10:
        raise BadInput(phrase("a grist tolerance must be 0 % or more and at most 1000 %"))


class _Plans:
    """Plans of the order in other colors, and whether they leave the later warps what they need."""

    def __init__(self, order: WarpOrder, guild: Guild, drafts: Drafts, first: bool) -> None:
        self.guild, self.drafts = guild, drafts
        self.before = shelf_before(guild, drafts, order.key)
        self.now = plan_once(order, guild, drafts, self.before)[0]
        place = guild.warps.index(order)
        self.later = () if first else guild.warps[place + 1 :]
        planned = self._later(self.before)
        self.lacking = {plan.order.key: _lacking(plan) for plan in planned}
        self.spoken_for = SpokenFor(
            claims=tuple(_claims(plan) for plan in planned),
            reserve=min((each.reserve for each in (order, *self.later)), default=order.reserve),
        )

    def _later(self, shelf: Shelf) -> list[WarpPlan]:
        """The plans of the later warps on a shelf."""
        made = []
        for order in self.later:
            try:
                plan, shelf = plan_once(order, self.guild, self.drafts, shelf)
            except BadInput:
                continue
            made.append(plan)
        return made

    def clean(
        self, order: WarpOrder, roles: Sequence[Role], yarns: Sequence[str]
    ) -> tuple[WarpOrder, WarpPlan] | None:
        """The order in other yarns and its plan, if no yarn stops it and no later warp becomes short."""
        try:
            made = woven_in(order, roles, yarns, self.guild, self.drafts, self.before)
            plan, left = plan_once(made, self.guild, self.drafts, self.before)
        except BadInput:
            return None
        if any(problem.code in YARN_STOPS for problem in plan.problems):
            return None
        spoiled = any(_lacking(later) - self.lacking[later.order.key] for later in self._later(left))
        return None if spoiled else (made, plan)


def _lacking(plan: WarpPlan) -> set[str]:
    return {need.yarn.key for need in plan.yarns if not need.enough}


def _claims(plan: WarpPlan) -> dict[str, float]:
    """Meters that a warp still needs of each yarn that is enough for it."""
    return {need.yarn.key: need.wanted_m for need in plan.yarns if need.enough}


class _Made:
    """The combinations that are becoming offers."""

    def __init__(
        self,
        order: WarpOrder,
        guild: Guild,
        wishes: Wishes,
        roles: tuple[Role, ...],
        found: tuple[Candidates, ...],
    ) -> None:
        self.order, self.guild, self.wishes, self.roles, self.found = order, guild, wishes, roles, found
        self.possible, self.all_looked_at = 0, True
        self.kept: Choices = np.zeros((0, len(roles)), dtype=np.int16)
        self.offers: list[ColorOffer] = []
        shrinks = [shrinks_like(yarn.fiber) for yarn in guild.yarns]
        self.tex = np.asarray([yarn.tex for yarn in guild.yarns])
        self.shrinks = np.unique(shrinks, return_inverse=True)[1] if shrinks else np.zeros(0, dtype=np.int64)

    def place_of(self, offer: ColorOffer) -> float:
        value = offer.columns[self.wishes.order_by]
        return value if self.wishes.least_first else -value

    def rank(self, columns: Columns) -> None:
        """Every choice, of which the best by the column are kept, in order."""
        lists = self._lists(columns)
        ranks = np.zeros(0)
        for every in _chunks(lists):
            choices = every[self._together(every)]
            self.possible += len(choices)
            value = np.round(columns.column(self.wishes.order_by, choices), 9)
            self.kept = np.concatenate([self.kept, choices])
            ranks = np.concatenate([ranks, value if self.wishes.least_first else -value])
            if len(ranks) > MOST_KEPT:
                best = np.argpartition(ranks, MOST_KEPT)[:MOST_KEPT]
                self.kept, ranks = self.kept[best], ranks[best]
        self.kept = self.kept[np.lexsort([*self.kept.T[::-1], ranks])]

    def _lists(self, columns: Columns) -> list[Choices]:
        """The yarns of each role, fewer of the longest lists where all ways would be too many."""
        lists = [np.asarray([one.yarn for one in each.able], dtype=np.int16) for each in self.found]
        sizes = [len(each) for each in lists]
        while int(np.prod(sizes, dtype=np.float64)) > MOST_LOOKED_AT:
            sizes[int(np.argmax(sizes))] -= 1
            self.all_looked_at = False
        return [
            each if len(each) == size else each[_spread(columns.oklab[each], size)]
            for each, size in zip(lists, sizes, strict=True)
        ]

    def _together(self, choices: Choices) -> np.ndarray:
        """Which combinations are valid: no yarn twice, and similar to one another where that is asked."""
        holds = np.ones(len(choices), dtype=bool)
        for one, other in ((a, b) for a in range(len(self.roles)) for b in range(a)):
            holds &= choices[:, one] != choices[:, other]
        if self.wishes.like == "one-another":
            tex = self.tex[choices]
            holds &= near_all(tex, self.wishes.band)
            if not self.wishes.any_fiber:
                kind = self.shrinks[choices]
                holds &= (kind == kind[:, :1]).all(axis=1)
        return holds

    def pick(self, columns: Columns, plans: _Plans) -> None:
        """Offers that differ, as many as are shown and one more, each planned as a whole."""
        if not len(self.kept):
            return
        wanted = self.wishes.skip + self.wishes.count + 1
        features = (columns.oklab[self.kept] * np.sqrt(columns.weights)[:, None]).reshape(len(self.kept), -1)
        nearest, open_ = np.full(len(self.kept), np.inf), np.ones(len(self.kept), dtype=bool)
        refused = 0
        for apart in UNLIKE:
            while len(self.offers) < wanted and refused < MOST_REFUSED:
                able = open_ & (nearest >= apart)
                row = int(able.argmax())
                if not able[row]:
                    break
                open_[row] = False
                offer = self._offer(self.kept[row], columns, plans)
                if offer is None:
                    refused += 1
                    continue
                refused = 0
                self.offers.append(offer)
                np.minimum(nearest, np.linalg.norm(features - features[row], axis=1), out=nearest)
        self.all_looked_at &= refused < MOST_REFUSED

    def _offer(self, row: Choices, columns: Columns, plans: _Plans) -> ColorOffer | None:
        yarns = tuple(self.guild.yarns[which].key for which in row.tolist())
        made = plans.clean(self.order, self.roles, yarns)
        if made is None:
            return None
        order, plan = made
        return ColorOffer(
            yarns=yarns,
            order=order,
            plan=plan,
            columns={name: float(columns.column(name, row[None])[0]) for name in NAMES},
            hue=relation(columns.oklab[np.unique(row)].tolist()),
        )

    def why_none(self) -> tuple[Phrase, ...]:
        if self.possible:
            return (
                phrase(
                    "Some yarns come close, but with the whole warp planned, no choice leaves enough for "
                    "every color and for the other warps."
                ),
            )
        return none_because(self.found, self.guild)


def near_all(tex: Reals, band: float) -> np.ndarray:
    """Which rows [n, roles] hold yarns all near one another, as :func:`near` has it."""
    coarse, fine = tex.max(axis=1), tex.min(axis=1)
    return np.asarray(coarse <= fine * (1 + band) * (1 + 1e-9))


def _chunks(lists: Sequence[Choices]) -> Iterator[Choices]:
    """All ways to take one of each list, in lists of at most about ``CHUNK``."""
    tail, size = len(lists), 1
    while tail and size * len(lists[tail - 1]) <= CHUNK:
        tail -= 1
        size *= len(lists[tail])
    grid = np.meshgrid(*lists[tail:], indexing="ij") if tail < len(lists) else []
    inner = np.stack([each.ravel() for each in grid], axis=1) if grid else np.zeros((1, 0), dtype=np.int16)
    for head in product(*(each.tolist() for each in lists[:tail])):
        outer = np.broadcast_to(np.asarray(head, dtype=np.int16), (len(inner), tail))
        yield np.concatenate([outer, inner], axis=1)


def _spread(points: Reals, count: int) -> np.ndarray:
    """Indexes of that many points far from one another, in rising order: the farthest, one by one."""
    taken = [0]
    nearest = np.linalg.norm(points - points[0], axis=1)
    while len(taken) < count:
        taken.append(int(nearest.argmax()))
        nearest = np.minimum(nearest, np.linalg.norm(points - points[taken[-1]], axis=1))
    return np.sort(taken)

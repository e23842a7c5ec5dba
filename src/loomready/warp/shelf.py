"""Which cone gives which end, which gives the weft, and what is left for the next warp."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from loomready.model.guild import Cone, Guild, Yarn
from loomready.warp.dye_lots import LotStock, RoleDemand, choose_lots
from loomready.warp.result import ConeUse, Ints
from loomready.warp.rounding import at_most, whole_down
from loomready.yarn.cones import pooled
from loomready.yarn.dates_taken import comes_off, same_day_unclear

Lot = str | None
WEFT = -1  # the role of weft


@dataclass(frozen=True, slots=True)
class Shelf:
    """The cones as weighed, and how many meters of each are taken or claimed by earlier warps.

    ``gone``: for each wound warp, by its key, what it took of each yarn; it is included in ``taken_m``.
    """

    guild: Guild
    taken_m: dict[str, float] = field(default_factory=dict)
    gone: dict[str, dict[str, Given]] = field(default_factory=dict)

    def cones_of(self, yarn: str) -> tuple[Cone, ...]:
        return tuple(cone for cone in self.guild.cones if cone.yarn == yarn)

    def taken(self, cones: tuple[Cone, ...]) -> float:
        return sum(self.taken_m.get(cone.key, 0.0) for cone in cones)

    def expected_m(self, cones: tuple[Cone, ...], yarn: Yarn) -> float:
        return max(0.0, pooled(cones, yarn).expected_m - self.taken(cones))

    def sure_m(self, cones: tuple[Cone, ...], yarn: Yarn) -> float:
        """Pooled sure length left. What is claimed is a known length, so all of it is subtracted."""
        return max(0.0, pooled(cones, yarn).sure_m - self.taken(cones))

    def usable_m(self, cones: tuple[Cone, ...], yarn: Yarn, reserve: float) -> float:
        """Sure length less the reserve, which is subtracted first: no earlier warp has used it."""
        return max(0.0, pooled(cones, yarn).sure_m * (1 - reserve) - self.taken(cones))

    def take(self, uses: tuple[ConeUse, ...]) -> Shelf:
        taken = dict(self.taken_m)
        for use in uses:
            taken[use.cone] = taken.get(use.cone, 0.0) + use.warp_m + use.weft_m
        return replace(self, taken_m=taken)

    def without(self, warp: str, took: dict[str, Given]) -> Shelf:
        """The shelf after a warp took its yarn; what it took is kept by the warp's key."""
        left = self
        for each in took.values():
            left = left.take(each.uses)
        return replace(left, gone={**self.gone, warp: took})


@dataclass(frozen=True, slots=True)
class Want:
    """The need of one color role of a yarn: warp ends (in heddles or floating); ``WEFT``: meters of weft."""

    role: int
    ends: int = 0
    weft_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Given:
    """What the shelf gives: for each warp role its cones in order, as (cone, ends); what is missing.

    ``mixed``: a color role takes more than one dye lot. ``mixing_helps``: no one lot a role is enough, but
    all lots together would be. ``weigh_again``: ends of a wound warp that no cone's weighing accounts for.
    ``unclear``: cones of which it is not sure that they gave what is taken off them: weigh them again.
    """

    cones_of_role: dict[int, tuple[tuple[str, int], ...]]
    missing_ends: int
    missing_weft_m: float
    mixed: bool
    mixing_helps: bool
    weigh_again: int
    unclear: tuple[str, ...]
    lots: tuple[Lot, ...]
    uses: tuple[ConeUse, ...]

    def after(self, gone: Given) -> Given:
        """This, for what is still needed, together with what the warp has already taken."""
        return replace(
            self,
            cones_of_role=gone.cones_of_role,
            weigh_again=gone.weigh_again,
            unclear=gone.unclear,
            lots=tuple(dict.fromkeys((*gone.lots, *self.lots))),
            uses=tuple(
                replace(now, ends=then.ends, warp_m=then.warp_m, weft_m=now.weft_m + then.weft_m)
                for now, then in zip(self.uses, gone.uses, strict=True)
            ),
        )


def give(
    shelf: Shelf,
    yarn: Yarn,
    wants: tuple[Want, ...],
    warp_length_m: float,
    *,
    reserve: float,
    mix_lots: bool,
) -> Given:
    """Assign cones of one yarn to every role: no end has a knot, weft may be pieced.

    Each role takes one dye lot unless lots may be mixed. If everything can be supplied, the choice opens the
    fewest cones for the warp, and so changes cones least often; if not, it has the smallest shortage.
    """
    return _served(shelf, yarn, wants, warp_length_m, reserve, mix_lots, None, None)


def took(
    shelf: Shelf,
    yarn: Yarn,
    wants: tuple[Want, ...],
    warp_length_m: float,
    *,
    reserve: float,
    mix_lots: bool,
    wound: date,
    off: date | None,
) -> Given:
    """What a wound warp took of a yarn, from the cones whose weighing does not know of it yet.

    :func:`loomready.yarn.dates_taken.comes_off` says which these are: cones weighed since already lack it.
    The cones are those that :func:`give` would have chosen. Nothing is ever short: where every cone was
    weighed before, anything beyond their sure length comes off the largest.
    """
    return _served(shelf, yarn, wants, warp_length_m, reserve, mix_lots, wound, off)


def _served(
    shelf: Shelf,
    yarn: Yarn,
    wants: tuple[Want, ...],
    warp_length_m: float,
    reserve: float,
    mix_lots: bool,
    wound: date | None,
    off: date | None,
) -> Given:
    cones = shelf.cones_of(yarn.key)
    lots = tuple(dict.fromkeys(cone.lot for cone in cones))
    trial = _Trial(shelf, yarn, cones, warp_length_m, reserve, wound, off)
    together = trial.serve({None: (cones, wants)})
    if mix_lots or len(lots) <= 1:
        return trial.finish(together, mixing_helps=False)
    by_lot = [tuple(cone for cone in cones if cone.lot == lot) for lot in lots]
    asked = tuple(RoleDemand(want.ends, want.weft_m) for want in wants)
    choice = choose_lots(
        tuple(trial.stock(of_lot) for of_lot in by_lot),
        asked,
        warp_length_m,
        shelf.usable_m(cones, yarn, reserve),
    )
    groups: dict[Lot, tuple[tuple[Cone, ...], tuple[Want, ...]]] = {}
    for place, want in zip(choice, wants, strict=True):
        groups[lots[place]] = (by_lot[place], (*groups.get(lots[place], ((), ()))[1], want))
    apart = trial.serve(groups)
    return trial.finish(apart, mixing_helps=not apart.enough and together.enough)


@dataclass(frozen=True, slots=True)
class _Served:
    ends: dict[int, tuple[tuple[str, int], ...]]
    weft: dict[str, float]
    missing_ends: int
    missing_weft_m: float
    unseen_ends: int

    @property
    def enough(self) -> bool:
        return self.missing_ends == 0 and self.missing_weft_m == 0


@dataclass(frozen=True, slots=True)
class _Trial:
    shelf: Shelf
    yarn: Yarn
    cones: tuple[Cone, ...]
    length_m: float
    reserve: float
    wound: date | None
    off: date | None

    def usable(self, cone: Cone) -> float:
        return self.shelf.usable_m((cone,), self.yarn, self.reserve)

    def open_for_ends(self, cone: Cone) -> bool:
        return self.wound is None or comes_off(self.wound, cone.weighed)

    def open_for_weft(self, cone: Cone) -> bool:
        return self.off is None or comes_off(self.off, cone.weighed)

    def stock(self, cones: tuple[Cone, ...]) -> LotStock:
        """What the cones of one lot have for a warp that is not wound yet, or what its older cones still
        show."""
        ends = [
            whole_down(self.usable(cone) / self.length_m) if self.open_for_ends(cone) else 0 for cone in cones
        ]
        usable = self.shelf.usable_m(cones, self.yarn, self.reserve)
        return LotStock(tuple(sorted(ends, reverse=True)), usable)

    def serve(self, groups: dict[Lot, tuple[tuple[Cone, ...], tuple[Want, ...]]]) -> _Served:
        ends: dict[int, tuple[tuple[str, int], ...]] = {}
        weft: dict[str, float] = {}
        missing_ends, missing_weft, unseen = 0, 0.0, 0
        warp_m = {cone.key: 0.0 for cone in self.cones}
        claimed: list[tuple[tuple[Cone, ...], tuple[Want, ...]]] = []
        for cones, wants in groups.values():
            capacity = {
                cone.key: whole_down(self.usable(cone) / self.length_m)
                for cone in cones
                if self.open_for_ends(cone)
            }
            for want in wants:
                if not want.ends:
                    continue
                took, missing = fewest(capacity, want.ends)
                for key, count in took:
                    capacity[key] -= count
                if self.wound is not None and missing:
                    # A wound warp has its ends, including those that no weighing accounts for.
                    took, beyond = self._beyond(took, missing, cones)
                    unseen += beyond
                    missing = 0
                ends[want.role] = took
                for key, count in took:
                    warp_m[key] += count * self.length_m
                missing_ends += missing
            claimed.append((cones, wants))
        pool = self.shelf.usable_m(self.cones, self.yarn, self.reserve) - sum(warp_m.values())
        for cones, wants in claimed:
            need = sum(want.weft_m for want in wants)
            if self.off is not None:
                before = tuple(filter(self.open_for_weft, cones))
                there = sum(max(0.0, self.usable(c) - warp_m[c.key] - weft.get(c.key, 0.0)) for c in before)
                # Where a cone was weighed later, anything the others did not surely hold came from that one.
                got = need if before == cones else min(need, there)
                cones = before
            else:
                own = self.shelf.usable_m(cones, self.yarn, self.reserve) - sum(warp_m[c.key] for c in cones)
                there = max(0.0, min(own, pool))
                got = need if at_most(need, there) else there
                missing_weft += need - got
                pool -= got
            for key, meters in self._piece(cones, warp_m, weft, got).items():
                weft[key] = weft.get(key, 0.0) + meters
        return _Served(ends, weft, missing_ends, missing_weft, unseen)

    def _beyond(
        self, took: tuple[tuple[str, int], ...], missing: int, cones: tuple[Cone, ...]
    ) -> tuple[tuple[tuple[str, int], ...], int]:
        """The ends, with those that no cone surely had added to the largest cone; and how many these are.

        Where one of the cones was weighed later, they came from that one, and its weighing already includes
        them: none.
        """
        if not cones or not all(map(self.open_for_ends, cones)):
            return took, 0
        largest = max(cones, key=lambda cone: cone.net_g).key
        counts = dict(took)
        counts[largest] = counts.get(largest, 0) + missing
        return tuple(counts.items()), missing

    def _piece(
        self, cones: tuple[Cone, ...], warp_m: dict[str, float], weft: dict[str, float], need: float
    ) -> dict[str, float]:
        """Weft from one cone if one is enough, an open or small one first; else from several, in the same
        order."""

        def left(cone: Cone) -> float:
            return self.usable(cone) - warp_m[cone.key] - weft.get(cone.key, 0.0)

        took: dict[str, float] = {}
        ready = sorted(cones, key=lambda cone: (warp_m[cone.key] == 0, left(cone)))
        for cone in [cone for cone in ready if at_most(need, left(cone))][:1] or ready:
            part = need if at_most(need, left(cone)) else max(0.0, left(cone))
            if part > 0:
                took[cone.key] = part
                need -= part
        if (
            need > 0 and cones
        ):  # the pool is more certain than the cones one by one: the largest gives the rest
            largest = max(cones, key=lambda cone: cone.net_g)
            took[largest.key] = took.get(largest.key, 0.0) + need
        return took

    def _unclear(self, cone: Cone, ends: int, served: _Served) -> bool:
        """Whether it is uncertain that the cone still lacks what it is said to have given.

        It was weighed on the day of a taking, and it is not known which came first; or another cone of the
        yarn was weighed later, which may have given it instead.
        """
        gave_ends = self.wound is not None and ends > 0
        gave_weft = self.off is not None and cone.key in served.weft
        warp = self.wound is not None and gave_ends and same_day_unclear(self.wound, cone.weighed)
        weft = self.off is not None and gave_weft and same_day_unclear(self.off, cone.weighed)
        guessed = (gave_ends and not all(map(self.open_for_ends, self.cones))) or (
            gave_weft and not all(map(self.open_for_weft, self.cones))
        )
        return warp or weft or guessed

    def finish(self, served: _Served, *, mixing_helps: bool) -> Given:
        ends = {cone.key: 0 for cone in self.cones}
        lot_of = {cone.key: cone.lot for cone in self.cones}
        for took in served.ends.values():
            for key, count in took:
                ends[key] += count
        mixed = any(len({lot_of[key] for key, _ in took}) > 1 for took in served.ends.values())
        uses = []
        for cone in self.cones:
            warp_m, weft_m = ends[cone.key] * self.length_m, served.weft.get(cone.key, 0.0)
            expected = self.shelf.expected_m((cone,), self.yarn)
            sure = self.shelf.sure_m((cone,), self.yarn)
            after = max(0.0, expected - warp_m - weft_m), max(0.0, sure - warp_m - weft_m)
            uses.append(ConeUse(cone.key, ends[cone.key], warp_m, weft_m, expected, sure, *after))
        used = [use.cone for use in uses if use.warp_m or use.weft_m]
        return Given(
            cones_of_role=served.ends,
            missing_ends=served.missing_ends,
            missing_weft_m=served.missing_weft_m,
            mixed=mixed,
            mixing_helps=mixing_helps,
            weigh_again=served.unseen_ends,
            unclear=tuple(cone.key for cone in self.cones if self._unclear(cone, ends[cone.key], served)),
            lots=tuple(dict.fromkeys(lot_of[key] for key in used)),
            uses=tuple(uses),
        )


def fewest(capacity: dict[str, int], ends: int) -> tuple[tuple[tuple[str, int], ...], int]:
    """Ends from as few cones as possible, and how many ends are missing.

    The largest first; the last cone is the smallest one that is enough, so that large ones
    stay whole for the next warp.

    >>> fewest({"a": 5, "b": 9, "c": 3}, 12)
    ((('b', 9), ('c', 3)), 0)
    >>> fewest({"a": 5}, 7)
    ((('a', 5),), 2)
    """
    took: list[tuple[str, int]] = []
    left = dict(capacity)
    while ends and any(left.values()):
        finishing = [key for key, count in left.items() if count >= ends]
        key = min(finishing, key=lambda key: left[key]) if finishing else max(left, key=lambda key: left[key])
        count = min(ends, left.pop(key))
        took.append((key, count))
        ends -= count
    return tuple(took), ends


def cone_of_each_end(
    role: Ints, given: dict[int, tuple[tuple[str, int], ...]], cones: tuple[str, ...]
) -> Ints:
    """For each end the position of its cone in ``cones``, -1 where there is none; cones follow the order of
    the web."""
    number = {key: place for place, key in enumerate(cones)}
    found = np.full(role.size, -1, dtype=np.int64)
    for which, took in given.items():
        ends = np.flatnonzero(role == which)
        order = np.repeat([number[key] for key, _ in took], [count for _, count in took]).astype(np.int64)
        order = order[: ends.size]  # more may have been wound than a changed plan has ends
        found[ends[: order.size]] = order
    return found

"""Which sizes of a warp are possible, and what each takes from the shelf and leaves on it.

More repeats or more sets never need less of anything, as long as the sley stays the same. So each
range of widths that uses one sley is searched along the edge between possible and impossible sizes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from typing import Literal

import numpy as np

from loomready.model.guild import MAX_ENDS, Cone, WarpOrder, Yarn
from loomready.warp.denting import sleyed
from loomready.warp.length import lengths, second_lengths, unwoven_m, weft_m_by_yarn, wefts
from loomready.warp.plan import Drafts, still_asked, wants_of
from loomready.warp.result import ConeUse, Ints, Sley, WarpPlan, Weft
from loomready.warp.rigid import heddles_there
from loomready.warp.rounding import at_most, whole_down
from loomready.warp.sections import sections_of
from loomready.warp.shelf import Given, Shelf, give
from loomready.warp.tied import in_the_old_reed
from loomready.warp.width import finished_width_mm, lay_web, span_of

MOST_OF_AN_ITEM = 10_000  # times that a guild file may ask for one item

Bound = Literal["yarn", "loom", "reed", "heddles", "ends", "wound", "count"]


@dataclass(frozen=True, slots=True)
class Limit:
    """What prevents a larger size. ``yarn``: the key of the yarn that is shortest, if it is a yarn."""

    bound: Bound
    yarn: str | None = None


@dataclass(frozen=True, slots=True)
class Size:
    """A possible size that no other exceeds in both directions.

    ``left_m``: pooled sure length of each yarn less reserve, warp and weft. ``cones``: what each cone gives
    and keeps. ``wider``: what prevents one more repeat; ``longer``: what prevents one more set.
    """

    repeats: int
    ends: int
    width_in_reed_mm: float
    finished_width_mm: float
    sets: int
    warp_length_m: float
    left_m: dict[str, float]
    cones: dict[str, tuple[ConeUse, ...]]
    wider: Limit
    longer: Limit
    sley: Sley | None

    @property
    def binding(self) -> str | None:
        """The yarn that prevents one more repeat; None where loom, reed or heddles do."""
        return self.wider.yarn


def woven_often(order: WarpOrder, sets: int) -> WarpOrder:
    return replace(order, items=tuple(replace(item, count=item.count * sets) for item in order.items))


def _last(low: int, high: int, holds: Callable[[int], bool]) -> int:
    """The last number that is possible: ``low`` is, all possible ones come first, none is past ``high``.

    Steps double until one is not possible: the answer is often near.
    """
    step = 1
    while low < high:
        tried = min(high, low + step)
        if not holds(tried):
            high = tried - 1
            break
        low, step = tried, 2 * step
    while low < high:
        middle = (low + high + 1) // 2
        if holds(middle):
            low = middle
        else:
            high = middle - 1
    return low


@dataclass(frozen=True, slots=True)
class Remembered(Shelf):
    """A shelf that remembers the answers for the same cones."""

    known: dict[tuple[object, ...], float] = field(default_factory=dict)

    def _once(self, ask: Callable[[], float], *what: object) -> float:
        if what not in self.known:
            self.known[what] = ask()
        return self.known[what]

    def expected_m(self, cones: tuple[Cone, ...], yarn: Yarn) -> float:
        return self._once(lambda: Shelf.expected_m(self, cones, yarn), "expected", *_keys(cones))

    def sure_m(self, cones: tuple[Cone, ...], yarn: Yarn) -> float:
        return self._once(lambda: Shelf.sure_m(self, cones, yarn), "sure", *_keys(cones))

    def usable_m(self, cones: tuple[Cone, ...], yarn: Yarn, reserve: float) -> float:
        return self._once(lambda: Shelf.usable_m(self, cones, yarn, reserve), reserve, *_keys(cones))


def _keys(cones: tuple[Cone, ...]) -> Iterator[str]:
    return (cone.key for cone in cones)


@dataclass(frozen=True, slots=True)
class _Along:
    """What a number of sets needs, whatever the width."""

    length_m: float
    enough_wound: bool
    fits_loom: bool
    woven: tuple[Weft, ...]
    second_m: float

    def length_of(self, order: WarpOrder, yarn: str) -> float:
        """Length of the warp that a yarn is in."""
        return self.second_m if yarn in (order.second_yarns or ()) else self.length_m


@dataclass(frozen=True, slots=True)
class _Across:
    """What a number of repeats needs, whatever the length."""

    ends: int
    of_role: tuple[int, ...]
    sley: Sley | None
    width_mm: float
    limit: Limit | None


class Sizes:
    """The sizes of one order: which are possible, and what they take and leave."""

    def __init__(self, order: WarpOrder, drafts: Drafts, smallest: WarpPlan, shelf: Shelf) -> None:
        self.order, self.drafts = order, drafts
        self.shelf = Remembered(shelf.guild, shelf.taken_m)
        self.guild, self.loom = smallest.guild, smallest.loom
        self.smallest, self.web = smallest, smallest.web
        self.span = span_of(order, smallest.draft)
        self.of_role = np.asarray(self.web.every_end_of(len(order.warp_yarns)))
        self.more_of_role, self.more_heddles = self._one_repeat_more()
        self.cones = {yarn.key: self.shelf.cones_of(yarn.key) for yarn in self.guild.yarns}
        self._across: dict[int, _Across] = {}
        self._along: dict[int, _Along] = {}
        self._given: dict[tuple[int, int], dict[str, Given]] = {}

    def _one_repeat_more(self) -> tuple[Ints, int]:
        """Ends of each role and heddles that one more repeat takes."""
        run = slice(self.web.repeat_starts[0], self.web.repeat_starts[1])
        counted = np.bincount(
            self.web.role[run], weights=self.web.as_one[run], minlength=len(self.order.warp_yarns)
        )
        roles = counted.astype(np.int64)
        return roles, int((self.web.shaft[run] >= 0).sum())

    def _ends_of_roles(self, repeats: int) -> Ints:
        """Ends of each role at so many repeats; stripes go on over the repeats."""
        if not self.order.stripes:
            return self.of_role + (repeats - 1) * self.more_of_role
        web = lay_web(self.order, self.smallest.draft, self.span, repeats)
        return np.asarray(web.every_end_of(len(self.order.warp_yarns)))

    @cached_property
    def most_sets(self) -> int:
        return MOST_OF_AN_ITEM // max(item.count for item in self.order.items)

    @cached_property
    def most_repeats(self) -> int:
        """As many as heddles and the limit of ends allow; 0: not even one."""
        more = (MAX_ENDS - self.web.ends) // self.web.repeat_ends
        spare = heddles_there(self.loom) - self.web.heddle_ends
        if spare < 0:
            return 0
        return 1 + (min(more, spare // self.more_heddles) if self.more_heddles else more)

    def across(self, repeats: int) -> _Across:
        if repeats not in self._across:
            self._across[repeats] = self._measured(repeats)
        return self._across[repeats]

    def _measured(self, repeats: int) -> _Across:
        asked = self.smallest.asked_sett_per_cm
        ends = self.span.ends(repeats)
        order = in_the_old_reed(self.order, self.smallest.tied)
        draft, reeds = self.smallest.draft, self.smallest.reeds
        _, sley = sleyed(order, draft, self.span, asked, reeds, self.loom, repeats)
        width_mm = ends / (sley.sett_per_cm if sley else asked) * 10
        heddles = self.web.heddle_ends + (repeats - 1) * self.more_heddles
        limit: Bound | None = None
        if not at_most(width_mm, self.loom.weaving_width_mm) or (
            (found := sections_of(self.order, self.loom, ends / width_mm * 10, ends)) and not found.fits
        ):
            limit = "loom"
        elif self.loom.kind != "inkle" and (sley is None or not sley.fits):
            limit = "reed"
        elif heddles > heddles_there(self.loom):
            limit = "heddles"
        elif ends > MAX_ENDS:
            limit = "ends"
        of_role = self._ends_of_roles(repeats)
        return _Across(ends, tuple(of_role.tolist()), sley, width_mm, Limit(limit) if limit else None)

    def along(self, sets: int) -> _Along:
        if sets not in self._along:
            self._along[sets] = self._stretched(sets)
        return self._along[sets]

    def _stretched(self, sets: int) -> _Along:
        order = woven_often(self.order, sets)
        needed_m = lengths(order, unwoven_m(order, self.loom)).needed_m
        wound_m = order.wound_length_m
        if wound_m is None and order.wound is not None:
            wound_m = self.smallest.warp_length_m
        length_m = needed_m if wound_m is None else wound_m
        longest_m = self.loom.longest_warp_m
        fits_loom = longest_m is None or at_most(length_m, longest_m)
        second_m, enough = 0.0, at_most(needed_m, length_m)
        if order.second_yarns is not None:
            second_needed_m = second_lengths(order, unwoven_m(order, self.loom)).needed_m
            second_m = order.second_wound_length_m or second_needed_m
            if order.wound is not None and self.smallest.second is not None:
                second_m = self.smallest.second.length_m
            enough = enough and at_most(second_needed_m, second_m)
        return _Along(length_m, enough, fits_loom, wefts(order, self.drafts), second_m)

    def given(self, repeats: int, sets: int) -> dict[str, Given]:
        """What the shelf gives for a size, yarn by yarn."""
        if (repeats, sets) not in self._given:
            across, along, order = self.across(repeats), self.along(sets), self.order
            weft_m = weft_m_by_yarn(along.woven, across.width_mm, order.weft_take_up)
            self._given[repeats, sets] = {
                key: give(
                    self.shelf,
                    self.guild.yarn(key),
                    still_asked(order, wants),
                    along.length_of(order, key),
                    reserve=order.reserve,
                    mix_lots=order.mix_lots,
                )
                for key, wants in wants_of(order, across.of_role, weft_m).items()
            }
        return self._given[repeats, sets]

    def holds(self, repeats: int, sets: int) -> bool:
        if self.across(repeats).limit is not None or not self.along(sets).enough_wound:
            return False
        if not self.along(sets).fits_loom:
            return False
        if not self._in_the_pool(self.across(repeats), self.along(sets)):
            return False
        return all(_serves(given) for given in self.given(repeats, sets).values())

    def _in_the_pool(self, across: _Across, along: _Along) -> bool:
        """Whether length and whole ends are enough in total, whatever the lots: rejects most impossible sizes
        quickly."""
        order = self.order
        if order.wound is not None or order.off is not None:
            return True
        weft_m = weft_m_by_yarn(along.woven, across.width_mm, order.weft_take_up)
        for key, wants in wants_of(order, across.of_role, weft_m).items():
            yarn, cones, length_m = self.guild.yarn(key), self.cones[key], along.length_of(order, key)
            ends, weft = sum(want.ends for want in wants), sum(want.weft_m for want in wants)
            each = (self.shelf.usable_m((cone,), yarn, order.reserve) for cone in cones)
            if ends > sum(whole_down(usable_m / length_m) for usable_m in each):
                return False
            there_m = self.shelf.usable_m(cones, yarn, order.reserve)
            if not at_most(ends * length_m + weft, there_m):
                return False
        return True

    def _holds_across(self, sets: int, repeats: int) -> bool:
        return self.holds(repeats, sets)

    def edge(self, only: int | None) -> Iterator[tuple[int, int]]:
        """Sizes that are possible and that no other exceeds. ``only``: this number of repeats only."""
        if only is None:
            for low, high in self._stretches(1, self.most_repeats):
                yield from self._edge_of(low, high)
        elif only <= self.most_repeats:
            yield from self._edge_of(only, only)

    def _stretches(self, low: int, high: int) -> Iterator[tuple[int, int]]:
        """Numbers of repeats in runs of one sley.

        A wider web finds fewer reeds and ways to sley them, so a sley that two webs have is that of every
        web between them.
        """
        while low <= high:
            last = _last(low, high, partial(self._alike, low))
            yield low, last
            low = last + 1

    def _alike(self, low: int, repeats: int) -> bool:
        one, other = self.across(low).sley, self.across(repeats).sley
        if one is None or other is None:
            return one is other
        return (one.reed, one.cycle, one.fits) == (other.reed, other.cycle, other.fits)

    def _edge_of(self, low: int, high: int) -> Iterator[tuple[int, int]]:
        repeats, most = low, self.most_sets
        while repeats <= high:
            sets = _last(0, most, partial(self.holds, repeats))
            if sets == 0:
                return
            repeats = _last(repeats, high, partial(self._holds_across, sets))
            yield repeats, sets
            repeats, most = repeats + 1, sets - 1

    def describe(self, repeats: int, sets: int) -> Size:
        across, along, given = self.across(repeats), self.along(sets), self.given(repeats, sets)
        left_m = {}
        for key, took in given.items():
            usable_m = self.shelf.usable_m(self.shelf.cones_of(key), self.guild.yarn(key), self.order.reserve)
            left_m[key] = usable_m - sum(use.warp_m + use.weft_m for use in took.uses)
        longer = self._longer(repeats, sets)
        return Size(
            repeats=repeats,
            ends=across.ends,
            width_in_reed_mm=across.width_mm,
            finished_width_mm=finished_width_mm(self.order, across.ends, across.ends / across.width_mm * 10),
            sets=sets,
            warp_length_m=along.length_m,
            left_m=left_m,
            cones={key: took.uses for key, took in given.items()},
            wider=self._wider(repeats, sets, longer),
            longer=longer,
            sley=across.sley,
        )

    def _longer(self, repeats: int, sets: int) -> Limit:
        if sets >= self.most_sets:
            return Limit("count")
        if not self.along(sets + 1).enough_wound:
            return Limit("wound")
        if not self.along(sets + 1).fits_loom:
            return Limit("loom")
        return Limit("yarn", self._shortest(repeats, sets + 1, None))

    def _wider(self, repeats: int, sets: int, longer: Limit) -> Limit:
        if self.order.wound is not None:
            return Limit("wound")
        limit = self.across(repeats + 1).limit
        return limit or Limit("yarn", self._shortest(repeats + 1, sets, longer.yarn))

    def _shortest(self, repeats: int, sets: int, also: str | None) -> str:
        """The yarn that is short by the largest share of its need, or the one that ``also`` is short of."""
        across, along = self.across(repeats), self.along(sets)
        weft_m = weft_m_by_yarn(along.woven, across.width_mm, self.order.weft_take_up)
        lack = {}
        for key, took in self.given(repeats, sets).items():
            if not _serves(took):
                wanted = wants_of(self.order, across.of_role, weft_m)[key]
                length_m = along.length_of(self.order, key)
                whole_m = sum(want.ends * length_m + want.weft_m for want in wanted)
                lack[key] = (took.missing_ends * length_m + took.missing_weft_m) / whole_m
        return also if also in lack else max(lack, key=lambda key: lack[key])


def _serves(given: Given) -> bool:
    return given.missing_ends == 0 and given.missing_weft_m == 0

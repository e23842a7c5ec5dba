"""The size that the shelf allows: every width with the greatest length that its sure yarn gives.

A size is a number of repeats across and a number of sets along, a set being the warp's whole list of items.
Each size is checked with the plan's own functions, on the shelf that the earlier warps leave. It is possible
if nothing about its size stops the plan: enough sure yarn, a loom and a reed wide enough, and enough heddles.
Only sizes that no other exceeds in both directions are offered.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from loomready.choose.size.largest_sizes import Limit, Size, Sizes, woven_often
from loomready.model.guild import Guild, WarpOrder
from loomready.phrases import Phrase
from loomready.warp.denting import sleyed
from loomready.warp.plan import Drafts, plan_once, shelf_before
from loomready.warp.remedies import with_repeats
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from loomready.warp.tied import in_the_old_reed
from loomready.warp.width import finished_width_mm, span_of

__all__ = ["Fit", "Limit", "Size", "fit", "fit_order", "resized"]

SIZED = frozenset(
    {"too-wide", "too-narrow-reed", "heddles-short", "yarn-short", "lots-mixed", "wound-short", "too-long"}
    | {"sections-short"}
)
ALONE_MM = 1e-6  # a wanted width that any repeat exceeds


WORTH_SHARE = 0.5  # of the planned width: a narrower cloth is another project (common practice, no source)


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """All sizes of a warp, the narrowest first.

    ``none_because``: where no size is possible, what the smallest is short of. ``anyway``: what stops this
    warp at every size. ``planned``: repeats and sets of the order, ``planned_width_mm`` its finished width.
    """

    order: WarpOrder
    guild: Guild
    sizes: tuple[Size, ...]
    none_because: tuple[Phrase, ...]
    anyway: tuple[Phrase, ...]
    planned: tuple[int, int]
    planned_width_mm: float
    smallest: WarpPlan

    @property
    def stopped(self) -> bool:
        return not self.sizes or bool(self.anyway)

    def is_narrow(self, size: Size) -> bool:
        """Whether it is less than half as wide as the order asks, where others are not."""
        least = WORTH_SHARE * self.planned_width_mm
        return size.finished_width_mm < least and any(each.finished_width_mm >= least for each in self.sizes)

    def order_of(self, size: Size) -> WarpOrder:
        """The order with a finished width and counts of items that give exactly this size when planned."""
        return resized(self.smallest, self.order, size.repeats, size.sets)


def fit(guild: Guild, drafts: Drafts, key: str) -> Fit:
    """The sizes of the warp named, after the earlier warps took their part of the shelf.

    :raises BadInput: an order that is not valid with its draft; ``where`` names its table and key
    """
    order = next(each for each in guild.warps if each.key == key)
    return fit_order(order, guild, drafts, shelf_before(guild, drafts, key))


def fit_order(order: WarpOrder, guild: Guild, drafts: Drafts, shelf: Shelf) -> Fit:
    """The sizes of an order on a shelf. A warp that is wound keeps its width and its length."""
    alone = replace(order, finished_width_mm=ALONE_MM)
    smallest, _ = plan_once(alone, guild, drafts, shelf)
    span, asked = span_of(order, smallest.draft), smallest.asked_sett_per_cm
    sleyed_as = in_the_old_reed(order, smallest.tied)
    planned, sley = sleyed(sleyed_as, smallest.draft, span, asked, smallest.reeds, smallest.loom)
    sett = sley.sett_per_cm if sley else asked
    least, only = smallest, None
    if order.wound is not None:
        least, _ = plan_once(order, guild, drafts, shelf)
        planned = only = least.web.repeats
    sizes = Sizes(order, drafts, smallest, shelf)
    found = tuple(sizes.describe(repeats, sets) for repeats, sets in _unbeaten(sizes.edge(only)))
    stops = [each for each in least.problems if each.level == "stop"]
    return Fit(
        order=order,
        guild=guild,
        sizes=found,
        none_because=() if found else tuple(each.message for each in stops if each.code in SIZED),
        anyway=tuple(each.message for each in stops if each.code not in SIZED),
        planned=(planned, 1),
        planned_width_mm=finished_width_mm(order, span.ends(planned), sett),
        smallest=smallest,
    )


def resized(plan: WarpPlan, order: WarpOrder, repeats: int, sets: int) -> WarpOrder:
    """An order for so many repeats and sets, its width as a weaver would write it. ``plan``: of any width."""
    made = with_repeats(plan, repeats)
    sized = replace(order, items=woven_often(order, sets).items)
    if made is None:  # no reed at all: the width alone decides
        ends = span_of(order, plan.draft).ends(repeats)
        return replace(sized, finished_width_mm=finished_width_mm(order, ends, plan.sett_per_cm))
    return replace(sized, finished_width_mm=made.finished_width_mm, reed=made.reed, sley=made.sley)


def _unbeaten(sizes: Iterator[tuple[int, int]]) -> list[tuple[int, int]]:
    """The sizes that no other exceeds in one direction and equals or exceeds in the other, narrowest
    first."""
    kept: list[tuple[int, int]] = []
    for repeats, sets in sorted(set(sizes), reverse=True):
        if not kept or sets > kept[-1][1]:
            kept.append((repeats, sets))
    return kept[::-1]

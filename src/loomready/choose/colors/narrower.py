"""Where there are no colors at the planned width: the greatest width at which there are some."""

from __future__ import annotations

from dataclasses import dataclass, replace

from loomready.choose.colors.choices import Wishes, choose_colors
from loomready.choose.size.size import resized
from loomready.model.guild import Guild, WarpOrder
from loomready.problems import BadInput
from loomready.warp.plan import Drafts, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf


@dataclass(frozen=True, slots=True)
class Narrower:
    """A narrower order for which there are colors, and its finished width as planned."""

    order: WarpOrder
    repeats: int
    finished_width_mm: float


def narrower(guild: Guild, drafts: Drafts, key: str, wishes: Wishes) -> Narrower | None:
    """The widest web of fewer repeats that some choice of colors makes; None: not even one repeat.

    :raises BadInput: as :func:`choose_colors`
    """
    order = next(each for each in guild.warps if each.key == key)
    if order.wound is not None:
        return None
    plan, _ = plan_once(order, guild, drafts, Shelf(guild))
    low, high, best = 0, plan.web.repeats, None  # high has no choice; low has one or is not set
    while high - low > 1:
        middle = (low + high) // 2
        tried = _tried(plan, order, middle, guild, drafts, wishes)
        if tried is None:
            high = middle
        else:
            low, best = middle, tried
    return best


def _tried(
    plan: WarpPlan, order: WarpOrder, repeats: int, guild: Guild, drafts: Drafts, wishes: Wishes
) -> Narrower | None:
    made = resized(plan, order, repeats, 1)
    warps = tuple(made if each.key == order.key else each for each in guild.warps)
    try:
        found = choose_colors(
            replace(guild, warps=warps), drafts, order.key, replace(wishes, count=1, skip=0)
        )
    except BadInput:
        return None
    if not found.offers:
        return None
    return Narrower(made, repeats, found.offers[0].plan.finished_width_mm)

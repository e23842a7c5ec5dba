"""Widths near the one asked for at which the web ends with a whole stripe."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate

from loomready.model.guild import Guild, Stripe, WarpOrder
from loomready.problems import BadInput
from loomready.units import Shown
from loomready.warp.plan import Drafts, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from loomready.warp.stripes import threads_in
from loomready.warp.width import Span, finished_width_mm, span_of

FARTHEST = 0.25  # of the width planned: another size is another cloth (ours)
TRIED = 12  # widths that are planned at most


@dataclass(frozen=True, slots=True)
class Fitted:
    """The order at a width that ends with a whole stripe. ``whole_runs``: and with the last of them."""

    order: WarpOrder
    ends: int
    whole_runs: bool


def fitted(plan: WarpPlan, guild: Guild, drafts: Drafts, shelf: Shelf) -> Fitted | None:
    """The nearest width at which no stripe is cut off at the edge, within a quarter of the one planned.

    A width at which all of the stripes end together comes before a nearer one that ends after another stripe,
    if it is within a tenth. Each is planned before it is given; None: no width that near ends with a
    whole stripe.
    """
    if not plan.order.stripes:
        return None
    span = span_of(plan.order, drafts[plan.order.draft])
    for whole_runs, ends in _widths(plan, span):
        order = _at(plan, ends)
        try:
            made = plan_once(order, guild, drafts, shelf)[0]
        except BadInput:
            continue
        if made.web.ends == ends and ends_whole(order, made.web.heddle_ends) is not None:
            return Fitted(order, ends, whole_runs)
    return None


def ends_whole(order: WarpOrder, heddled: int) -> bool | None:
    """Whether a web of so many ends in heddles ends with all its stripes; None: it cuts one.

    Mirrored stripes must be whole at the middle, where the last one stands twice as wide.
    """
    if order.stripes_mirrored and heddled % 2:
        return None
    over = (heddled // 2 if order.stripes_mirrored else heddled) % sum(map(threads_in, order.stripes))
    edges = list(accumulate(map(threads_in, order.stripes)))[:-1]
    return True if over == 0 else False if over in edges else None


def _widths(plan: WarpPlan, span: Span) -> list[tuple[bool, int]]:
    """Webs to try, (all stripes end together, ends), best first."""
    found = sorted(_near(plan, span), key=lambda one: (not (one[1] and one[0] <= 0.1), one[0]))
    return [(whole, ends) for _, whole, ends in found[:TRIED]]


def _near(plan: WarpPlan, span: Span) -> Iterator[tuple[float, bool, int]]:
    """(how far off as a share of the web, all stripes end together, ends)."""
    unthreaded = (plan.web.ends - plan.web.heddle_ends - plan.web.floating) / plan.web.repeats
    for repeats in range(1, 2 * plan.web.repeats + 2):
        ends = span.ends(repeats)
        off = abs(ends / plan.web.ends - 1)
        heddled = ends - plan.web.floating - round(unthreaded * repeats)
        whole = ends_whole(plan.order, heddled) if heddled > 0 and off <= FARTHEST else None
        if whole is not None:
            yield off, whole, ends


def _at(plan: WarpPlan, ends: int) -> WarpOrder:
    """The order at the finished width of so many ends, as its guild would write it."""
    width_mm = finished_width_mm(plan.order, ends, plan.sett_per_cm)
    step = 0.254 if Shown(plan.guild.units).us else 0.1  # a hundredth of an inch, a tenth of a millimeter
    return replace(plan.order, finished_width_mm=round(width_mm / step) * step)


def fitted_stripes(order: WarpOrder, heddled: int) -> tuple[Stripe, ...] | None:
    """The order's stripes made wider or narrower so that they end with the web, each by an end or two.

    One run of stripes that repeats is kept where its length divides the web; else every stripe of the web
    gets a row of its own, and rounds on its own. None: there are fewer ends than stripes.

    :param heddled: ends of the web in heddles; of mirrored stripes those to the middle are filled
    """
    ends = -(-heddled // 2) if order.stripes_mirrored else heddled
    counts = [stripe.ends for stripe in order.stripes if stripe.ends]
    runs = max(1, round(ends / sum(counts)))
    if ends < len(counts) * runs:
        return None
    whole = [each for each in (runs, runs + 1, runs - 1) if each > 0 and ends % each == 0]
    once = next((each for each in whole if ends // each >= len(counts)), None)
    stripes = order.stripes if once else order.stripes * runs
    made = _shared_out(counts if once else counts * runs, ends // once if once else ends)
    counted = iter(made)
    return tuple(replace(stripe, ends=next(counted)) if stripe.ends else stripe for stripe in stripes)


def _shared_out(counts: list[int], total: int) -> list[int]:
    """Whole numbers in about these proportions with that sum, none less than 1.

    >>> _shared_out([12, 4, 2], 20), _shared_out([1, 50], 10)
    ([13, 5, 2], [1, 9])
    """
    spare = total - len(counts)
    weights = [count - 1 for count in counts]
    if not any(weights):
        weights = [1] * len(counts)
    edges = [round(spare * part / sum(weights)) for part in accumulate(weights)]
    return [1 + edge - before for edge, before in zip(edges, [0, *edges], strict=False)]

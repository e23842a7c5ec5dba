"""How many ends, and which: repeats, borders, selvedges."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loomready.draft.draft import Draft
from loomready.draft.structure.periods import smallest_period
from loomready.model.guild import MAX_ENDS, WarpOrder
from loomready.phrases import phrase, some
from loomready.problems import BadInput
from loomready.warp.result import Ints, Web
from loomready.warp.rounding import SLACK
from loomready.warp.stripes import roles_of_ends


def wanted_width_mm(order: WarpOrder) -> float:
    """Width in the reed that finishes at the wanted width: shrinkage and draw-in are lost, so they divide.

    Cloth that opens to double width lies folded in the reed: half as wide.
    """
    return order.finished_width_mm / order.opens_to / ((1 - order.shrink_width) * (1 - order.draw_in))


def roles_of(colors: np.ndarray) -> Ints:
    """Palette numbers as color roles: 0 for the color that appears first, then 1, 2, ..."""
    _, first, inverse = np.unique(colors, return_index=True, return_inverse=True)
    rank = np.argsort(np.argsort(first))
    return np.asarray(rank[inverse], dtype=np.int64)


def repeats_for(wanted_ends: float, repeat: int, rest: int) -> int:
    """The k >= 1 that brings ``k * repeat + rest`` nearest to the wanted ends; a tie takes the narrower.

    >>> repeats_for(25, 10, 0), repeats_for(25.1, 10, 0), repeats_for(3, 10, 0)
    (2, 3, 1)
    """
    exact = (wanted_ends - rest) / repeat
    return max(1, math.ceil(exact - 0.5 - SLACK * max(1.0, abs(exact))))


WIDTH_OFF = 0.02  # of the width asked for: a larger difference gets a warning (our choice)


@dataclass(frozen=True, slots=True)
class Span:
    """How ends add up to a width: a repeat of the draft, and the ends around it.

    ``before``, ``after``: ends of the draft outside the repeat, at their sides. ``turn``: ends after which
    the threading of a selvedge starts over. ``edges``: selvedge ends in heddles at each side. ``floating``:
    floating selvedges at each side.
    """

    repeat: int
    before: int
    after: int
    turn: int
    edges: int
    floating: int

    @property
    def rest(self) -> int:
        """Ends outside the repeats, whatever the number of repeats."""
        return self.before + self.after + 2 * (self.edges + self.floating)

    def ends(self, repeats: int) -> int:
        return repeats * self.repeat + self.rest

    def repeats_at(self, order: WarpOrder, sett_per_cm: float) -> int:
        """The number of repeats nearest to the wanted width in the reed at this sett."""
        return repeats_for(wanted_width_mm(order) / 10 * sett_per_cm, self.repeat, self.rest)


def finished_width_mm(order: WarpOrder, ends: int, sett_per_cm: float) -> float:
    """The finished width of that many ends at a sett in the reed."""
    return ends / sett_per_cm * 10 * (1 - order.draw_in) * (1 - order.shrink_width) * order.opens_to


def span_of(order: WarpOrder, draft: Draft) -> Span:
    """The order's repeat and the ends outside it.

    :raises BadInput: the repeat is not inside the draft
    """
    if order.repeat_ends is None:
        repeat = turn = smallest_period(_threads(order, draft))
        before, after = 0, (draft.ends - order.fold_left_out) % repeat
    else:
        first, last = order.repeat_ends
        if last > draft.ends:
            raise BadInput(
                phrase(
                    "end {last} is past the draft's {ends} ends; expected ends of the draft",
                    last=last,
                    ends=draft.ends,
                ),
                where="repeat_ends",
            )
        before, repeat, after, turn = first - 1, last - first + 1, draft.ends - last, draft.ends
        if order.fold_left_out > after:
            raise BadInput(
                phrase(
                    "{count} is more than the {ends} after the repeat; expected at most these",
                    count=order.fold_left_out,
                    ends=some(after, "end"),
                ),
                where="fold_left_out",
            )
        after -= order.fold_left_out
    return Span(repeat, before, after, turn, order.selvedge_ends, 1 if order.floating_selvedges else 0)


def _threads(order: WarpOrder, draft: Draft) -> Ints:
    """Shaft and color role of each end as one number; shafts alone where stripes give the colors."""
    if order.stripes:
        return draft.threading.astype(np.int64)
    role = roles_of(draft.warp_colors)
    return np.asarray(draft.threading.astype(np.int64) * (int(role.max(initial=0)) + 1) + role)


def lay_web(order: WarpOrder, draft: Draft, span: Span, repeats: int) -> Web:
    """Every end of a web of so many repeats, from the draft's threading and warp colors, or in stripes.

    :raises BadInput: the web is beyond the limit of ends
    """
    role = roles_of(draft.warp_colors)
    shaft = draft.threading.astype(np.int64)
    before, repeat, after, turn = span.before, span.repeat, span.after, span.turn
    floating, k = span.floating, repeats
    if span.ends(k) > MAX_ENDS:
        raise BadInput(
            phrase("the web has {ends} ends; expected at most {most}", ends=span.ends(k), most=MAX_ENDS),
            where="finished_width",
        )

    run = np.arange(before, before + repeat)
    if order.repeat_ends is None:
        body = np.concatenate([np.tile(run, k), np.arange(after)])
        following = body.size
    else:
        body = np.concatenate(
            [np.arange(before), np.tile(run, k), np.arange(before + repeat, before + repeat + after)]
        )
        following = 0
    side = np.arange(order.selvedge_ends)
    source = np.concatenate([(side - order.selvedge_ends) % turn, body, (following + side) % turn])
    web_shaft, web_role = shaft[source], role[source]
    if order.selvedge_ends and order.selvedge_shafts:
        own = np.resize(np.asarray(order.selvedge_shafts) - 1, order.selvedge_ends)
        for edge, beside in ((slice(None, side.size), body[0]), (slice(-side.size, None), body[-1])):
            web_shaft[edge], web_role[edge], source[edge] = own, role[beside], -1
    if floating:
        web_shaft, source = np.pad(web_shaft, 1, constant_values=-1), np.pad(source, 1, constant_values=-1)
        web_role = np.pad(web_role, 1, mode="edge")
    if order.stripes:
        web_role = roles_of_ends(order, web_shaft >= 0)
    start = floating + order.selvedge_ends + before
    return Web(
        shaft=web_shaft,
        role=web_role,
        source=source,
        repeats=k,
        repeat_ends=repeat,
        border_ends=before + after,
        floating=2 * floating,
        selvedge=order.selvedge_ends,
        repeat_starts=tuple(start + j * repeat for j in range(k + 1)),
        as_one=_as_one(order, web_shaft.size, floating),
    )


def _as_one(order: WarpOrder, ends: int, floating: int) -> Ints:
    """Ends of yarn that work as one at each place; a floating selvedge has as many as the end beside it."""
    found = np.full(ends, order.ends_per_heddle, dtype=np.int64)
    edge = order.selvedge_ends + floating
    if order.selvedge_ends_per_heddle is not None:
        found[:edge] = found[ends - edge :] = order.selvedge_ends_per_heddle
    return found

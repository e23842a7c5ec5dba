"""How many ends, and which: repeats, borders, selvedges."""

from __future__ import annotations

import math

import numpy as np

from loomready.draft.draft import Draft
from loomready.draft.periods import smallest_period
from loomready.model.guild import MAX_ENDS, WarpOrder
from loomready.problems import BadInput
from loomready.warp.result import Ints, Web
from loomready.warp.rounding import SLACK


def wanted_width_mm(order: WarpOrder) -> float:
    """Width in the reed that finishes at the wanted width: shrinkage and draw-in are lost, so they divide."""
    return order.finished_width_mm / ((1 - order.shrink_width) * (1 - order.draw_in))


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


def lay_web(order: WarpOrder, draft: Draft, sett_per_cm: float) -> Web:
    """Every end of the web, from the draft's threading and warp colors.

    :raises BadInput: the repeat is not inside the draft, or the web is beyond the limit of ends
    """
    role = roles_of(draft.warp_colors)
    shaft = draft.threading.astype(np.int64)
    if order.repeat_ends is None:
        repeat = smallest_period(shaft * (int(role.max(initial=0)) + 1) + role)
        before, after = 0, draft.ends % repeat
        turn = repeat
    else:
        first, last = order.repeat_ends
        if last > draft.ends:
            raise BadInput(
                f"end {last} is past the draft's {draft.ends} ends; expected ends of the draft",
                where="repeat_ends",
            )
        before, repeat, after = first - 1, last - first + 1, draft.ends - last
        turn = draft.ends
    floating = 1 if order.floating_selvedges else 0
    rest = before + after + 2 * (order.selvedge_ends + floating)
    k = repeats_for(wanted_width_mm(order) / 10 * sett_per_cm, repeat, rest)
    if k * repeat + rest > MAX_ENDS:
        raise BadInput(
            f"the web comes to {k * repeat + rest} ends; expected at most {MAX_ENDS}", where="finished_width"
        )

    run = np.arange(before, before + repeat)
    if order.repeat_ends is None:
        body = np.concatenate([np.tile(run, k), np.arange(after)])
        following = body.size
    else:
        body = np.concatenate([np.arange(before), np.tile(run, k), np.arange(before + repeat, draft.ends)])
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
    )

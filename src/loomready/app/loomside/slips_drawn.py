"""Pictures on the page of a test weave: the test web at its true width, and the cloth beside a slip."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from loomready.draft.draft import Bools
from loomready.slips import at_loom
from loomready.slips.answer import Planned
from loomready.slips.at_loom import WINDOW, Outcome, Window
from loomready.warp.result import WarpPlan

PICK_PX = 12
_AROUND = 8  # ends shown on each side of a slip
_CLOTH_PICKS = 16
_MOST_CLOTHS = 6


def web(
    plan: WarpPlan,
    planned: Planned,
    lifts: Bools,
    windows: Sequence[Window],
    found: Outcome,
    here: str,
    first: int,
) -> SafeString:
    """The planned test web, as wide as in the reed, with what was looked at and the slips, and links.

    :param here: the page's address
    :param first: the first end, from 1, of those that stand below it
    """
    cells = at_loom.cells_planned(planned, lifts)
    picks, ends = cells.shape
    flip = plan.guild.end_1 == "right"

    def left(end: int, width: int = 1) -> int:
        """From end 1 (from 0) to the left edge of so many ends."""
        return ends - end - width if flip else end

    path = "".join(
        f"M{left(start, stop - start)} {picks - 1 - pick}h{stop - start}v1h{start - stop}z"
        for pick in range(picks)
        for start, stop in _runs(cells[pick])
    )
    marks = format_html_join(
        "",
        '<rect class="looked" x="{}" y="{}" width="{}" height=".5"/>',
        [
            (left(w.first - 1, len(w.rows[0])), picks + 0.3, len(w.rows[0]))
            for w in windows
            if w.rows and w.first - 1 + len(w.rows[0]) <= ends
        ],
    )
    slips = format_html_join(
        "",
        '<rect class="slip" x="{}" y="0" width="1" height="{}"/>',
        [(left(min(slip.end, ends) - 1), picks) for slip in found.slips if slip.end],
    )
    touch = format_html_join(
        "",
        '<a href="{}?end={}#cells" tabindex="-1" aria-label="{}">'
        '<rect x="{}" y="0" width="{}" height="{}"/></a>',
        [
            (
                here,
                first,
                _("ends %(a)d to %(b)d") % {"a": first, "b": min(first + WINDOW - 1, ends)},
                left(first - 1, min(WINDOW, ends - first + 1)),
                min(WINDOW, ends - first + 1),
                picks + 1,
            )
            for first in range(1, ends + 1, WINDOW)
        ],
    )
    return format_html(
        '<svg class="testweb" viewBox="0 0 {} {}" preserveAspectRatio="none" width="{}mm" height="{}" '
        'role="group" aria-label="{}"><rect class="weft" width="{}" height="{}"/><path class="warp" d="{}"/>'
        '{}{}<rect class="here" x="{}" y="0" width="{}" height="{}"/>{}</svg>',
        ends,
        picks + 1,
        round(plan.width_in_reed_mm),
        (picks + 1) * PICK_PX,
        _("The planned test weave"),
        ends,
        picks,
        path,
        marks,
        slips,
        left(first - 1, min(WINDOW, ends - first + 1)),
        min(WINDOW, ends - first + 1),
        picks,
        touch,
    )


def _runs(row: Any) -> list[tuple[int, int]]:
    """Stretches of true cells: first and one past the last."""
    change = np.flatnonzero(np.diff(np.concatenate([[False], row, [False]]).astype(np.int8)))
    return list(zip(change[::2].tolist(), change[1::2].tolist(), strict=True))


def cloths(planned: Planned, found: Outcome, end_1: str) -> list[dict[str, Any]]:
    """The draft's cloth around each slip that changes it: as planned, and as it is if the slip is left."""
    there = found.there
    made = []
    for slip in found.slips:
        if slip.end is None or slip.kind in ("empty dent", "crowded dent", "round its heddle"):
            continue
        first = max(slip.end - 1 - _AROUND, 0)
        stop = min(slip.end + _AROUND, len(planned.threading), len(there))
        made.append(
            {
                "end": slip.end,
                "planned": _cloth(planned, planned.threading[first:stop], end_1),
                "left": _cloth(planned, there[first:stop], end_1),
            }
        )
    return made[:_MOST_CLOTHS]


def _cloth(planned: Planned, threading: Any, end_1: str) -> SafeString:
    """A patch of cloth, dark where the warp is on top, first pick at the bottom."""
    lifts = np.resize(planned.lifts, (_CLOTH_PICKS, planned.lifts.shape[1]))
    up = np.pad(lifts, ((0, 0), (0, 1)))[:, threading]
    picks, ends = up.shape
    rects = [
        (ends - 1 - end if end_1 == "right" else end, picks - 1 - pick)
        for pick, end in np.argwhere(up).tolist()
    ]
    cells = format_html_join("", '<rect class="warp" x="{}" y="{}" width="1.02" height="1.02"/>', rects)
    return format_html(
        '<svg class="patch" viewBox="0 0 {} {}" aria-hidden="true">'
        '<rect class="weft" width="{}" height="{}"/>{}</svg>',
        ends,
        picks,
        ends,
        picks,
        mark_safe(cells),
    )

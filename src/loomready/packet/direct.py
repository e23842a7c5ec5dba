"""The part of the weaving sheet about a direct tie-up: which foot takes which treadles."""

from __future__ import annotations

from collections import Counter

from loomready.loomside.steps.direct import lines
from loomready.packet.words import Data
from loomready.phrases import listed, phrase
from loomready.warp.direct import by_feet
from loomready.warp.result import WarpPlan

_MOST = 40  # sheds that are listed with their feet; more are read pick by pick


def direct_sheet(plan: WarpPlan) -> Data | None:
    """What this part shows; None where treadles are tied, or there are levers."""
    made = plan.treadles
    if made is None or not made.direct:
        return None
    sheds = Counter(pressed for picks in made.pressed for pressed in picks if pressed)
    rows = []
    for pressed, picks in sorted(sheds.items()):
        feet = by_feet(pressed, made.there)
        left, right = feet or ((), ())
        rows.append(
            {
                "treadles": " ".join(map(str, pressed)),
                "left": listed(left) if feet else phrase("one after the other"),
                "right": listed(right) if feet else "",
                "picks": f"{picks:,}",
            }
        )
    return {"lines": lines(plan), "rows": rows if len(rows) <= _MOST else []}

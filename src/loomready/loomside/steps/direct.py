"""How feet press the treadles of a direct tie-up, or hands move the levers, pick by pick."""

from __future__ import annotations

from loomready.phrases import Phrase, joined, listed, phrase
from loomready.warp.direct import by_feet
from loomready.warp.result import WarpPlan


def is_direct(plan: WarpPlan) -> bool:
    return plan.treadles is not None and plan.treadles.direct


def feet(plan: WarpPlan, pressed: tuple[int, ...] | None) -> Phrase | str:
    """Which foot takes which treadles; "" on another tie-up, or where two feet do not reach them."""
    made = plan.treadles
    found = by_feet(pressed, made.there) if made is not None and made.direct and pressed else None
    if found is None:
        return ""
    left, right = found
    return joined(
        " · ",
        [
            *([phrase("left foot {treadles}", treadles=listed(left))] if left else []),
            *([phrase("right foot {treadles}", treadles=listed(right))] if right else []),
        ],
    )


def lines(plan: WarpPlan) -> list[Phrase]:
    """What the tie-up is, and how it is pressed; none on another tie-up."""
    made = plan.treadles
    if made is None or not made.direct:
        return []
    return [
        phrase("Direct tie-up: treadle 1 sinks shaft 1, treadle 2 shaft 2, and so on. Nothing is tied.")
        if plan.loom.kind == "counterbalance"
        else phrase("Direct tie-up: treadle 1 lifts shaft 1, treadle 2 shaft 2, and so on. Nothing is tied."),
        phrase("Press all treadles of a pick together, up to {most} at once.", most=made.most_pressed),
    ]

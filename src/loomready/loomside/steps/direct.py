"""How feet press treadles together: on a direct tie-up, and where treadles are fewer than sheds."""

from __future__ import annotations

from loomready.phrases import Part, Phrase, joined, listed, phrase, some
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


def pressed_together(plan: WarpPlan) -> Phrase | None:
    """How many sheds the treadles open where picks press several; None on a direct tie-up, or one by one."""
    made = plan.treadles
    if made is None or made.direct or made.short or made.most_pressed < 2:
        return None
    sheds = len({pressed for picks in made.pressed for pressed in picks if pressed})
    told: dict[str, Part] = {
        "sheds": some(sheds, "shed"),
        "treadles": some(made.count, "treadle"),
        "most": made.most_pressed,
    }
    return (
        phrase(
            "{sheds} on {treadles}: press up to {most} together; fewer treadles are proved to be too few.",
            **told,
        )
        if made.proved
        else phrase("{sheds} on {treadles}: press up to {most} together.", **told)
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

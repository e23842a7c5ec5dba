"""What to do about a second warp in each job. Common practice, no source."""

from __future__ import annotations

from loomready.phrases import Phrase, joined, phrase
from loomready.units import Shown
from loomready.warp.bouts import runs
from loomready.warp.result import Bout, WarpPlan
from loomready.warp.second import Second

_RUNS = 8  # stretches of ends that one line has room for


def which(bout: Bout) -> Phrase:
    """The warp that a bout is of."""
    return phrase("second warp") if bout.second else phrase("first warp")


def ends_of(plan: WarpPlan, bout: Bout) -> tuple[int, int]:
    """The first and the last end of a bout, counted in its own warp."""
    before = plan.second.first_ends if plan.second is not None and bout.second else 0
    return bout.first_end - before, bout.last_end - before


def length_of_bout(plan: WarpPlan, bout: Bout) -> float:
    return plan.second.length_m if plan.second is not None and bout.second else plan.warp_length_m


def _turns(second: Second) -> list[tuple[int, int]]:
    """Ends that come one after the other from the same warp, in the order of the web: (1: second, ends)."""
    return runs(second.of_end.astype("int64"))


def order_told(plan: WarpPlan) -> Phrase | None:
    """From which cross the ends are taken, in the order of threading; None: one warp.

    Where the order comes again it is told once.
    """
    second = plan.second
    if second is None:
        return None
    turns = _turns(second)
    again = _period(turns)
    told = joined(
        ", ",
        (
            phrase("{ends} of the second", ends=ends)
            if of_second
            else phrase("{ends} of the first", ends=ends)
            for of_second, ends in turns[: again or _RUNS]
        ),
    )
    if again:
        return phrase("From end 1: {ends}, as a repeat.", ends=told)
    if len(turns) > _RUNS:
        return phrase("From end 1: {ends}, and on as the threading shows.", ends=told)
    return phrase("From end 1: {ends}.", ends=told)


def _period(turns: list[tuple[int, int]]) -> int:
    """After how many stretches their order comes again, the last one perhaps cut short; 0: it does not."""
    for size in range(2, len(turns) // 2 + 1, 2):
        if all(turn == turns[at % size] for at, turn in enumerate(turns[:-1])) and (
            turns[-1][1] <= turns[(len(turns) - 1) % size][1]
        ):
            return size
    return 0


def winding_told(plan: WarpPlan) -> list[Phrase]:
    second = plan.second
    if second is None:
        return []
    show = Shown(plan.guild.units)
    return [
        phrase(
            "Two warps: wind the first, {first:,} ends of {first_length}; then the second, {second:,} "
            "ends of {second_length}, along a guide string and with a cross of its own.",
            first=second.first_ends,
            first_length=show.length(plan.warp_length_m),
            second=second.ends,
            second_length=show.length(second.length_m),
        )
    ]


def beaming_told(plan: WarpPlan) -> list[Phrase]:
    second = plan.second
    if second is None:
        return []
    lines = [
        phrase(
            "Spread and beam the first warp, tie up its lease sticks, and take it out of the raddle. Then "
            "spread the second: each end lies in the space of the raddle that its place in the draft "
            "gives it, and some spaces stay empty."
        )
        if plan.dressing == "back to front"
        else phrase(
            "Part the two warps behind the heddles. Tie the first to its apron and beam it first, then the "
            "second to the other."
        )
    ]
    if second.weighted:
        return [
            *lines,
            phrase(
                "Do not beam the second warp: lay its chains over the back beam and hang equal weights from "
                "them. Let out warp and hang the weights again before they reach the back beam."
            ),
        ]
    return [*lines, phrase("The second warp goes onto a beam of its own, with a brake of its own.")]


def threading_told(plan: WarpPlan) -> list[Phrase]:
    told = order_told(plan)
    if told is None:
        return []
    return [
        phrase(
            "Two crosses: hang the lease sticks of the second warp above those of the first, and take "
            "each end from the cross of its warp, in the order of the draft."
        ),
        told,
    ]


def tying_told(plan: WarpPlan) -> list[Phrase]:
    if plan.second is None:
        return []
    return [phrase("Knot the ends of both warps together as they lie. Even the first, then the second.")]


def tension_told(plan: WarpPlan) -> list[Phrase]:
    """How the second warp is held, and how much more of it is let off."""
    second = plan.second
    if second is None:
        return []
    show, step_m = Shown(plan.guild.units), 0.254 if plan.guild.units == "us" else 0.1
    held = {
        "firm": phrase("Hold the second warp as firmly as the first."),
        "light": phrase(
            "Hold the second warp lightly: its ends lie straight, and come forward easily when a rod or a "
            "loop draws on them."
        ),
        "slack": phrase(
            "Hold the second warp slack, just tight enough for a clear shed: its stripes pucker when the "
            "tension of the first is let off."
        ),
    }[second.tension]
    return [
        held,
        phrase(
            "For {woven} woven, let off about {first} of the first warp and {second} of the second.",
            woven=show.piece(step_m),
            first=show.piece(step_m * (1 + plan.order.take_up)),
            second=show.piece(step_m * (1 + second.take_up)),
        ),
    ]


def cutting_told(plan: WarpPlan) -> list[Phrase]:
    if plan.second is None:
        return []
    return [
        phrase(
            "Cut both warps. Measure what is left of each behind the cloth: it tells the take-up of each for "
            "the next plan."
        )
    ]


def lines(plan: WarpPlan) -> list[Phrase]:
    """All of it in the order of the jobs, for the plan."""
    return [*winding_told(plan), *threading_told(plan), *beaming_told(plan), *tension_told(plan)]

"""Tying a new warp on to an old one: knots in order, group by group, and what stays as it is on the loom."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loomready.draft.structure import periods
from loomready.draft.structure.periods import smallest_period
from loomready.loomside.steps import sleying
from loomready.loomside.steps.words import span
from loomready.model.dressing_order import SELDOM
from loomready.phrases import Phrase, listed, phrase, some, word
from loomready.units import Shown
from loomready.warp.bouts import runs
from loomready.warp.result import WarpPlan
from loomready.warp.tied import Runs, Tied, other_sley

MOST_RUNS = 12  # runs of ends that a line names
GROUP = 12  # knots in a group that one hand holds (common practice, no source)


@dataclass(frozen=True, slots=True)
class Knots:
    """Knots side by side: new ends ``first`` to ``last`` and the old ends that they are tied to, from 1.

    ``runs``: (place in the order's warp yarns, ends) of the new ends, in order. ``old_first`` 0: ends
    without an old end, which are threaded and sleyed instead.
    """

    first: int
    last: int
    old_first: int
    old_last: int
    runs: tuple[tuple[int, int], ...]


def tying_in(plan: WarpPlan) -> tuple[Knots, ...]:
    """Every end in a group, end 1 first; nothing for a warp that is not tied on to another."""
    tied = plan.tied
    if tied is None:
        return ()
    keys = plan.order.warp_yarns
    yarn = plan.web.role.copy()
    for role, key in enumerate(keys):
        yarn[plan.web.role == role] = keys.index(key)
    made = []
    for start, stop in ((1, tied.first - 1), (tied.first, tied.last), (tied.last + 1, plan.web.ends)):
        for first in range(start, stop + 1, GROUP):
            last = min(first + GROUP - 1, stop)
            old = (first + tied.shift, last + tied.shift) if tied.first <= first <= tied.last else (0, 0)
            made.append(Knots(first, last, *old, tuple(runs(yarn[first - 1 : last]))))
    return tuple(made)


def signs(plan: WarpPlan) -> list[str]:
    """For each end the old end that it is tied to, and its yarn."""
    tied, keys = plan.tied, plan.order.warp_yarns
    if tied is None:
        return []
    return [
        f"{end + tied.shift if tied.first <= end <= tied.last else 0} {keys[role]}"
        for end, role in enumerate(plan.web.role.tolist(), 1)
    ]


def sley_stays(plan: WarpPlan) -> bool:
    """Whether every end of a tied-on warp lies in the dent of its old end, and every end has one."""
    return plan.tied is not None and not plan.tied.alone and _dents_stay(plan, plan.tied)


def _dents_stay(plan: WarpPlan, tied: Tied) -> bool:
    """Whether the ends that have an old end lie in its dent."""
    new, old = sleying.signs(plan)[tied.first - 1 : tied.last], sleying.signs(tied.old)
    return bool(new) and new == old[tied.first - 1 + tied.shift : tied.last + tied.shift]


def left_out(plan: WarpPlan) -> frozenset[str]:
    """The jobs that a warp does not have: of a tied-on warp threading and sleying where they stay."""
    left = set(SELDOM)
    if plan.sections is not None:
        left.add("beaming")
    if plan.loom.kind == "inkle":  # wound on the loom itself, each end through its heddle as it comes
        left |= {"beaming", "threading", "sleying", "tying", "test-weave"}
    if plan.tied is not None:
        left.discard("tying-in")
        if plan.tied.threading_stays:
            left.add("threading")
        if sley_stays(plan):
            left.add("sleying")
    return frozenset(left)


def has_board(plan: WarpPlan) -> bool:
    """Whether a warp is wound at a board, not on its beam or its loom."""
    return plan.sections is None and has_bouts(plan)


def has_bouts(plan: WarpPlan) -> bool:
    """Whether a warp is wound in parts, bouts or sections. A band is wound whole, on its inkle loom."""
    return plan.loom.kind != "inkle"


def told_differences(plan: WarpPlan, tied: Tied) -> list[Phrase]:
    """What stays of threading and sley, and which ends differ, a line each."""
    lines = []
    if plan.order.draft != tied.old.order.draft:
        lines.append(
            phrase(
                "Another draft: {draft}, the old warp's is {old}.",
                draft=plan.draft.title or plan.order.draft,
                old=tied.old.draft.title or tied.old.order.draft,
            )
        )
    if tied.threading_stays:
        lines.append(phrase("The threading stays: no end goes through another heddle."))
    if tied.other_shaft:
        lines.append(_thread_again(tied))
    if tied.alone:
        lines.append(
            phrase("Thread and sley these, they have no old end: ends {ends}.", ends=_ends(tied.alone))
        )
    if tied.left_over:
        lines.append(phrase("Old ends without a new one, pull them out: {ends}.", ends=_ends(tied.left_over)))
    sley, old = plan.sley, tied.old.sley
    if sley_stays(plan):
        lines.append(phrase("The sley stays: every end keeps its dent."))
    elif _dents_stay(plan, tied):
        lines.append(phrase("The ends that are tied to old ones keep their dents."))
    elif sley is not None and old is not None and other_sley(sley, tied):
        lines.append(
            phrase(
                "Sley again: reed {reed}, {cycle} per dent; the old warp is in reed {old_reed}, {old_cycle}.",
                reed=sley.reed.name,
                cycle=sley.told,
                old_reed=old.reed.name,
                old_cycle=old.told,
            )
        )
    else:
        lines.append(phrase("Sley again: the ends lie in other dents than the old ones."))
    return lines


def _thread_again(tied: Tied) -> Phrase:
    """The ends that go through another heddle: all of them, or the repeat in which they come."""
    all_ends = [end for first, last in tied.other_shaft for end in range(first, last + 1)]
    many = some(len(all_ends), "end")
    if len(tied.other_shaft) <= MOST_RUNS:
        return phrase(
            "Thread {many} again, their old ends are on another shaft: ends {ends}.",
            many=many,
            ends=_ends(tied.other_shaft),
        )
    again = np.zeros(tied.last - tied.first + 1, dtype=np.int64)
    again[np.asarray(all_ends) - tied.first] = 1
    period = smallest_period(again)
    once = tuple(
        (start + tied.first, start + tied.first + length - 1)
        for start, length in periods.runs(again[:period])
        if again[start]
    )
    if 2 * period <= again.size and len(once) <= MOST_RUNS:
        return phrase(
            "Thread {many} again, their old ends are on another shaft: of every {period} ends, as a repeat, "
            "ends {ends}.",
            many=many,
            period=period,
            ends=_ends(once),
        )
    return phrase(
        "Thread {many} again, their old ends are on another shaft: ends {ends} and more. Thread all ends by "
        "their groups and leave those that are right.",
        many=many,
        ends=_ends(tied.other_shaft[:MOST_RUNS]),
    )


def _ends(parts: Runs) -> Phrase:
    return listed(span(first, last) for first, last in parts)


def told_waste(plan: WarpPlan, tied: Tied) -> Phrase:
    """What neither warp weaves."""
    show, old = Shown(plan.guild.units), tied.old
    return phrase(
        "Not woven: {new} of each new end, {new_yarn} in all; {old} of each old end, {old_yarn} in all.",
        new=show.length(plan.lengths.waste_m),
        new_yarn=show.yarn_needed(plan.lengths.waste_m * plan.web.ends),
        old=show.length(old.lengths.waste_m),
        old_yarn=show.yarn_needed(old.lengths.waste_m * old.web.ends),
    )


def lines(plan: WarpPlan) -> list[Phrase]:
    """All of it, a line each; none for a warp that is not tied on."""
    tied = plan.tied
    if tied is None:
        return []
    first = phrase(
        "{knots} to warp {warp}; the first ties end {end} to old end {old}, counted from the {side}.",
        knots=some(tied.knots, "knot"),
        warp=tied.old.order.name,
        end=tied.first,
        old=tied.first + tied.shift,
        side=word(plan.guild.end_1),
    )
    return [first, *told_differences(plan, tied), told_waste(plan, tied)]

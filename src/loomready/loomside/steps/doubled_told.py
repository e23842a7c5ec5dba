"""Ends that work as one, and weft of several strands, in words for sheets and pages."""

from __future__ import annotations

from loomready.loomside.steps.words import span
from loomready.phrases import Phrase, phrase, some
from loomready.warp.result import Bout, WarpPlan


def ends_told(plan: WarpPlan) -> Phrase:
    """The number of ends; where some work as one, working ends and ends of yarn."""
    web = plan.web
    if not web.is_doubled:
        return phrase("{ends:,}", ends=web.ends)
    return _both(web.ends, web.every_end)


def some_ends(plan: WarpPlan) -> Phrase:
    """:func:`ends_told` with its noun where each end works alone."""
    return ends_told(plan) if plan.web.is_doubled else some(plan.web.ends, "end")


def bout_ends_told(plan: WarpPlan, bout: Bout) -> Phrase:
    """The ends of a bout; of a warp where some work as one, working ends and ends of yarn."""
    return _both(bout.ends, bout.every_end) if plan.web.is_doubled else some(bout.ends, "end")


def _both(ends: int, every_end: int) -> Phrase:
    return phrase("{ends:,} working ends, {every_end:,} ends of yarn", ends=ends, every_end=every_end)


def winding_told(plan: WarpPlan) -> list[Phrase]:
    """How to wind ends that work as one; nothing where each end works alone."""
    told = []
    for where, count in _where(plan):
        if where:
            told.append(
                phrase(
                    "{ends}: wind {count} ends as one, a finger between them, and count them as one end.",
                    ends=where,
                    count=count,
                )
                if count > 1
                else phrase("{ends}: wind single ends.", ends=where)
            )
        else:
            told.append(
                phrase(
                    "Wind {count} ends as one, with a finger between them: all counts of ends are of working "
                    "ends, {count} ends of yarn each.",
                    count=count,
                )
            )
    return told


def threading_told(plan: WarpPlan) -> list[Phrase]:
    """How to thread and sley ends that work as one; nothing where each end works alone."""
    return [
        (
            phrase("{ends}: {count} ends of yarn in each heddle.", ends=where, count=count)
            if count > 1
            else phrase("{ends}: single ends.", ends=where)
        )
        if where
        else phrase(
            "Thread {count} ends of yarn in each heddle: together they are one working end.", count=count
        )
        for where, count in _where(plan)
    ]


def strands_told(strands: int) -> Phrase:
    """Weft of several strands."""
    return phrase("{strands} strands of weft together in each pick", strands=strands)


def _where(plan: WarpPlan) -> list[tuple[str, int]]:
    """(which ends, "" for all not named; how many as one), where some work as one."""
    web, order = plan.web, plan.order
    if not web.is_doubled:
        return []
    made: list[tuple[str, int]] = []
    if order.ends_per_heddle > 1:
        made.append(("", order.ends_per_heddle))
    own = order.selvedge_ends_per_heddle
    if own is not None and own != order.ends_per_heddle:
        edge = web.selvedge + web.floating // 2
        ends = phrase(
            "Ends {first} and {last}, the selvedges",
            first=span(1, edge),
            last=span(web.ends - edge + 1, web.ends),
        )
        made.append((ends, own))
    return made

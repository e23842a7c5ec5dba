"""The web as a whole: on which end of the repeat it starts, and how many ends make both edges match."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from loomready.draft.balance.mirror import mismatched_pairs
from loomready.draft.draft import Draft
from loomready.draft.structure.analysis import Structure
from loomready.draft.structure.periods import number, smallest_period


@dataclass(frozen=True, slots=True)
class MatchingWeb:
    """A web of ``ends`` ends that starts on end ``start`` (from 1) of a repeat and mirrors edge to edge.

    repeats  whole repeats in it; ``more``: ends beyond them
    """

    start: int
    ends: int
    repeats: int
    more: int


def axes(draft: Draft) -> tuple[tuple[int, ...], bool]:
    """The mirror axes of the threading with its colors, counted from 1; and whether colors were left out.

    They are left out where the threading mirrors and its colors do not.

    :raises BadInput: no ends or no picks
    """
    ids = Structure(draft).end_ids
    colored = np.flatnonzero(mismatched_pairs(number(ids, draft.warp_colors).ids) == 0)
    if len(colored):
        return tuple((colored + 2).tolist()), False
    return tuple((np.flatnonzero(mismatched_pairs(ids) == 0) + 2).tolist()), True


def one_repeat(draft: Draft) -> Draft:
    """The ends that a web of the draft repeats: its smallest period, as a line, if that is symmetrical.

    If only the whole draft, read as a continuous repeat, is symmetrical: the whole draft.
    """
    period = smallest_period(number(draft.threading, draft.warp_colors).ids)
    cut = starting_on(draft, 1, period - draft.ends)
    return cut if axes(cut)[0] else draft


def edges_match(draft: Draft, repeat: Draft) -> bool:
    """Whether a web of whole repeats and the draft's own odd ends mirrors edge to edge as it is."""
    return any((draft.ends + 1 - axis) % repeat.ends == 0 for axis in axes(repeat)[0])


def matching_webs(
    axes: Sequence[int], repeat: int, about: int, most: int = 3, at_least: int = 1
) -> tuple[MatchingWeb, ...]:
    """The webs nearest to ``about`` ends whose edges match, nearest first (a tie: the narrower).

    A web of n ends from end s on runs to end s + n - 1: it mirrors where these two meet in one of the axes
    of a repeat of so many ends. The earliest start is taken.

    >>> [(web.start, web.ends, web.more) for web in matching_webs([2], 6, 60, most=2)]
    [(2, 59, 5), (1, 61, 1)]
    """
    found: list[MatchingWeb] = []
    step = 0
    while len(found) < most and step <= 2 * repeat + most:
        for ends in dict.fromkeys((about - step, about + step)):
            if ends < at_least or len(found) == most:
                continue
            starts = [
                start
                for axis in axes
                for start in range(1, repeat + 1)
                if (2 * start + ends - 1 - axis) % repeat == 0
            ]
            if starts:
                found.append(MatchingWeb(min(starts), ends, ends // repeat, ends % repeat))
        step += 1
    return tuple(found)


def starting_on(draft: Draft, start: int, more: int) -> Draft:
    """The draft begun on end ``start`` (from 1), with ``more`` ends after its last (below 0: less)."""
    sources = (start - 1 + np.arange(draft.ends + more)) % draft.ends
    spacing, thickness = draft.warp_spacing_mm, draft.warp_thickness_mm
    return replace(
        draft,
        threading=draft.threading[sources],
        warp_colors=draft.warp_colors[sources],
        warp_spacing_mm=None if spacing is None else spacing[sources],
        warp_thickness_mm=None if thickness is None else thickness[sources],
    )


def repeats_by_itself(draft: Draft, repeat: int) -> bool:
    """Whether a web of a draft, read as a line, repeats by ``repeat`` ends unasked (or a part of them)."""
    return repeat % smallest_period(number(draft.threading, draft.warp_colors).ids) == 0

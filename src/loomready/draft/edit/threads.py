"""Runs of ends or picks, and drafts with their threads in another order."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from loomready.draft.draft import Draft, Floats
from loomready.draft.structure.periods import Numbers
from loomready.model.guild import MAX_ENDS, MAX_PICKS
from loomready.phrases import Phrase, phrase, word
from loomready.problems import BadInput

Side = Literal["warp", "weft"]


def threads_of(side: Side) -> str:
    return "end" if side == "warp" else "pick"


def length_of(draft: Draft, side: Side) -> int:
    return draft.ends if side == "warp" else draft.picks


def most_of(side: Side) -> int:
    return MAX_ENDS if side == "warp" else MAX_PICKS


def counted(number: int, what: Phrase, side: Side = "warp") -> None:
    """:raises BadInput: no count of threads at all"""
    if not 1 <= number <= most_of(side):
        raise BadInput(
            phrase(
                "{number} is not a valid {count_of_what}; expected 1 to {most}",
                number=number,
                count_of_what=what,
                most=most_of(side),
            )
        )


def run_of(draft: Draft, side: Side, first: int, last: int) -> slice:
    """Threads ``first`` to ``last`` (from 1) as a slice from 0.

    :raises BadInput: the draft has no such threads
    """
    there = length_of(draft, side)
    if not 1 <= first <= last <= there:
        wrong = first if not 1 <= first <= there else last
        if 1 <= wrong <= there:
            raise BadInput(
                phrase(
                    "a run from {end_or_pick} {first} to {end_or_pick} {last} has no threads; expected first "
                    "to last",
                    end_or_pick=word(threads_of(side)),
                    first=first,
                    last=last,
                )
            )
        raise BadInput(
            phrase(
                "there is no {end_or_pick} {number}; expected 1 to {last}",
                end_or_pick=word(threads_of(side)),
                number=wrong,
                last=there,
            )
        )
    return slice(first - 1, last)


def place_before(draft: Draft, side: Side, before: int) -> int:
    """The place before thread ``before`` (from 1; one more than there are: at the end), from 0."""
    there = length_of(draft, side)
    if not 1 <= before <= there + 1:
        raise BadInput(
            phrase(
                "there is no place before {end_or_pick} {number}; expected 1 to {last}",
                end_or_pick=word(threads_of(side)),
                number=before,
                last=there + 1,
            )
        )
    return before - 1


def check_count(side: Side, threads: int) -> None:
    """:raises BadInput: more threads than a draft has"""
    if threads > most_of(side):
        raise BadInput(
            phrase(
                "that makes {threads} {ends_or_picks}; expected at most {most} in a draft",
                threads=threads,
                ends_or_picks=word(f"{threads_of(side)}s"),
                most=most_of(side),
            )
        )


def taken(draft: Draft, side: Side, sources: Numbers) -> Draft:
    """The draft whose threads on one side are these of the old one, int[n] from 0, in this order.

    :raises BadInput: more threads than a draft has
    """
    check_count(side, len(sources))
    sources = sources.astype(np.intp)
    if side == "warp":
        return replace(
            draft,
            threading=draft.threading[sources],
            warp_colors=draft.warp_colors[sources],
            warp_spacing_mm=_of(draft.warp_spacing_mm, sources),
            warp_thickness_mm=_of(draft.warp_thickness_mm, sources),
        )
    return replace(
        draft,
        lifts=draft.lifts[sources],
        treadling=None if draft.treadling is None else draft.treadling[sources],
        weft_colors=draft.weft_colors[sources],
        weft_spacing_mm=_of(draft.weft_spacing_mm, sources),
        weft_thickness_mm=_of(draft.weft_thickness_mm, sources),
    )


def _of(lengths: Floats | None, sources: Numbers) -> Floats | None:
    return None if lengths is None else lengths[sources]

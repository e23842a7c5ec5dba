"""Whether loom, length and edges suit a second warp."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.phrases import phrase
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp.result import WarpPlan
from loomready.warp.rounding import at_most


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    second = plan.second
    if second is None:
        return
    show = Shown(plan.guild.units)
    if not second.ends or not second.first_ends:
        which = phrase("second") if not second.ends else phrase("first")
        yield Problem(
            "second-warp-empty",
            "stop",
            phrase("No end of the web is of the {which} warp.", which=which),
        )
    if plan.loom.beams < 2 and not second.weighted:
        yield Problem(
            "no-second-beam",
            "stop",
            phrase(
                "The second warp, {ends:,} ends, needs a beam of its own; {loom} has one beam.",
                ends=second.ends,
                loom=plan.loom.name,
            ),
        )
    longest = None if second.weighted else plan.loom.longest_warp_m
    if longest is not None and not at_most(second.length_m, longest):
        yield Problem(
            "too-long",
            "stop",
            phrase(
                "The second warp is {warp_length} long; {loom} holds {longest}.",
                warp_length=show.length(second.length_m),
                loom=plan.loom.name,
                longest=show.length(longest),
            ),
        )
    need = second.lengths.needed_m
    if not at_most(need, second.length_m):
        yield Problem(
            "wound-short",
            "stop",
            phrase(
                "The second warp is wound {warp_length} long and needs {need}: {lack} short.",
                warp_length=show.length(second.length_m),
                need=show.length(need),
                lack=show.piece(need - second.length_m),
            ),
        )
    if plan.web.floating and second.of_end[[0, -1]].any():
        yield Problem(
            "second-warp-edge",
            "stop",
            phrase("A floating selvedge is of the second warp: it would not be held as firmly as the first."),
        )

"""What keeps a warp from being wound in sections: the rack, or the sections of the beam."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.phrases import phrase, some
from loomready.problems import Problem
from loomready.warp.result import WarpPlan


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    sections, rack = plan.sections, plan.guild.rack
    if sections is None or plan.order.wound is not None:
        return
    if rack is not None and sections.at_once > rack:
        yield Problem(
            "rack-short",
            "stop",
            phrase(
                "A section takes {ends} at once; the spool rack holds {rack}.",
                ends=some(sections.at_once, "end"),
                rack=rack,
            ),
        )
    if not sections.fits:
        yield Problem(
            "sections-short",
            "stop",
            phrase(
                "The warp fills {sections}; the beam of {loom} has {on_beam}.",
                sections=some(len(sections.ends), "section"),
                loom=plan.loom.name,
                on_beam=sections.on_beam,
            ),
        )

"""Problems of the cloth that a warp weaves: it comes apart, a thread is loose, floats are long."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.draft.structure.analysis import Analysis
from loomready.draft.structure.findings import SNAGS_MM
from loomready.phrases import phrase, word
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp.cloth_floats import floats_of
from loomready.warp.result import WarpPlan
from loomready.warp.rounding import at_most


def of_warp(plan: WarpPlan, drafts: dict[str, Analysis]) -> Iterator[Problem]:
    several = len({id(found) for found in drafts.values()}) > 1
    told = set()
    for label, found in drafts.items():
        if id(found) in told:
            continue
        told.add(id(found))
        place = phrase("In {piece}: ", piece=label) if several else ""
        if found.parts > plan.order.layers:
            layers = (
                phrase("one layer")
                if plan.order.layers == 1
                else phrase("{layers} layers", layers=plan.order.layers)
            )
            why = next((p.message for p in found.problems if p.code == "falls-apart"), "")
            yield Problem(
                "falls-apart",
                "stop",
                phrase(
                    "{place}The cloth is in {parts} parts, {layers} intended. {why}",
                    place=place,
                    parts=found.parts,
                    layers=layers,
                    why=why,
                ),
            )
        for problem in found.problems:
            if problem.code in {"loose-thread", "no-shed"}:
                yield Problem(
                    problem.code,
                    "warn",
                    phrase("{place}{message}", place=place, message=problem.message),
                )
        yield from _floats(plan, label, place)


def _floats(plan: WarpPlan, label: str, place: str) -> Iterator[Problem]:
    show = Shown(plan.guild.units)
    found = floats_of(plan, next(weft for weft in plan.wefts if weft.label == label))
    if found is None:
        yield Problem(
            "layers-unclear",
            "warn",
            phrase(
                "{place}The draft does not show which threads make which of its {layers} layers: for the "
                "sett each is counted as plain weave, and floats are not measured.",
                place=place,
                layers=plan.order.layers,
            ),
        )
        return
    layer = phrase(" within its layer") if plan.order.layers > 1 else ""
    for name, threads, length_mm, crossed in (
        ("warp", found.warp_threads, found.warp_mm, "picks"),
        ("weft", found.weft_threads, found.weft_mm, "ends"),
    ):
        if threads is not None and not at_most(length_mm, SNAGS_MM):
            yield Problem(
                "long-float",
                "warn",
                phrase(
                    "{place}The longest {warp_or_weft} float goes over {threads} {crossed}{layer}, {length} "
                    "in the finished cloth: more than {snags} snags in use.",
                    place=place,
                    warp_or_weft=word(name),
                    threads=threads,
                    crossed=word(crossed),
                    layer=layer,
                    length=show.width(length_mm),
                    snags=show.width(SNAGS_MM),
                ),
            )

"""A crammed and spaced web in words: how many dents are sleyed in which cycle, and which stay empty."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.loomside.steps.sleying import parts_of_plan
from loomready.loomside.steps.words import span, stripes
from loomready.phrases import Phrase, joined, phrase, some
from loomready.warp.denting import Part
from loomready.warp.result import Sley, WarpPlan


@dataclass(frozen=True, slots=True)
class DentRow:
    """A part of the web in the reed: its dents, its ends ("" for empty dents) and how it is sleyed."""

    dents: str
    ends: str
    says: Phrase


def dent_rows(plan: WarpPlan) -> tuple[DentRow, ...]:
    """Every part of the web between its floating selvedges, with numbers of dents and ends."""
    sley, edge = plan.sley, plan.web.floating // 2
    if sley is None:
        return ()
    made, dent, end = [], sley.first_dent + edge, 1 + edge
    for part in parts_of_plan(plan):
        last = end + part.ends - 1
        made.append(
            DentRow(
                span(dent, dent + len(part.counts) - 1),
                span(end, last) if part.ends else "",
                _how(part),
            )
        )
        dent, end = dent + len(part.counts), last + 1
    return tuple(made)


def denting_told(plan: WarpPlan) -> Phrase:
    """All dents in short, what repeats in brackets."""
    runs = [(_run(part), 1) for part in parts_of_plan(plan)]
    told = []
    for times, pattern in stripes(runs):
        inner = joined(", ", (says for says, _ in pattern))
        told.append(phrase("{times:,} × ({dents})", times=times, dents=inner) if times > 1 else inner)
    return joined(", ", told)


def sleyed_in_stripes(plan: WarpPlan, sley: Sley) -> Phrase:
    """How a crammed and spaced web is sleyed, in a sentence."""
    told = phrase(
        "Sley reed {reed}, starting in dent {first}, wider at the fold: {dents}",
        reed=sley.reed.key,
        first=sley.first_dent,
        dents=denting_told(plan),
    )
    if plan.order.stripes:
        told = phrase(
            "Sley reed {reed} by stripes, starting in dent {first}: {dents}",
            reed=sley.reed.key,
            first=sley.first_dent,
            dents=denting_told(plan),
        )
    if not plan.web.floating:
        return told
    return phrase("{sley}; a floating selvedge in its own dent at each side", sley=told)


def _run(part: Part) -> Phrase:
    dents = len(part.counts)
    if not part.ends:
        return phrase("{dents} empty", dents=some(dents, "dent"))
    return phrase("{dents} of {cycle}", dents=some(dents, "dent"), cycle=_cycle(part))


def _how(part: Part) -> Phrase:
    if not part.ends:
        return phrase("leave empty")
    cycle = _cycle(part)
    ends = some(part.ends, "end")
    if "-" in cycle:
        return phrase("{ends}, {cycle} per dent, repeat", ends=ends, cycle=cycle)
    return phrase("{ends}, {cycle} per dent", ends=ends, cycle=cycle)


def _cycle(part: Part) -> str:
    """The cycle in the order in which this part is sleyed."""
    cycle, first = part.cycle, part.counts[: len(part.cycle)]
    cycle = first if sorted(first) == sorted(cycle) else cycle
    return f"{cycle[0]}" if len(set(cycle)) == 1 else "-".join(map(str, cycle))

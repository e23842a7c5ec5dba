"""A crammed and spaced web in words: how many dents are sleyed in which cycle, and which stay empty."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.loomside.steps.sleying import parts_of_plan
from loomready.loomside.steps.words import span, stripes
from loomready.phrases import Phrase, joined, phrase, some
from loomready.warp.denting import Part, in_runs
from loomready.warp.result import Sley, WarpPlan, cycle_told


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
        reed=sley.reed.name,
        first=sley.first_dent,
        dents=denting_told(plan),
    )
    if plan.order.stripes:
        told = phrase(
            "Sley reed {reed} by stripes, starting in dent {first}: {dents}",
            reed=sley.reed.name,
            first=sley.first_dent,
            dents=denting_told(plan),
        )
    if not plan.web.floating:
        return told
    return phrase("{sley}; a floating selvedge in its own dent at each side", sley=told)


def _run(part: Part) -> Phrase:
    return joined(
        ", ",
        (
            phrase("{dents} of {cycle}", dents=some(dents, "dent"), cycle=cycle_told(cycle))
            if any(cycle)
            else phrase("{dents} empty", dents=some(dents, "dent"))
            for dents, cycle in runs_of(part)
        ),
    )


def _how(part: Part) -> Phrase:
    if not part.ends:
        return phrase("leave empty")
    (_, cycle), *more = runs_of(part)
    ends = some(part.ends, "end")
    if more:
        return phrase("{ends}: {dents}", ends=ends, dents=_run(part))
    if len(set(cycle)) > 1:
        return phrase("{ends}, {cycle} per dent, repeat", ends=ends, cycle=cycle_told(cycle))
    return phrase("{ends}, {cycle} per dent", ends=ends, cycle=cycle_told(cycle))


def runs_of(part: Part) -> tuple[tuple[int, tuple[int, ...]], ...]:
    """The part's dents as (how many, ends in each of them in turn): whole cycles first, then what is left.

    A cycle reads as the part is sleyed: backward in a mirrored stripe.
    """
    size, whole = len(part.cycle), 0
    first = part.counts[:size]
    if sorted(first) == sorted(part.cycle):
        while part.counts[whole * size : (whole + 1) * size] == first:
            whole += 1
    cycles = ((whole * size, first),) if whole else ()
    return cycles + tuple((dents, (count,)) for count, dents in in_runs(part.counts[whole * size :]))

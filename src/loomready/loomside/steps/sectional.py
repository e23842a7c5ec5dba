"""Winding a warp in sections: turns of the beam, and what stands on the rack."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.loomside.steps import beam_turns
from loomready.loomside.steps.beaming import thickest_mm
from loomready.loomside.steps.words import span
from loomready.phrases import Phrase, listed, listed_with_and, phrase, plural, some, word
from loomready.units import Shown
from loomready.warp.result import WarpPlan, cycle_told
from loomready.warp.sections import OnRack, Sections, on_rack


@dataclass(frozen=True, slots=True)
class Turned:
    """A section on the beam: turns, around the full beam, and the warp wound after each whole turn."""

    turns: float
    around_mm: float
    full_mm: float
    turn_ends_m: tuple[float, ...]


def turned(plan: WarpPlan) -> Turned | None:
    """The turns that every section takes; None: not wound in sections, or the bare beam was never measured.

    The ends of a section lie as close as in its fullest section, without paper between the layers: the
    dividers hold the sides.
    """
    sections, around_mm = plan.sections, plan.loom.beam_around_mm
    if sections is None or around_mm is None:
        return None
    layer = beam_turns.layer_mm(10 * sections.at_once / sections.width_mm, thickest_mm(plan))
    found = beam_turns.beaming(plan.warp_length_m, around_mm, layer)
    return Turned(found.turns, around_mm, found.last_around_mm, found.turn_ends_m)


def rack(plan: WarpPlan) -> tuple[OnRack, ...]:
    """What each warp yarn needs on the rack; nothing for a warp that is not wound in sections."""
    if plan.sections is None:
        return ()
    lot_of = {cone.key: cone.lot for cone in plan.guild.cones}
    made = []
    for need in plan.yarns:
        if not need.warp_ends:
            continue
        lots = {lot_of.get(use.cone) for use in need.uses if use.ends}
        made.append(
            on_rack(
                need.yarn.key,
                [sum(ends for key, ends in bout.colors if key == need.yarn.key) for bout in plan.bouts],
                plan.warp_length_m,
                [(use.cone, use.warp_m) for use in need.uses if use.ends],
                [
                    use.sure_before_m * (1 - plan.order.reserve)
                    for use in need.uses
                    if lot_of.get(use.cone) in lots
                ],
            )
        )
    return tuple(made)


def numbers(sections: Sections, at: int) -> int:
    """The number on the beam of the warp's section ``at``, which counts from 0."""
    return sections.first + at


def told_sections(plan: WarpPlan, sections: Sections) -> Phrase:
    """How many sections, how wide, how many ends in each, and where on the beam."""
    show = Shown(plan.guild.units)
    last = numbers(sections, len(sections.ends) - 1)
    return phrase(
        "{sections} of {width}, {ends}. On the beam they are {span} of {on_beam}, counted from the {side}.",
        sections=some(len(sections.ends), "section"),
        width=show.width(sections.width_mm),
        ends=each_holds(sections),
        span=span(sections.first, last),
        on_beam=sections.on_beam,
        side=word(plan.guild.end_1),
    )


def each_holds(sections: Sections) -> Phrase:
    """Ends in a section, in turn, and in the last section where it holds fewer.

    >>> each_holds(Sections(50.0, (12, 13), (0, 12, 25, 37, 40), 1, 8))
    'with 12-13 ends in turn, 3 in the last'
    """
    cycle = cycle_told(sections.cycle)
    told = (
        phrase("with {cycle} ends in turn", cycle=cycle)
        if len(sections.cycle) > 1
        else phrase("with {ends} in each", ends=some(sections.cycle[0], "end"))
    )
    count = len(sections.ends)
    if sections.ends[-1] == sections.cycle[(count - 1) % len(sections.cycle)]:
        return told
    return phrase("{ends}, {last} in the last", ends=told, last=sections.ends[-1])


def told_turns(plan: WarpPlan) -> Phrase:
    """Turns of the beam for each section."""
    found, show = turned(plan), Shown(plan.guild.units)
    if found is None:
        return phrase(
            "Turns: measure around the bare beam of {loom} and write it down with the loom; until then, wind "
            "{length} into each section.",
            loom=plan.loom.name,
            length=show.length(plan.warp_length_m),
        )
    return phrase(
        "{turns} turns of the beam for each section: {length} of warp, {around} around the bare beam and "
        "{full} around the full one.",
        turns=f"{found.turns:.1f}",
        length=show.length(plan.warp_length_m),
        around=show.width(found.around_mm),
        full=show.width(found.full_mm),
    )


def told_rack(plan: WarpPlan, sections: Sections) -> list[Phrase]:
    """What stands on the rack: how many cones or spools at once, and how much is wound on each spool."""
    lines = [
        plural(
            sections.at_once,
            "On the rack at once: {count} cone or spool.",
            "On the rack at once: {count} cones or spools.",
        )
    ]
    return [*lines, *(told_yarn(plan, each) for each in rack(plan))]


def told_yarn(plan: WarpPlan, each: OnRack) -> Phrase:
    """One yarn on the rack."""
    show = Shown(plan.guild.units)
    parts = listed(
        phrase("{count} of {length}", count=count, length=show.yarn_needed(length_m))
        for count, length_m in each.grouped
    )
    name = plan.guild.yarn(each.yarn).name
    if not each.spools:
        return phrase("{yarn}: straight from the cones, {parts}.", yarn=name, parts=parts)
    if not each.cones:
        return phrase("{yarn}: wind spools, {parts}.", yarn=name, parts=parts)
    cones = listed_with_and(
        phrase("{length} from {cone}", cone=plan.guild.name_of_cone(cone), length=show.yarn_needed(m))
        for cone, m in each.cones
    )
    return phrase("{yarn}: wind spools, {parts}; in all {cones}.", yarn=name, parts=parts, cones=cones)


def lines(plan: WarpPlan) -> list[Phrase]:
    """All of it, a line each; none for a warp that is not wound in sections."""
    if plan.sections is None:
        return []
    return [
        told_sections(plan, plan.sections),
        told_turns(plan),
        *(told_rack(plan, plan.sections) if plan.order.wound is None else ()),
    ]

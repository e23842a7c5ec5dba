"""The sheet for winding in sections: turns of the beam, the rack, and the yarns of each section."""

from __future__ import annotations

from loomready.loomside.steps import sectional
from loomready.loomside.steps.make_ready import in_sections
from loomready.loomside.steps.words import span
from loomready.packet.words import Data, Letters, runs_shown
from loomready.phrases import listed_with_and, phrase
from loomready.units import Shown
from loomready.warp.result import WarpPlan
from loomready.warp.sections import OnRack

_COUNTED = 14  # turns that the row of lengths holds


def sections(plan: WarpPlan, letters: Letters) -> Data | None:
    """What the sheet shows; None for a warp that is wound at a board."""
    found = plan.sections
    if found is None:
        return None
    show, turned = Shown(plan.guild.units), sectional.turned(plan)
    return {
        "length": show.length(plan.warp_length_m),
        "turns": "" if turned is None else f"{turned.turns:.1f}",
        "at_once": f"{found.at_once:,}",
        "where": sectional.told_sections(plan, found),
        "turns_told": sectional.told_turns(plan),
        "after": _after(plan, turned),
        "rows": [
            {
                "number": f"{sectional.numbers(found, at)}",
                "ends": span(bout.first_end, bout.last_end),
                "count": f"{bout.ends:,}",
                "colors": runs_shown(plan, letters, bout.colors),
            }
            for at, bout in enumerate(plan.bouts)
        ],
        "ends": f"{plan.web.ends:,}",
        "rack": [] if plan.order.wound is not None else _rack(plan, letters),
        "steps": in_sections(plan),
    }


def _after(plan: WarpPlan, turned: sectional.Turned | None) -> list[Data]:
    """The warp on the beam after some of the turns, the last one among them."""
    if turned is None:
        return []
    show, whole = Shown(plan.guild.units), len(turned.turn_ends_m)
    step = next(size for size in (1, 2, 5, 10, 20, 50, 100, 1000) if whole / size <= _COUNTED)
    return [
        {"turn": f"{turn}", "length": show.length(turned.turn_ends_m[turn - 1])}
        for turn in range(step, int(turned.turns) + 1, step)
    ]


def _rack(plan: WarpPlan, letters: Letters) -> list[Data]:
    return [
        {
            **letters.chip(plan, each.yarn),
            "places": f"{len(each.places_m):,}",
            "each": [
                {"count": f"{count:,}", "length": Shown(plan.guild.units).yarn_needed(length_m)}
                for count, length_m in each.grouped
            ],
            "from": _from(plan, letters, each),
        }
        for each in sectional.rack(plan)
    ]


def _from(plan: WarpPlan, letters: Letters, each: OnRack) -> str:
    if not each.cones:
        return phrase("no cone is left")
    if not each.spools:
        return phrase("straight from the cones")
    show = Shown(plan.guild.units)
    return phrase(
        "spools, wound with {cones}",
        cones=listed_with_and(
            phrase("{length} from {cone}", length=show.yarn_needed(length_m), cone=letters.cone(plan, cone))
            for cone, length_m in each.cones
        ),
    )

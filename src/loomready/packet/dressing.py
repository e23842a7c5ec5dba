"""The sheet for sleying and heddles: dents in their order, heddles to carry before threading begins."""

from __future__ import annotations

from loomready.loomside.steps.sleying import ends_of_dents
from loomready.loomside.steps.threading import shaft_totals, shafts_used
from loomready.loomside.steps.words import listed, some, span
from loomready.packet.words import Data
from loomready.units import Shown
from loomready.warp import rigid
from loomready.warp.result import Sley, WarpPlan


def dressing(plan: WarpPlan) -> Data:
    return {
        "sley": _sley(plan, plan.sley) if plan.sley else None,
        "heddles": _heddles(plan),
        "through": list(rigid.lines(plan)),
    }


def _sley(plan: WarpPlan, sley: Sley) -> Data:
    show = Shown(plan.guild.units)
    side, other = plan.guild.end_1, "left" if plan.guild.end_1 == "right" else "right"
    edge = plan.web.floating // 2
    last = sley.first_dent + sley.dents - 1
    dents = ends_of_dents(plan, sley)
    reed, dent = rigid.reed_words(plan.loom)
    steps = []
    if edge:
        steps.append((span(sley.first_dent, sley.first_dent), "end 1, the floating selvedge, alone"))
    inner = dents[edge : len(dents) - edge]
    short = inner and inner[-1][1] - inner[-1][0] + 1 < sley.cycle[(len(inner) - 1) % len(sley.cycle)]
    until = last - edge - (1 if short else 0)
    first = sley.first_dent + edge
    if until >= first:
        steps.append((span(first, until), f"{_a_dent(sley, dent)}, starting with end {1 + edge}"))
    if short:
        steps.append(
            (span(last - edge, last - edge), f"the last {some(inner[-1][1] - inner[-1][0] + 1, 'end')}")
        )
    if edge:
        steps.append((span(last, last), f"end {plan.web.ends:,}, the other floating selvedge, alone"))
    return {
        "reed": "Heddle" if plan.loom.is_rigid_heddle else f"Reed {sley.reed.key}",
        "dents_per": show.dents(sley.reed.dents_per_cm),
        "reed_width": show.width(sley.reed.width_mm),
        "cycle": [str(count) for count in sley.cycle],
        "cycle_label": f"Ends per {dent}" if len(sley.cycle) == 1 else f"Ends per {dent}, repeat",
        "sett": show.epi(sley.sett_per_cm),
        "asked": show.epi(plan.asked_sett_per_cm),
        "within": sley.within,
        "fits": sley.fits,
        "width": show.width(plan.width_in_reed_mm),
        "dents": f"{sley.dents:,} of {sley.reed_dents:,}",
        "first": f"{sley.first_dent:,}",
        "before": f"{sley.first_dent - 1:,}",
        "after": f"{sley.reed_dents - last:,}",
        "count_from": f"Count {dent}s from the {side}, where end 1 lies: {dent} 1 is the first there.",
        "dent": dent.capitalize(),
        "dents_used": f"{dent}s used",
        "in_reed": f"in the {reed}",
        "leave": f"{dent}s free at the",
        "check": f"Check the {reed} against a light before tying on: no empty {dent}s, no crowded {dent}s, "
        "no crossed threads behind it.",
        "side": side,
        "other": other,
        "steps": [{"dents": dents_said, "says": says} for dents_said, says in steps],
        "ends": some(plan.web.ends, "end"),
    }


def _cycle(sley: Sley) -> str:
    return "-".join(map(str, sley.cycle))


def _a_dent(sley: Sley, dent: str) -> str:
    if sley.cycle == (1,):
        return f"1 end per {dent}"
    return f"{_cycle(sley)} ends per {dent}{'' if len(sley.cycle) == 1 else ', repeat'}"


def _heddles(plan: WarpPlan) -> Data:
    found, there = plan.heddles, plan.loom.heddles
    placed = any(shaft is not None for shaft in found.assignment)
    totals = shaft_totals(plan) if placed else {}
    after = {move.from_shaft: 0 for move in found.moves} | {move.to_shaft: 0 for move in found.moves}
    for move in found.moves:
        after[move.from_shaft] -= move.count
        after[move.to_shaft] += move.count
    draft_shaft = {
        shaft: number for number, shaft in enumerate(found.assignment, start=1) if shaft is not None
    }
    rows = []
    for shaft, have in enumerate(there, start=1):
        needed = totals.get(shaft, 0)
        change = after.get(shaft, 0)
        spare = found.spare[shaft - 1] if placed and shaft <= len(found.spare) else (0, 0)
        rows.append(
            {
                "shaft": f"{shaft}",
                "draft": f"{draft_shaft[shaft]}" if shaft in draft_shaft else "–",
                "there": f"{have:,}",
                "needed": f"{needed:,}" if needed else "–",
                "move": f"+{change:,}" if change > 0 else f"−{-change:,}" if change < 0 else "",
                "spare": f"{spare[0]:,} | {spare[1]:,}",
                "lacks": f"{needed - have - change:,}" if needed > have + change else "",
            }
        )
    return {
        "loom": plan.loom.name,
        "placed": placed,
        "rows": rows,
        "any_lacking": any(row["lacks"] for row in rows),
        "there": f"{sum(there):,}",
        "needed": f"{sum(found.needed):,}",
        "moves": [
            f"Carry {some(move.count, 'heddle')} from shaft {move.from_shaft} to shaft {move.to_shaft}."
            for move in found.moves
        ],
        "none": "" if found.moved or not placed else "Every shaft has the heddles it needs.",
        "short": f"{some(found.short, 'heddle')} short: the loom has too few in all." if found.short else "",
        "unplaced": ""
        if placed
        else f"The draft needs {len(shafts_used(plan))} shafts and this loom has {plan.loom.shafts}. "
        "It cannot be threaded here as it is; the sheets that follow use the draft's own shaft numbers.",
        "least": _least(plan),
        "draft_differs": any(row["draft"] not in ("–", row["shaft"]) for row in rows),
        "aside": _aside(plan),
    }


def _least(plan: WarpPlan) -> str:
    found = plan.heddles
    if found.least_moved >= found.moved:
        return ""
    order = listed(
        f"{draft} on {shaft}"
        for draft, shaft in enumerate(found.least_assignment, start=1)
        if shaft is not None
    )
    return (
        f"With the shafts in another order, {found.least_moved:,} instead of {found.moved:,} heddles "
        f"move: the draft's shaft {order}. The threading sheet keeps the draft's order."
    )


def _aside(plan: WarpPlan) -> str:
    if plan.web.floating:
        return "Half of the spare heddles hang at each side of the web. The floating selvedges take none."
    return "Half of the spare heddles hang at each side of the web."

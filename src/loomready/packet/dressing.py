"""The sheet for sleying and heddles: dents in their order, heddles to carry before threading begins."""

from __future__ import annotations

from loomready.loomside.steps.dents_told import DentRow, dent_rows, denting_told
from loomready.loomside.steps.double_told import fold_told
from loomready.loomside.steps.doubled_told import threading_told
from loomready.loomside.steps.sleying import ends_of_dents
from loomready.loomside.steps.threading import shaft_totals, shafts_used
from loomready.loomside.steps.words import span
from loomready.packet.words import Data
from loomready.phrases import Phrase, capitalized, joined, listed, phrase, plural, some, word
from loomready.units import Shown
from loomready.warp import rigid
from loomready.warp.result import Sley, WarpPlan
from loomready.warp.stripe_setts import stripe_setts

_MOST_PARTS = 24  # parts of a crammed and spaced web that the sheet has room for, one line each


def dressing(plan: WarpPlan) -> Data:
    return {
        "sley": _sley(plan, plan.sley) if plan.sley else None,
        "heddles": _heddles(plan),
        "through": list(rigid.lines(plan)),
        "thread_heddles": phrase("Thread {heddles}", heddles=rigid.the_heddle(plan.loom)),
        "places": phrase(
            "Dents are the holes and slots of {heddles}: threading and sleying are one act.",
            heddles=rigid.the_heddle(plan.loom),
        ),
    }


def _sley(plan: WarpPlan, sley: Sley) -> Data:
    show = Shown(plan.guild.units)
    side, other = plan.guild.end_1, "left" if plan.guild.end_1 == "right" else "right"
    edge = plan.web.floating // 2
    last = sley.first_dent + sley.dents - 1
    dents = ends_of_dents(plan, sley)
    reed, dent, dents_word = _words(plan)
    way = rigid.through(plan)
    several = way is not None and way.heddles > 1
    steps = []
    if edge:
        steps.append((span(sley.first_dent, sley.first_dent), phrase("end 1, the floating selvedge, alone")))
    if sley.denting:
        steps += _parts(plan, sley)
    inner = [] if sley.denting else dents[edge : len(dents) - edge]
    short = inner and inner[-1][1] - inner[-1][0] + 1 < sley.cycle[(len(inner) - 1) % len(sley.cycle)]
    until = last - edge - (1 if short else 0)
    first = sley.first_dent + edge
    if until >= first and not sley.denting:
        steps.append(
            (
                span(first, until),
                phrase(
                    "{ends_per_dent} on average, starting with end {end}: each through a hole of its own "
                    "heddle, and through slots of the others",
                    ends_per_dent=_a_dent(sley, dent),
                    end=1 + edge,
                )
                if several
                else phrase(
                    "{ends_per_dent}, starting with end {end}",
                    ends_per_dent=_a_dent(sley, dent),
                    end=1 + edge,
                ),
            )
        )
    if short:
        steps.append(
            (
                span(last - edge, last - edge),
                plural(inner[-1][1] - inner[-1][0] + 1, "the last end", "the last {count} ends"),
            )
        )
    if edge:
        steps.append(
            (span(last, last), phrase("end {end:,}, the other floating selvedge, alone", end=plan.web.ends))
        )
    return {
        "reed": phrase("Heddle") if plan.loom.is_rigid_heddle else phrase("Reed {reed}", reed=sley.reed.name),
        "dents_per": show.dents(sley.reed.dents_per_cm),
        "reed_width": show.width(sley.reed.width_mm),
        "cycle": _in_short(sley),
        "cycle_label": phrase("Ends per {dent}, on average", dent=dent)
        if several
        else phrase("Ends per {dent}", dent=dent)
        if len(sley.cycle) == 1 or sley.denting
        else phrase("Ends per {dent}, repeat", dent=dent),
        "sett": show.epi(sley.sett_per_cm),
        "asked": show.epi(plan.asked_sett_per_cm),
        "within": sley.within,
        "fits": sley.fits,
        "width": show.width(plan.width_in_reed_mm),
        "dents": phrase("{dents:,} of {reed_dents:,}", dents=sley.dents, reed_dents=sley.reed_dents),
        "first_label": phrase("First {dent}", dent=dent),
        "first": f"{sley.first_dent:,}",
        "before": f"{sley.first_dent - 1:,}",
        "after": f"{sley.reed_dents - last:,}",
        "count_from": joined(
            " ",
            (
                phrase(
                    "Count {dents} from the {side}, where end 1 lies: {dent} 1 is the first there.",
                    dents=dents_word,
                    side=word(side),
                    dent=dent,
                ),
                *fold_told(plan),
                *threading_told(plan),
            ),
        ),
        "dents_label": capitalized(dents_word),
        "dents_word": dents_word,
        "dents_used": phrase("{dents} used", dents=dents_word),
        "in_reed": phrase("in {heddles}", heddles=rigid.the_heddle(plan.loom))
        if plan.loom.is_rigid_heddle
        else phrase("in the reed"),
        "check": phrase(
            "Check the heddles against a light before tying on: no empty places, no crowded places, no "
            "crossed threads behind them."
        )
        if several
        else phrase(
            "Check the {reed} against a light before tying on: no {dents} empty but those listed, no crossed "
            "threads behind it.",
            reed=reed,
            dents=dents_word,
        )
        if any(ends == 0 for ends, _ in sley.denting)
        else phrase(
            "Check the {reed} against a light before tying on: no empty {dents}, no crowded {dents}, no "
            "crossed threads behind it.",
            reed=reed,
            dents=dents_word,
        ),
        "side": word(side),
        "other": word(other),
        "stripes": _stripes(plan, show),
        "steps": [{"dents": dents_said, "says": says} for dents_said, says in steps],
        "ends": some(plan.web.ends, "end"),
    }


def _in_short(sley: Sley) -> list[str]:
    """The cycle; of a crammed and spaced web the fewest and the most ends in a dent."""
    if not sley.denting:
        return [str(count) for count in sley.cycle]
    counts = [count for count, _ in sley.denting]
    return [span(min(counts), max(counts))]


def _parts(plan: WarpPlan, sley: Sley) -> list[tuple[str, Phrase]]:
    """Each part of a crammed and spaced web with its dents; of very many all in short."""
    rows = dent_rows(plan)
    if len(rows) <= _MOST_PARTS:
        return [(row.dents, _part_says(row)) for row in rows]
    edge = plan.web.floating // 2
    dents = span(sley.first_dent + edge, sley.first_dent + sley.dents - 1 - edge)
    return [(dents, denting_told(plan))]


def _part_says(row: DentRow) -> Phrase:
    return phrase("{ends}: {how}", ends=row.ends, how=row.says) if row.ends else row.says


def _stripes(plan: WarpPlan, show: Shown) -> Data | None:
    """The setts of a crammed and spaced web, and its dents in short; None where it is sleyed evenly."""
    setts = stripe_setts(plan)
    if not setts:
        return None
    return {"dents": denting_told(plan), "setts": [each.line(show) for each in setts]}


def _words(plan: WarpPlan) -> tuple[Phrase, Phrase, Phrase]:
    """What beats the weft, one opening of it, and several."""
    reed, dent = rigid.reed_words(plan.loom)
    return word(reed), word(dent), word(f"{dent}s")


def _a_dent(sley: Sley, dent: Phrase) -> Phrase:
    if sley.cycle == (1,):
        return phrase("1 end per {dent}", dent=dent)
    if len(sley.cycle) == 1:
        return phrase("{cycle} ends per {dent}", cycle=sley.told, dent=dent)
    return phrase("{cycle} ends per {dent}, repeat", cycle=sley.told, dent=dent)


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
                "spare": [f"{spare[0]:,}", f"{spare[1]:,}"],
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
            phrase(
                "Carry {heddles} from shaft {from_shaft} to shaft {to_shaft}.",
                heddles=some(move.count, "heddle"),
                from_shaft=move.from_shaft,
                to_shaft=move.to_shaft,
            )
            for move in found.moves
        ],
        "none": "" if found.moved or not placed else phrase("Every shaft has the heddles it needs."),
        "short": phrase("{heddles} short: the loom has too few in all.", heddles=some(found.short, "heddle"))
        if found.short
        else "",
        "unplaced": ""
        if placed
        else phrase(
            "The draft needs {needed} shafts and this loom has {shafts}. It cannot be threaded here as it "
            "is; the sheets that follow use the draft's own shaft numbers.",
            needed=len(shafts_used(plan)),
            shafts=plan.loom.shafts,
        ),
        "least": _least(plan),
        "draft_differs": any(row["draft"] not in ("–", row["shaft"]) for row in rows),
        "aside": _aside(plan),
    }


def _least(plan: WarpPlan) -> str:
    found = plan.heddles
    if found.least_moved >= found.moved:
        return ""
    order = listed(
        phrase("{draft} on {shaft}", draft=draft, shaft=shaft)
        for draft, shaft in enumerate(found.least_assignment, start=1)
        if shaft is not None
    )
    return phrase(
        "With the shafts in another order, {least_moved:,} instead of {moved:,} heddles move: the "
        "draft's shaft {order}. The threading sheet keeps the draft's order.",
        least_moved=found.least_moved,
        moved=found.moved,
        order=order,
    )


def _aside(plan: WarpPlan) -> Phrase:
    if plan.web.floating:
        return phrase(
            "Half of the spare heddles hang at each side of the web. The floating selvedges take none."
        )
    return phrase("Half of the spare heddles hang at each side of the web.")

"""The weaving sheets: what to weave in which order, tie-up, and every pick of the repeat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

import numpy as np

from loomready.loomside.steps import second_told
from loomready.loomside.steps.direct import is_direct, pressed_together
from loomready.loomside.steps.double_told import double_told
from loomready.loomside.steps.doubled_told import strands_told
from loomready.loomside.steps.lifting import RISES, SINKS, Lifting, lifting
from loomready.loomside.steps.piece_steps import pieces_told, repeats_in
from loomready.loomside.steps.stripes_told import changes
from loomready.loomside.steps.threading import loom_shaft, shafts_used
from loomready.loomside.steps.treadling_told import Line, Treadling, treadlings
from loomready.loomside.steps.words import span
from loomready.model.guild import LoomKind
from loomready.packet.direct import direct_sheet
from loomready.packet.options import USUAL, Options
from loomready.packet.words import Data, Letters, runs_shown
from loomready.phrases import Phrase, capitalized, joined, listed, phrase, some
from loomready.units import Shown
from loomready.warp.bouts import runs
from loomready.warp.length import pick_roles
from loomready.warp.pieces import label_of
from loomready.warp.result import WarpPlan, Weft
from loomready.warp.rigid import through

_MANY = 160  # picks in a repeat from which the rows stand closer
_COLUMNS = 24  # shafts or treadles that have a column each
_CHANGES = 60  # changes of weft stripes that are listed one by one
_TWO_COLUMNS = 8  # shafts or treadles up to which two columns of picks stand side by side


def weaving(plan: WarpPlan, letters: Letters, options: Options = USUAL) -> Data:
    told = treadlings(plan, letters.letter)
    return {
        "order": _order(plan),
        "second": list(second_told.tension_told(plan)),
        "tieup": _tieup(plan),
        "direct": direct_sheet(plan),
        "too_few": _too_few(plan),
        "lists": [_list(plan, letters, each, options) for each in told.lists]
        or [
            {
                "label": listed(weft.label for weft in plan.wefts),
                "wefts": [_weft(plan, letters, weft) for weft in plan.wefts],
                "lines": [],
                "picks": [],
            }
        ],
        "lifts": [
            {"number": f"{number}", "up": [f"{shaft}" if shaft in up else "" for shaft in shafts_used(plan)]}
            for number, up in enumerate(told.lifts, start=1)
        ],
        "sheds": _sheds(plan, numbered=bool(told.lifts)),
        "floating": phrase(
            "With each pick, pass the shuttle over the floating selvedge where it enters and under it "
            "where it leaves."
        )
        if plan.web.floating
        else "",
    }


def _sheds(plan: WarpPlan, *, numbered: bool) -> Phrase:
    match plan.loom.kind:
        case _ if is_direct(plan):
            return phrase("Numbers: treadles to press, all of a pick together.")
        case "inkle":
            return phrase("Each pick: whether the open ends are pressed down or lifted.")
        case "rigid heddle":
            return phrase("Heddle positions for each pick; a heddle not listed rests in the middle.")
        case "table" if numbered:
            return phrase("Numbers: lifts, as listed.")
        case "table":
            return phrase("Numbers: levers that are up.")
        case _:
            numbers, together = phrase("Numbers: treadles to press."), pressed_together(plan)
            return joined(" ", (numbers, together)) if together else numbers


def _order(plan: WarpPlan) -> list[Data]:
    """What is woven, piece by piece, measured on the loom with the tension off."""
    return [
        {
            "what": piece.name,
            "times": f"{piece.count:,} ×" if piece.count > 1 else "",
            "finished": phrase("{finished} finished", finished=piece.finished) if piece.finished else "",
            "steps": [
                {
                    "what": step.name,
                    "length": step.length,
                    "picks": f"{step.picks:,}" if step.picks else "",
                    "told": listed(part for part in (step.times, step.note) if part),
                }
                for step in piece.steps
            ],
        }
        for piece in pieces_told(plan)
    ]


def _list(plan: WarpPlan, letters: Letters, made: Treadling, options: Options) -> Data:
    """One treadling with all that is woven by it."""
    weft = plan.wefts[made.places[0]]
    woven = _lifting(plan, weft)
    columns = _columns(plan, woven)
    return {
        "label": made.label,
        "wefts": [_weft(plan, letters, plan.wefts[place]) for place in made.places],
        "tabby": made.tabby,
        "lines": [_line(plan, letters, line) for line in made.lines],
        "yarned": any(line.yarn for line in made.lines),
        "treadled": woven.treadles is not None and not is_direct(plan),
        "columns": 2 if len(columns) <= _TWO_COLUMNS else 1,
        "listed": len(columns) > _COLUMNS or through(plan) is not None,
        "close": woven.repeat > _MANY,
        "lettered": len(set(weft.yarns)) > 1 and not weft.stripes,
        "cells": [f"{number}" for number in columns],
        "picks": _rows(plan, letters, weft, woven, columns) if options.every_pick else [],
    }


def _line(plan: WarpPlan, letters: Letters, line: Line) -> Data:
    return {
        "picks": span(line.first, line.last),
        "told": line.told,
        **(letters.chip(plan, line.yarn) if line.yarn else {"letter": "", "color": ""}),
    }


def _lifting(plan: WarpPlan, weft: Weft) -> Lifting:
    return lifting(weft.draft, plan.loom, loom_shaft(plan), plan.treadles, in_stripes=bool(weft.stripes))


def _columns(plan: WarpPlan, woven: Lifting) -> list[int]:
    """The treadles, or the shafts on levers, that the rows of picks have a column for."""
    if woven.treadles is None or woven.tieup is None or is_direct(plan):
        return shafts_used(plan)
    return list(range(1, woven.tieup.shape[1] + 1))


def _keys(weft: Weft, picks: int) -> list[str]:
    """The yarn of each pick; none where stripes say."""
    return [] if weft.stripes else [weft.yarns[role] for role in pick_roles(weft, picks).tolist()]


def _weft(plan: WarpPlan, letters: Letters, weft: Weft) -> Data:
    show = Shown(plan.guild.units)
    woven = _lifting(plan, weft)
    by_pick = runs(np.asarray([weft.yarns.index(key) for key in _keys(weft, woven.repeat)], dtype=np.int64))
    colors = [(each.yarn, each.picks) for each in weft.stripes]
    return {
        "label": capitalized(weft.label),
        "title": weft.draft.title or "",
        "facts": [
            phrase("{picks} on the loom, tension off", picks=show.ppi(weft.picks_per_cm)),
            phrase(
                "{woven} to weave in all, {picks}",
                woven=show.piece(weft.woven_m),
                picks=some(weft.picks, "pick"),
            ),
            *([strands_told(weft.strands)] if weft.strands > 1 else []),
            *_repeats(plan, weft, woven.repeat),
        ],
        "folded": double_told(plan) if weft is plan.wefts[0] else [],
        "key": [letters.chip(plan, key) for key in dict.fromkeys(weft.yarns)],
        "colors": runs_shown(
            plan, letters, colors or [(weft.yarns[which], count) for which, count in by_pick]
        ),
        "lettered": len(set(weft.yarns)) > 1,
        "striped": bool(weft.stripes),
        "changes": _changes(plan, letters, weft),
    }


def _changes(plan: WarpPlan, letters: Letters, weft: Weft) -> list[Data]:
    """At which picks of a section weft stripes change, up to the longest section; none of very many."""
    if len(weft.yarns) < 2 or not weft.stripes:
        return []
    longest = max(picks for _, picks, _ in weft.pieces)
    found = list(islice(changes(weft.stripes, longest), _CHANGES + 1))
    if len(found) > _CHANGES:
        return []
    return [{"pick": f"{pick:,}", **letters.chip(plan, yarn)} for pick, yarn in found]


def _repeats(plan: WarpPlan, weft: Weft, repeat: int) -> Iterator[str]:
    """How often each section so woven weaves the repeat, from its own pick 1."""
    for piece in plan.pieces:
        for section in dict.fromkeys(piece.sections):
            if plan.weft_of(section) is weft:
                which = label_of(replace(piece, count=1), section.part)
                yield capitalized(
                    phrase(
                        "{section}: begin at pick 1, {repeats}",
                        section=which,
                        repeats=repeats_in(section.picks, repeat),
                    )
                )


def _too_few(plan: WarpPlan) -> str:
    made = plan.treadles
    if made is None or not made.short:
        return ""
    return phrase(
        "{loom} has {treadles}; everything woven on this warp needs {needed} on one tie-up. So no "
        "treadling is printed. See the remedies on the project sheet.",
        loom=plan.loom.name,
        treadles=some(made.there, "treadle"),
        needed=made.count,
    )


def _tieup(plan: WarpPlan) -> Data | None:
    """The one tie-up for all pieces; None: levers, or too few treadles."""
    if is_direct(plan):
        return None
    woven = lifting(plan.wefts[0].draft, plan.loom, loom_shaft(plan), plan.treadles)
    if woven.tieup is None or woven.sinks is None:
        return None
    used = shafts_used(plan)
    kind = plan.loom.kind
    rows = used if plan.guild.shaft_1 == "back" else used[::-1]
    sink = SINKS if kind in ("countermarche", "counterbalance") else ""
    told = np.where(woven.tieup, RISES, np.where(woven.sinks, sink, ""))
    both = woven.tieup | woven.sinks
    all_tied = bool(both[[shaft - 1 for shaft in used]].all())
    return {
        "treadles": [f"{number}" for number in range(1, woven.tieup.shape[1] + 1)],
        "rows": [
            {
                "shaft": f"{shaft}",
                "ties": told[shaft - 1].tolist(),
            }
            for shaft in rows
        ],
        "key": _tieup_key(kind, all_tied),
        "made_up": phrase(
            "This is not the draft's own tie-up: it is made for this loom and everything woven on the warp."
        )
        if woven.made_up
        else "",
    }


def _tieup_key(kind: LoomKind, all_tied: bool) -> Phrase:
    """What the signs in a tie-up mean.

    :param all_tied: every shaft that holds ends is tied to every treadle
    """
    if kind == "countermarche" and all_tied:
        return phrase(
            "{rises}  the treadle raises the shaft     {sinks}  it sinks the shaft. Every shaft that holds "
            "ends is tied to every treadle",
            rises=RISES,
            sinks=SINKS,
        )
    if kind == "countermarche":
        return phrase(
            "{rises}  the treadle raises the shaft     {sinks}  it sinks the shaft. An empty square is not "
            "tied: another treadle of the pick moves that shaft",
            rises=RISES,
            sinks=SINKS,
        )
    if kind == "counterbalance":
        return phrase(
            "{rises}  the treadle raises the shaft (nothing to tie: it rises on its own)     {sinks}  tie "
            "here: it sinks the shaft",
            rises=RISES,
            sinks=SINKS,
        )
    return phrase("{rises}  the treadle raises the shaft: tie here. An empty square is not tied", rises=RISES)


def _rows(plan: WarpPlan, letters: Letters, weft: Weft, woven: Lifting, columns: list[int]) -> list[Data]:
    """The long form: a row for each pick. Yarns are named where the picks have several."""
    rows = []
    way, keys = through(plan), _keys(weft, woven.repeat) if len(set(weft.yarns)) > 1 else []
    lifts = [(np.flatnonzero(row) + 1).tolist() for row in woven.up]
    for at, up in enumerate(lifts):
        color = (
            {**letters.chip(plan, keys[at]), "new_color": keys[at] != keys[at - 1]}
            if keys
            else {"letter": "", "color": "", "new_color": False}
        )
        before = lifts[at - 1]
        rises, sinks = [s for s in up if s not in before], [s for s in before if s not in up]
        if woven.treadles is None or is_direct(plan):
            pressed = up if woven.treadles is None else woven.treadles[at]
            cells = [f"{shaft}" if shaft in pressed else "" for shaft in columns]
        else:
            cells = [f"{treadle}" if treadle in woven.treadles[at] else "" for treadle in columns]
        rows.append(
            {
                "pick": f"{at + 1}",
                **color,
                "cells": cells,
                "up": " ".join(map(str, up)) or phrase("none") if way is None else way.moves(frozenset(up)),
                "pressed": "" if woven.treadles is None else " ".join(map(str, woven.treadles[at])),
                "no_shed": not up,
                "change": ("" if way else _change(rises, sinks))
                if up
                else phrase("no shed: check the draft"),
            }
        )
    return rows


def _change(rises: list[int], sinks: list[int]) -> Phrase:
    if not rises and not sinks:
        return phrase("as before")
    told = []
    if rises:
        told.append(phrase("up {shafts}", shafts=listed(rises)))
    if sinks:
        told.append(phrase("down {shafts}", shafts=listed(sinks)))
    return joined(" · ", told)

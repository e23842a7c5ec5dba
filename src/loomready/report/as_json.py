"""A plan as the JSON document of the command line, and a remedy as the guild file would write it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from loomready import guildfile
from loomready.colors import hex_color
from loomready.loomside.steps import painting, second_told, sectional, tying_in
from loomready.loomside.steps.piece_steps import repeat_of
from loomready.model.guild import WarpOrder
from loomready.problems import Problem
from loomready.warp import rigid
from loomready.warp.bouts import runs
from loomready.warp.cutting import cuts_of
from loomready.warp.result import Bout, GuildPlan, WarpPlan
from loomready.warp.treadles import Treadles

Json = dict[str, Any]


def plan_as_json(plan: GuildPlan) -> Json:
    """All warps of a plan. Lengths in m, widths in mm, weights in g, setts per cm."""
    return {
        "warps": [warp_as_json(warp) for warp in plan.warps],
        "problems": [problem_as_json(problem, None) for problem in plan.problems],
    }


def warp_as_json(plan: WarpPlan) -> Json:
    """One warp.

    ``cuts_m``: the cutting lines along the cloth, tension off. ``ends_of_yarn``, where ends work as one: all
    of them; ``ends`` and the bouts' ends are then working ends, the ends of yarns and cones are ends of yarn.
    ``denting``, where it is crammed and spaced: [ends in the dent, how many dents running] between the
    floating selvedges; ``sley`` is then null.
    """
    sley, heddles = plan.sley, plan.heddles
    return {
        "key": plan.order.key,
        "ends": plan.web.ends,
        "heddle_ends": plan.web.heddle_ends,
        **({"ends_of_yarn": plan.web.every_end} if plan.web.is_doubled else {}),
        "width_in_reed_mm": plan.width_in_reed_mm,
        "finished_width_mm": plan.finished_width_mm,
        "threading": (plan.web.shaft + 1).tolist(),
        "warp_length_m": plan.warp_length_m,
        "picks": plan.picks,
        "pieces": pieces_as_json(plan),
        "cuts_m": [0.0, *(cut.to_m for cut in cuts_of(plan))],
        "sett_per_cm": plan.sett_per_cm,
        "yarns": [
            {
                "key": need.yarn.key,
                "warp_ends": need.warp_ends,
                "warp_m": need.warp_m,
                "weft_m": need.weft_m,
                "weight_g": need.weight_g,
                "on_shelf_m": need.on_shelf_m,
                "sure_m": need.sure_m,
                "enough": need.enough,
            }
            for need in plan.yarns
        ],
        "reed": None
        if sley is None
        else {
            "key": sley.reed.key,
            "dents_per_cm": sley.reed.dents_per_cm,
            "sley": None if sley.denting else list(sley.cycle),
            **({"denting": [list(run) for run in sley.denting]} if sley.denting else {}),
            "sett_per_cm": sley.sett_per_cm,
            "first_dent": sley.first_dent,
        },
        "heddles": {
            "needed": list(heddles.needed),
            "assignment": list(heddles.assignment),
            "moved": heddles.moved,
            "moves": [
                {"from": move.from_shaft, "to": move.to_shaft, "count": move.count} for move in heddles.moves
            ],
            "short": heddles.short,
            "least": {"assignment": list(heddles.least_assignment), "moved": heddles.least_moved},
        },
        "treadles": None if plan.treadles is None else treadles_as_json(plan, plan.treadles),
        "bouts": [
            {
                "number": bout.number,
                "first_end": second_told.ends_of(plan, bout)[0],
                "ends": bout.ends,
                **({} if plan.second is None else {"warp": 2 if bout.second else 1}),
                **_yarns_of(bout),
            }
            for bout in plan.bouts
            if tying_in.has_bouts(plan)
        ],
        **band_as_json(plan),
        **sections_as_json(plan),
        **second_as_json(plan),
        **tied_as_json(plan),
        **painted_as_json(plan),
        **sticks_as_json(plan),
        "problems": [problem_as_json(problem, plan.order) for problem in plan.problems],
    }


def _yarns_of(bout: Bout) -> Json:
    """The colors of a bout in their order, and what each cone gives."""
    return {
        "colors": [list(run) for run in bout.colors],
        "cones": [list(part) for part in bout.cones],
    }


def band_as_json(plan: WarpPlan) -> Json:
    """Of a band on an inkle loom, which is wound whole: its yarns, and its string heddles."""
    strings = rigid.string_heddles(plan)
    if strings is None:
        return {}
    return {
        "band": {
            "string_heddles": {"needed": strings.needed, "there": strings.there, "to_tie": strings.to_tie},
            **_yarns_of(plan.bouts[0]),
        }
    }


def second_as_json(plan: WarpPlan) -> Json:
    """The second warp: ``of_end``: for each end of the web the warp it is of, 1 or 2, as [warp, ends]."""
    second = plan.second
    if second is None:
        return {}
    return {
        "second_warp": {
            "yarns": list(plan.order.second_yarns or ()),
            "ends": second.ends,
            "warp_length_m": second.length_m,
            "needed_m": second.lengths.needed_m,
            "take_up": second.take_up,
            "tension": second.tension,
            "weighted": second.weighted,
            "of_end": [[1 + of_second, ends] for of_second, ends in runs(second.of_end.astype(np.int64))],
        }
    }


def sections_as_json(plan: WarpPlan) -> Json:
    """Of a warp wound in sections: how it lies on the beam, and each yarn's places on the rack."""
    sections, turned = plan.sections, sectional.turned(plan)
    if sections is None:
        return {}
    return {
        "sections": {
            "width_mm": sections.width_mm,
            "ends": list(sections.ends),
            "first": sections.first,
            "on_beam": sections.on_beam,
            "at_once": sections.at_once,
            "turns": None if turned is None else turned.turns,
            "rack": [
                {"yarn": each.yarn, "places": [list(part) for part in each.grouped], "spools": each.spools}
                for each in sectional.rack(plan)
            ],
        }
    }


def tied_as_json(plan: WarpPlan) -> Json:
    """Of a warp tied on to an old one: new end n meets old end n + shift; runs of ends as [first, last]."""
    tied = plan.tied
    if tied is None:
        return {}
    return {
        "tied": {
            "to": tied.old.order.key,
            "shift": tied.shift,
            "knots": tied.knots,
            "threading_stays": tied.threading_stays,
            "sley_stays": tying_in.sley_stays(plan),
            "other_shaft": [list(run) for run in tied.other_shaft],
            "alone": [list(run) for run in tied.alone],
            "left_over": [list(run) for run in tied.left_over],
            "old_waste_m": tied.old.lengths.waste_m,
            "waste_m": plan.lengths.waste_m,
        }
    }


def painted_as_json(plan: WarpPlan) -> Json:
    """Of a painted warp: its bands, from the knots at the front along the warp."""
    found = painting.stretches(plan)
    if not found:
        return {}
    return {
        "painted": [
            {
                "from_m": each.from_m,
                "to_m": each.to_m,
                "dye": each.dye,
                "color": None if each.color is None else hex_color(each.color),
                "item": each.piece,
                "copy": each.copy,
            }
            for each in found
        ]
    }


def sticks_as_json(plan: WarpPlan) -> Json:
    """Of a rigid heddle loom with pick-up sticks: the shaft that each of them raises, stick 1 first."""
    way = rigid.through(plan)
    return {} if way is None or not way.sticks else {"pick_up_sticks": list(way.sticks)}


def treadles_as_json(plan: WarpPlan, made: Treadles) -> Json:
    """The tie-up on the draft's shafts, and for each item of the order the treadles of its draft's picks;
    likewise for its hems, null where they weave as the item does.

    ``ties``: shafts that each treadle raises; ``sinks``, on a countermarche or counterbalance loom: those
    that it sinks. Two treadles at once raise the shafts that either raises, less those that either sinks.
    """
    listed = {
        name: [(np.flatnonzero(column) + 1).tolist() for column in ties.T]
        for name, ties in (("ties", made.rises), ("sinks", made.sinks))
        if name == "ties" or plan.loom.kind in ("countermarche", "counterbalance")
    }
    bodies, hems = (
        {
            piece.number: [list(pick) for pick in made.of(plan.weft_of(section).draft)]
            for piece in plan.pieces
            for section in piece.sections
            if section.part == part
        }
        for part in ("body", "hem")
    )
    numbers = range(1, len(plan.order.items) + 1)
    return listed | {
        "items": [bodies[number] for number in numbers],
        "hems": [hems.get(number) for number in numbers],
        "proved": made.proved,
        **({"direct": True} if made.direct else {}),
    }


def pieces_as_json(plan: WarpPlan) -> list[Json]:
    """What is woven, piece by piece: lengths on the loom in m; ``repeat``, ``over``: of the draft's picks.

    ``weft_stripes``, where a section has them: [yarn, picks] as a continuous repeat from its pick 1.
    """
    made = []
    for piece in plan.pieces:
        sections = []
        for section in piece.sections:
            repeat, stripes = repeat_of(plan, section), section.weave.stripes
            sections.append(
                {
                    "part": section.part,
                    "draft": section.weave.draft,
                    "woven_m": section.woven_m,
                    "picks": section.picks,
                    **({"weft_strands": section.weave.strands} if section.weave.strands > 1 else {}),
                    "repeat": repeat,
                    "repeats": section.picks // repeat,
                    "over": section.picks % repeat,
                    **({"weft_stripes": [[each.yarn, each.picks] for each in stripes]} if stripes else {}),
                }
            )
        made.append(
            {
                "item": piece.number or None,
                "count": piece.count,
                "header_m": piece.header_m,
                "fringe_m": piece.fringe_m,
                "sections": sections,
            }
        )
    return made


def problem_as_json(problem: Problem, order: WarpOrder | None) -> Json:
    return {
        "code": problem.code,
        "level": problem.level,
        "message": problem.message,
        "remedies": [
            {"says": remedy.says, "change": {} if order is None else as_written(order, remedy.change)}
            for remedy in problem.remedies
        ],
    }


def as_written(order: WarpOrder, change: dict[str, Any]) -> Json:
    """Changed fields of an order as keys of its table in the guild file; None: the key goes away."""
    before = guildfile.encode_record("warps", order)
    after = guildfile.encode_record("warps", replace(order, **change))
    keys = [key for key in (*after, *before) if after.get(key) != before.get(key)]
    return {key: after.get(key) for key in dict.fromkeys(keys)}

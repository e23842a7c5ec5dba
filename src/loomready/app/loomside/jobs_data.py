"""The data of a warp's job pages for the browser: an opened page needs no network."""

from __future__ import annotations

from dataclasses import asdict
from functools import lru_cache
from typing import Any

import numpy as np
from django.utils.translation import get_language

from loomready.app.i18n.words import READERS, translated
from loomready.app.loomside import jobs_file, slips_data
from loomready.app.loomside.jobs_words import of_inkle, of_rigid_heddle, of_sections, words
from loomready.app.server import guild_id as identity
from loomready.app.state import facts
from loomready.app.state.snapshot import Entry, Planned, Snapshot
from loomready.cloth.color import ink_on
from loomready.cloth.strip import strip_svg
from loomready.colors import hex_color
from loomready.guildfile.kinds import AROUND_BEAM
from loomready.guildfile.values import Quantity
from loomready.loomside.board import choice
from loomready.loomside.log import warp_left
from loomready.loomside.log.plan_diff import plan_name
from loomready.loomside.steps import (
    beaming,
    cautions,
    make_ready,
    second_told,
    sleying,
    threading,
    tying,
    tying_in,
    weaving,
    winding,
)
from loomready.loomside.steps.words import stripes
from loomready.model import dressing_order
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.units import WIDTH_MM, Shown
from loomready.warp import rigid
from loomready.warp.across import places
from loomready.warp.result import WarpPlan

FORMAT = 1
STRIP_PX = (720, 72)
EDGE_ENDS = 8  # as many as are needed to see how a pick lies
Data = dict[str, Any]
# The measures of a loom's beam: its bare circumference, and the distance between sticks.
BEAM = {
    "around": AROUND_BEAM,
    "sticks": Quantity(WIDTH_MM, "5 mm", "10 m"),
}


def guild_id() -> str:
    """A guild's public id, so that a saved file can be matched without revealing the home's secret."""
    return identity.guild_id()


def beam_of(snapshot: Snapshot, loom: str) -> tuple[float | None, float | None]:
    """Around the bare beam and between sticks, mm, as somebody measured them."""
    entry = snapshot.entry("beam", loom)
    return snapshot.guild.loom(loom).beam_around_mm, None if entry is None else _sticks(entry)


def _sticks(entry: Entry) -> float | None:
    """None also where an earlier version accepted a measure out of range: the page shows its text."""
    try:
        return BEAM["sticks"].read(entry.fields["sticks"]) if entry.fields.get("sticks") else None
    except BadInput:
        return None


def page_text(snapshot: Snapshot, planned: Planned) -> str:
    """Everything for every job of one warp, as the page reads it.

    :raises BadInput: the warp has no plan
    """
    # Before the rest: a fact that comes while the rest is made is then after the last one here.
    made, last = facts.since_as_json(planned.order.key, 0)
    return jobs_file.as_text(page_data(snapshot, planned) | {"last": last}, made)


def page_data(snapshot: Snapshot, planned: Planned) -> Data:
    """What :func:`page_text` holds beside the facts.

    :raises BadInput: the warp has no plan
    """
    plan = planned.plan
    if plan is None:
        raise planned.error or BadInput(phrase("there is no plan to work by"))
    key = plan.order.key
    jobs = {}
    for name, steps in steps_of(plan, *beam_of(snapshot, plan.loom.key)).items():
        job = translated({part: value for part, value in steps.items() if part != "signs"})
        job |= facts.against_earlier(key, name, job["plan"], steps["signs"])
        if name == slips_data.NAME:
            more = slips_data.page_data(snapshot, plan)
            if not more:
                continue
            job |= more
        jobs[name] = job
    return {
        "format": FORMAT,
        "guild": {"id": guild_id(), "name": snapshot.guild.name},
        "warp": key,
        "loom": plan.loom.name,
        "kind": plan.loom.kind,
        "end_1": plan.guild.end_1,
        "us": plan.guild.units == "us",
        "ends": plan.web.ends,
        "lie": None if (lie := places(plan)) is None else lie.round(5).tolist(),
        "yarns": yarns_of(plan),
        "order": [name for name in dressing_order.jobs_in_order(plan.dressing, ()) if name in jobs],
        "jobs": jobs,
        "removed": facts.removed(key),
        "words": words()
        | (of_rigid_heddle() if plan.loom.is_rigid_heddle else {})
        | (of_sections(plan) if plan.sections is not None else {})
        | (of_inkle() if plan.loom.kind == "inkle" else {})
        | ({"no_cone": ""} if plan.order.wound or plan.order.off else {}),
    }


def contents_now(snapshot: Snapshot, planned: Planned) -> dict[tuple[str, str], list[str]]:
    """For each job and the name of its plan as it is now what each of its ends, turns or picks is."""
    if planned.plan is None:
        return {}
    jobs = steps_of(planned.plan, *beam_of(snapshot, planned.plan.loom.key))
    return {(name, job["plan"]): job["signs"] for name, job in jobs.items()}


@lru_cache(maxsize=24)  # half a megabyte each, more for a fine warp
def steps_of(plan: WarpPlan, around_mm: float | None, sticks_mm: float | None) -> dict[str, Data]:
    """Each job's steps; under "signs" what each of its ends, turns or picks is, under "plan" its name."""
    keys = plan.order.warp_yarns
    jobs: dict[str, Data] = {
        "winding": _winding(plan, keys) | {"signs": winding.signs(plan)},
        "threading": _threading(plan, keys) | {"signs": threading.signs(plan)},
        "beaming": _beaming(plan, around_mm, sticks_mm),
        "tying-in": _tying_in(plan, keys) | {"signs": tying_in.signs(plan)},
        "tying": {
            "units": plan.web.ends * tying.ROUNDS,
            "ends": plan.web.ends,
            "steps": [asdict(knot) for knot in tying.tying(plan)],
            "signs": tying.signs(plan),
        },
        **slips_data.steps(plan),
        "weaving": _weaving(plan) | {"signs": weaving.signs(plan)},
    }
    dents = sleying.sleying(plan)
    if dents and plan.sley and rigid.through(plan) is None:  # with a heddle this is threading
        jobs["sleying"] = {
            "units": plan.web.ends,
            "reed": plan.sley.reed.name,
            "dents": plan.sley.dents,
            "steps": [asdict(step) for step in dents],
            "signs": sleying.signs(plan),
        }
    for name in tying_in.left_out(plan):
        jobs.pop(name, None)
    for name, job in jobs.items():
        job["plan"] = plan_name(name, job["signs"])
        job["ready"] = make_ready.ready(plan, name)
        job["care"] = cautions.care(plan.loom, name, sectional=plan.sections is not None)
    return jobs


def strip(plan: WarpPlan) -> str:
    """The web strip, as wide as the page; done work and the current place are drawn over it."""
    return _strip(plan, get_language() or "")


@lru_cache(maxsize=64)
def _strip(plan: WarpPlan, language: str) -> str:
    colors = [plan.guild.yarn(key).color for key in plan.order.warp_yarns]
    ends = [colors[role] for role in plan.web.role.tolist()]
    return strip_svg(ends, *STRIP_PX, end_1=plan.guild.end_1, catalog=READERS, places=places(plan))


def yarns_of(plan: WarpPlan) -> Data:
    """Each yarn of the warp by its key: name, color, ink that shows on it, and a letter."""
    weft = (key for woven in plan.wefts for key in woven.yarns)
    made = {}
    for place, key in enumerate(dict.fromkeys((*plan.order.warp_yarns, *weft))):
        yarn = plan.guild.yarn(key)
        letter = chr(65 + place % 26) * (place // 26 + 1)
        made[key] = {
            "name": yarn.name,
            "color": hex_color(yarn.color),
            "ink": hex_color(ink_on(yarn.color)),
            "letter": letter,
        }
    return made


def _winding(plan: WarpPlan, keys: tuple[str, ...]) -> Data:
    steps = [
        asdict(turn)
        | {
            "runs": stripes([(keys[which], count) for which, count in turn.runs]),
            "cones": [(plan.guild.name_of_cone(cone), count) for cone, count in turn.cones],
            **({} if plan.second is None else _wound_of_two(plan, turn)),
        }
        for turn in winding.winding(plan)
    ]
    return {
        "units": plan.web.ends,
        "bouts": [[bout.first_end, bout.last_end] for bout in plan.bouts],
        **({} if plan.second is None else {"lie": _lie_of_two(plan)}),
        "steps": steps,
        "way": asdict(found) if tying_in.has_board(plan) and (found := choice.way(plan)) else None,
    }


def _lie_of_two(plan: WarpPlan) -> list[list[float]]:
    """Where each end of two warps lies in the web, in the order of winding: edges as shares of its width."""
    found, ends = places(plan), plan.web.ends
    each = np.column_stack([np.arange(ends), np.arange(1, ends + 1)]) / ends if found is None else found
    lie: list[list[float]] = each[plan.wound_order].round(5).tolist()
    return lie


def _wound_of_two(plan: WarpPlan, turn: winding.Turn) -> Data:
    """Of two warps, the one that the ends are of, and how long they are wound."""
    bout = plan.bouts[turn.bout - 1]
    length = Shown(plan.guild.units).length(second_told.length_of_bout(plan, bout))
    return {"warp": 2 if bout.second else 1, "length": length}


def _tying_in(plan: WarpPlan, keys: tuple[str, ...]) -> Data:
    steps = [
        asdict(knots) | {"runs": stripes([(keys[which], count) for which, count in knots.runs])}
        for knots in tying_in.tying_in(plan)
    ]
    return {"units": plan.web.ends, "steps": steps}


def _threading(plan: WarpPlan, keys: tuple[str, ...]) -> Data:
    job, way = threading.threading(plan), rigid.through(plan)
    return {
        "units": job.ends,
        "used": job.used,
        "named": {} if way is None else way.names(),
        "keys": keys,
        "groups": [
            {"place": group.place, "first": group.first + 1, "last": group.stop} for group in job.groups
        ],
        "steps": [asdict(part) for part in job.parts],
    }


def _beaming(plan: WarpPlan, around_mm: float | None, sticks_mm: float | None) -> Data:
    show = Shown(plan.guild.units)
    onto = beaming.beaming(plan, around_mm, sticks_mm)
    return {
        "units": len(onto.winds),
        "turns": onto.around_mm is not None,
        "around": show.width(onto.around_mm) if onto.around_mm else "",
        "length": show.length(plan.warp_length_m),
        "steps": [
            {
                "first": wind.number,
                "last": wind.number,
                "to": show.length(wind.to_m),
                "sticks": wind.sticks,
                **({} if plan.second is None else _of_two(plan, onto, wind)),
            }
            for wind in onto.winds
        ],
        "signs": beaming.signs(onto),
    }


def _of_two(plan: WarpPlan, onto: beaming.OnBeam, wind: beaming.Wind) -> Data:
    """Of two warps, the one that a step is of, and its number among the steps of that warp."""
    show, firsts = Shown(plan.guild.units), sum(not each.second for each in onto.winds)
    length_m = plan.second.length_m if plan.second is not None and wind.second else plan.warp_length_m
    return {
        "warp": 2 if wind.second else 1,
        "number": wind.number - firsts if wind.second else wind.number,
        "of": len(onto.winds) - firsts if wind.second else firsts,
        "length": show.length(length_m),
    }


def _edges(plan: WarpPlan) -> Data:
    """The heddled ends nearest to both edges, as (end, shaft), from which you can read how the last picks
    lie."""
    pairs = [(end, shaft) for end, shaft in enumerate(threading.shaft_of_end(plan).tolist(), 1) if shaft]
    return {"first": pairs[:EDGE_ENDS], "last": pairs[-EDGE_ENDS:]}


def _weaving(plan: WarpPlan) -> Data:
    job = weaving.weaving(plan)
    return {
        "units": job.picks,
        "shafts": job.shafts,
        "stretches": [asdict(stretch) for stretch in job.stretches],
        "pieces": [asdict(piece) for piece in job.pieces],
        "after": job.after,
        "edges": _edges(plan),
        "reach": {name: value for name, value in asdict(warp_left.figures(plan)).items() if name != "wefts"},
    }

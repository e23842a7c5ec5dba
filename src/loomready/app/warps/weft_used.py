"""How much weft a warp has taken by the time a cone is weighed, and which cones gave it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from loomready.app.progress.warp_progress import reported
from loomready.app.state import store
from loomready.app.state.snapshot import Planned, Snapshot
from loomready.warp.plan import weft_of_picks
from loomready.warp.result import WarpPlan
from loomready.yarn.dates_taken import comes_before, moment_of

Row = dict[str, Any]  # of woven_from, as the guild file says it


def at_weighing(snapshot: Snapshot, yarn: str, weighed: Any) -> list[store.Write]:
    """What to write with a weighing: to each warp on a loom that weaves with this yarn, the picks so far.

    The weighing includes their weft, so the plan must not ask for it again. What each cone gave since the
    last time is recorded with its moment: cones weighed earlier do not include it. Warps without newly
    reported picks are left as they are: their progress is unknown.

    :param weighed: when the cone was weighed, as its record says it
    """
    made: list[store.Write] = []
    for planned in snapshot.planned:
        plan, entry = planned.plan, snapshot.entry("warps", planned.order.key)
        if plan is None or entry is None or not _weaves_with(plan, yarn):
            continue
        moment = _before(weighed, plan.order.wound)
        if not moment:
            continue
        picks = reported(snapshot, planned, "weaving")[0]
        if picks <= (plan.order.woven_picks or 0):
            continue
        rows = [
            *_first_part(snapshot, plan),
            *_part(snapshot, plan, plan.order.woven_picks or 0, picks, moment),
        ]
        more = {"woven_picks": picks, "woven_at": moment}
        there = entry.fields.get("woven_from", [])
        if rows:
            more["woven_from"] = [*there, *rows]
        made.append(("warps", entry.key, entry.fields | more, entry.version))
    return made


def rest_of_weft(snapshot: Snapshot, planned: Planned | None) -> list[Row]:
    """What each cone gives of the weft still to be woven, by the plan of now."""
    if planned is None or planned.plan is None:
        return []
    return _rows(_rest(snapshot, planned.plan), "")


@dataclass(frozen=True, slots=True)
class CutEarly:
    """Fewer ``picks`` are reported than the cut-off cloth has by its plan. ``fields``: to write if so."""

    picks: int
    of: int
    fields: Row


def cut_early(snapshot: Snapshot, planned: Planned | None) -> CutEarly | None:
    """Whether a cloth may have been cut off early; None: all of its picks, or none, are reported.

    The cones then gave that much less, the last named first.
    """
    plan = planned.plan if planned is not None else None
    if planned is None or plan is None or plan.order.off is None or plan.order.cut_early:
        return None
    picks, before = reported(snapshot, planned, "weaving")[0], plan.order.woven_picks or 0
    if not 0 < picks < plan.picks or picks < before:
        return None
    fields = {
        "woven_picks": picks,
        "woven_at": plan.order.off.isoformat(),
        "woven_from": _until(snapshot, plan, before, picks, ""),
        "cut_early": True,
    }
    return CutEarly(picks, plan.picks, fields)


def on_the_loom_again(snapshot: Snapshot, planned: Planned | None) -> Row:
    """What to write of a cloth that is not cut off after all: the picks reported were woven by then."""
    plan = planned.plan if planned is not None else None
    if planned is None or plan is None or plan.order.off is None:
        return {}
    order, moment = plan.order, plan.order.off.isoformat()
    picks, before = min(reported(snapshot, planned, "weaving")[0], plan.picks), order.woven_picks or 0
    made: Row = {"woven_from": _until(snapshot, plan, before, max(picks, before), moment)}
    if picks > before:
        made |= {"woven_picks": picks, "woven_at": moment}
    return made


def _until(snapshot: Snapshot, plan: WarpPlan, before: int, picks: int, moment: str) -> list[Row]:
    """The rows until now, and of those until the cloth was cut off what was used for so many picks."""
    parts = {key: meters for key, meters in _woven(snapshot, plan, before, picks).items() if meters > 0}
    yarn_of = {cone.key: cone.yarn for cone in snapshot.guild.cones}
    kept: list[Row] = []
    for each in plan.order.woven_from:
        if each.at is not None:
            kept.append({"cone": each.cone, "length": _length(each.length_m), "at": each.at.isoformat()})
            continue
        yarn = yarn_of.get(each.cone, "")
        gave = min(each.length_m, parts.get(yarn, 0.0))
        if gave > 0:
            parts[yarn] -= gave
            at = {"at": moment} if moment else {}
            kept.append({"cone": each.cone, "length": _length(gave), **at})
    return kept


def _weaves_with(plan: WarpPlan, yarn: str) -> bool:
    if plan.order.wound is None or plan.order.off is not None:
        return False
    return any(need.yarn.key == yarn and need.weft_m for need in plan.yarns)


def _before(weighed: Any, wound: date | None) -> str:
    """A moment just before a weighing, as a record keeps it; "" for one without a time or before winding."""
    try:
        made = datetime.fromisoformat(str(weighed))
    except ValueError:
        return ""
    if "T" not in str(weighed) or wound is None or comes_before(made, wound):
        return ""
    moment = made - timedelta(microseconds=1)
    return (wound if comes_before(moment, wound) else moment).isoformat()


def _woven(snapshot: Snapshot, plan: WarpPlan, first: int, last: int) -> dict[str, float]:
    """Meters of each yarn in the picks after ``first`` until ``last``."""
    until, before = (
        weft_of_picks(plan.order, snapshot.drafts, plan.width_in_reed_mm, picks) for picks in (last, first)
    )
    return {key: meters - before.get(key, 0.0) for key, meters in until.items()}


def _rest(snapshot: Snapshot, plan: WarpPlan) -> dict[str, dict[str, float]]:
    """For each yarn what each cone gives of the weft still to be woven."""
    gone = snapshot.now.gone.get(plan.order.key, {})
    made: dict[str, dict[str, float]] = defaultdict(dict)
    for need in plan.yarns:
        taken = {use.cone: use.weft_m for use in gone[need.yarn.key].uses} if need.yarn.key in gone else {}
        for use in need.uses:
            if (rest_m := use.weft_m - taken.get(use.cone, 0.0)) > 0:
                made[need.yarn.key][use.cone] = rest_m
    return made


def _part(snapshot: Snapshot, plan: WarpPlan, first: int, last: int, moment: str) -> list[Row]:
    """What each cone gave for the picks after ``first`` until ``last``: one after another is used up."""
    woven, rest = _woven(snapshot, plan, first, last), _rest(snapshot, plan)
    gave: dict[str, dict[str, float]] = defaultdict(dict)
    for yarn, meters in woven.items():
        in_use = _in_use(snapshot, plan, yarn)
        others = {cone: there for cone, there in rest.get(yarn, {}).items() if cone not in in_use}
        for cone, there_m in (in_use | others).items():
            part = min(meters, there_m)
            if part > 0:
                gave[yarn][cone] = part
                meters -= part
        if meters > 0 and gave[yarn]:  # the plan was short of it, and it is woven anyway
            last_cone = list(gave[yarn])[-1]
            gave[yarn][last_cone] += meters
    return _rows(gave, moment)


def _in_use(snapshot: Snapshot, plan: WarpPlan, yarn: str) -> dict[str, float]:
    """The cones that gave the last weft of a yarn, and what is on them: they are used up first."""
    cones = {cone.key: cone for cone in snapshot.guild.cones if cone.yarn == yarn}
    rows = [each for each in plan.order.woven_from if each.cone in cones and each.at is not None]
    last = max((each.at for each in rows if each.at), key=moment_of, default=None)
    found = snapshot.guild.yarn(yarn)
    return {
        each.cone: snapshot.now.expected_m((cones[each.cone],), found) for each in rows if each.at == last
    }


def _first_part(snapshot: Snapshot, plan: WarpPlan) -> list[Row]:
    """What was woven by a count that no cones were written down with, as the plan takes it off."""
    order = plan.order
    if not order.woven_picks or order.woven_at is None or any(each.at for each in order.woven_from):
        return []
    gone = snapshot.now.gone.get(order.key, {})
    gave = {
        key: {use.cone: use.weft_m for use in given.uses if use.weft_m > 0} for key, given in gone.items()
    }
    return _rows(gave, order.woven_at.isoformat())


def _rows(gave: dict[str, dict[str, float]], moment: str) -> list[Row]:
    at = {"at": moment} if moment else {}
    return [
        {"cone": cone, "length": _length(meters), **at}
        for cones in gave.values()
        for cone, meters in cones.items()
    ]


def _length(meters: float) -> str:
    return f"{meters:.2f} m"

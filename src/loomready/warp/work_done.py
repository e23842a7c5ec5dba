"""A changed plan compared with what is already done: what would not match the warp on the loom."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

import numpy as np

from loomready.model.dressing_order import Part, fixed_by
from loomready.units import Shown
from loomready.warp.result import Sley, WarpPlan


@dataclass(frozen=True, slots=True)
class Differs:
    """One thing that is done, and what the changed plan needs instead.

    ``key`` names it: ends, yarns, order, length, second, bouts, loom, side, threading, shafts, shaft_1, sley,
    dent, dressing. ``part``: the part of the warp it belongs to, as the jobs in
    loomready.model.dressing_order fix it.
    """

    key: str
    part: Part
    done: str
    wanted: str


def differences(done: WarpPlan, wanted: WarpPlan, jobs: Collection[str]) -> tuple[Differs, ...]:
    """How the changed plan contradicts a warp in progress; the weft may change.

    :param jobs: the names of the jobs that are begun or done
    """
    if done.sections is not None and "winding" in jobs:
        jobs = {*jobs, "beaming"}
    if done.loom.kind == "inkle" and "winding" in jobs:
        jobs = {*jobs, "threading"}
    fixed = fixed_by(jobs)
    return tuple(
        differs for part, compare in _COMPARE.items() if part in fixed for differs in compare(done, wanted)
    )


def _wound(done: WarpPlan, wanted: WarpPlan) -> list[Differs]:
    show = Shown(done.guild.units)
    found = []
    if (done.web.as_one.size, done.web.every_end) != (wanted.web.as_one.size, wanted.web.every_end):
        found.append(Differs("ends", "warp", _ends(done), _ends(wanted)))
    yarns = [_yarns(plan) for plan in (done, wanted)]
    if yarns[0].keys() != yarns[1].keys():
        found.append(Differs("yarns", "warp", ", ".join(yarns[0].values()), ", ".join(yarns[1].values())))
    elif done.web.ends == wanted.web.ends:
        changed = int((_in_order(done) != _in_order(wanted)).sum())
        if changed:
            found.append(Differs("order", "warp", "0", f"{changed:,}"))
    lengths = [show.length(plan.warp_length_m) for plan in (done, wanted)]
    if lengths[0] != lengths[1]:
        found.append(Differs("length", "warp", *lengths))
    seconds = [_second(plan) for plan in (done, wanted)]
    if seconds[0] != seconds[1]:
        found.append(Differs("second", "warp", *seconds))
    bouts = [[bout.ends for bout in plan.bouts] for plan in (done, wanted)]
    if done.web.ends == wanted.web.ends and bouts[0] != bouts[1]:
        found.append(Differs("bouts", "warp", *(" ".join(map(str, each)) for each in bouts)))
    return found


def _second(plan: WarpPlan) -> str:
    """The second warp's ends and length."""
    if plan.second is None:
        return "–"
    return f"{plan.second.ends:,} × {Shown(plan.guild.units).length(plan.second.length_m)}"


def _ends(plan: WarpPlan) -> str:
    more = f" ({plan.web.every_end:,} of yarn)" if plan.web.is_doubled else ""
    return f"{plan.web.ends:,}{more}"


def _yarns(plan: WarpPlan) -> dict[str, str]:
    """The names of the yarns used for ends, by their keys."""
    used = [plan.order.warp_yarns[role] for role in np.unique(plan.web.role).tolist()]
    return {key: plan.guild.yarn(key).name for key in sorted(used)}


def _in_order(plan: WarpPlan) -> np.ndarray[tuple[int, ...], np.dtype[np.str_]]:
    return np.array(plan.order.warp_yarns, dtype=np.str_)[plan.web.role]


def _on_loom(done: WarpPlan, wanted: WarpPlan) -> list[Differs]:
    found = []
    if done.loom.key != wanted.loom.key:
        found.append(Differs("loom", "loom", done.loom.name, wanted.loom.name))
    if done.guild.end_1 != wanted.guild.end_1:
        found.append(Differs("side", "loom", done.guild.end_1, wanted.guild.end_1))
    return found


def _threaded(done: WarpPlan, wanted: WarpPlan) -> list[Differs]:
    found = []
    same_ends = done.web.ends == wanted.web.ends
    if same_ends and not np.array_equal(done.web.shaft, wanted.web.shaft):
        changed = int((done.web.shaft != wanted.web.shaft).sum())
        found.append(Differs("threading", "threading", "0", f"{changed:,}"))
    hung = [
        " ".join(str(shaft) for shaft in plan.heddles.assignment if shaft is not None)
        for plan in (done, wanted)
    ]
    if same_ends and hung[0] != hung[1]:
        found.append(Differs("shafts", "threading", *hung))
    if done.guild.shaft_1 != wanted.guild.shaft_1:
        found.append(Differs("shaft_1", "threading", done.guild.shaft_1, wanted.guild.shaft_1))
    return found


def _sleyed(done: WarpPlan, wanted: WarpPlan) -> list[Differs]:
    """The reed with its ends per dent; where these stay, the dent of the first end."""
    sleys = [
        f"{plan.sley.reed.name}, {Shown(done.guild.units).dents(plan.sley.reed.dents_per_cm)}: "
        f"{_per_dent(plan.sley)}"
        if plan.sley
        else "–"
        for plan in (done, wanted)
    ]
    if sleys[0] != sleys[1]:
        return [Differs("sley", "sley", *sleys)]
    dents = [f"{plan.sley.first_dent:,}" if plan.sley else "–" for plan in (done, wanted)]
    return [Differs("dent", "sley", *dents)] if dents[0] != dents[1] else []


def _per_dent(sley: Sley) -> str:
    """Ends per dent, of a crammed and spaced web dent for dent."""
    if sley.denting:
        return ", ".join(f"{dents} × {count}" for count, dents in sley.denting)
    return sley.told


def _ordered(done: WarpPlan, wanted: WarpPlan) -> list[Differs]:
    orders = (done.dressing, wanted.dressing)
    return [Differs("dressing", "order", *orders)] if orders[0] != orders[1] else []


_COMPARE: Mapping[Part, Callable[[WarpPlan, WarpPlan], list[Differs]]] = {
    "warp": _wound,
    "loom": _on_loom,
    "threading": _threaded,
    "sley": _sleyed,
    "order": _ordered,
}

"""What hands have done already, held against a changed plan: what would not be as it is on the loom."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loomready.units import Shown
from loomready.warp.result import WarpPlan

STAGES = ("wound", "sleyed", "threaded")


@dataclass(frozen=True, slots=True)
class Differs:
    """One thing that is done, and what the changed plan would want instead.

    ``key`` names it: ends, yarns, order, length, bouts, sley, loom, threading, shafts.
    """

    key: str
    stage: str
    done: str
    wanted: str


def differences(done: WarpPlan, wanted: WarpPlan, stage: str) -> tuple[Differs, ...]:
    """What of the warp as it was dressed up to ``stage`` the wanted plan contradicts; the weft is free.

    Winding fixes the ends, their yarns in order, the length and the bouts; sleying the reed with its dents;
    threading the loom, the shaft of each end and the loom's shafts they hang on.

    :param stage: one of ``STAGES``, the last that is done
    """
    found = _wound(done, wanted)
    if STAGES.index(stage) >= 1:
        found += _sleyed(done, wanted)
    if STAGES.index(stage) >= 2:
        found += _threaded(done, wanted)
    return tuple(found)


def _wound(done: WarpPlan, wanted: WarpPlan) -> list[Differs]:
    show = Shown(done.guild.units)
    found = []
    if done.web.ends != wanted.web.ends:
        found.append(Differs("ends", "wound", f"{done.web.ends:,}", f"{wanted.web.ends:,}"))
    yarns = [_yarns(plan) for plan in (done, wanted)]
    if yarns[0].keys() != yarns[1].keys():
        found.append(Differs("yarns", "wound", ", ".join(yarns[0].values()), ", ".join(yarns[1].values())))
    elif done.web.ends == wanted.web.ends:
        changed = int((_in_order(done) != _in_order(wanted)).sum())
        if changed:
            found.append(Differs("order", "wound", "0", f"{changed:,}"))
    lengths = [show.length(plan.warp_length_m) for plan in (done, wanted)]
    if lengths[0] != lengths[1]:
        found.append(Differs("length", "wound", *lengths))
    bouts = [[bout.ends for bout in plan.bouts] for plan in (done, wanted)]
    if done.web.ends == wanted.web.ends and bouts[0] != bouts[1]:
        found.append(Differs("bouts", "wound", *(" ".join(map(str, each)) for each in bouts)))
    return found


def _yarns(plan: WarpPlan) -> dict[str, str]:
    """The yarns that ends are of: their names by their keys."""
    used = [plan.order.warp_yarns[role] for role in np.unique(plan.web.role).tolist()]
    return {key: plan.guild.yarn(key).name for key in sorted(used)}


def _in_order(plan: WarpPlan) -> np.ndarray[tuple[int, ...], np.dtype[np.str_]]:
    return np.array(plan.order.warp_yarns, dtype=np.str_)[plan.web.role]


def _sleyed(done: WarpPlan, wanted: WarpPlan) -> list[Differs]:
    sleys = [
        (plan.sley.reed.key, "-".join(map(str, plan.sley.cycle))) if plan.sley else ("–", "–")
        for plan in (done, wanted)
    ]
    if sleys[0] == sleys[1]:
        return []
    return [Differs("sley", "sleyed", *(f"{reed}: {cycle}" for reed, cycle in sleys))]


def _threaded(done: WarpPlan, wanted: WarpPlan) -> list[Differs]:
    found = []
    if done.loom.key != wanted.loom.key:
        found.append(Differs("loom", "threaded", done.loom.name, wanted.loom.name))
    same_ends = done.web.ends == wanted.web.ends
    if same_ends and not np.array_equal(done.web.shaft, wanted.web.shaft):
        changed = int((done.web.shaft != wanted.web.shaft).sum())
        found.append(Differs("threading", "threaded", "0", f"{changed:,}"))
    hung = [
        " ".join(str(shaft) for shaft in plan.heddles.assignment if shaft is not None)
        for plan in (done, wanted)
    ]
    if same_ends and hung[0] != hung[1]:
        found.append(Differs("shafts", "threaded", *hung))
    return found

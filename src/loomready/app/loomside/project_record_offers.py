"""What was learned, offered to the next plan: each offer changes a field of a warp, a loom or a yarn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.loomside.project_record import about, results
from loomready.app.state.snapshot import Entry, Snapshot
from loomready.loomside.learning import finished_warps
from loomready.loomside.learning.estimate import NORMAL_95, Estimate
from loomready.model.guild import Yarn
from loomready.units import GRIST_M_PER_G, LENGTH_M, SHARE, near
from loomready.warp.result import WarpPlan

SHARES: dict[str, Any] = {
    "take_up": gettext_lazy("take-up"),
    "draw_in": gettext_lazy("draw-in"),
    "shrink_length": gettext_lazy("shrinkage in length"),
    "shrink_width": gettext_lazy("shrinkage in width"),
    "weft_take_up": gettext_lazy("weft take-up"),
}
# How a yarn's size may be given otherwise; a yarn's table has just one of these.
_SIZES = ("count", "grist", "tex", "measured", "wraps")


@dataclass(frozen=True, slots=True)
class LearnedFigure:
    """A learned figure. ``kind``, ``key``, ``change``: what its button writes; ``now``: the current value."""

    name: str
    label: str
    value: str
    give: str
    now: str
    warps: tuple[str, ...]
    kind: str
    key: str
    change: dict[str, Any]


def offers(snapshot: Snapshot, plan: WarpPlan) -> list[LearnedFigure]:
    """What other warps teach about this one, where it differs from its plan; nothing once it is wound."""
    if plan.order.wound is not None:
        return []
    return [offer for offer in _all(snapshot, plan) if offer.now != offer.value]


def of_warp(snapshot: Snapshot, key: str) -> list[LearnedFigure]:
    """The offers for a warp of the guild; none where it has no plan."""
    planned = snapshot.plan_of(key)
    return offers(snapshot, planned.plan) if planned is not None and planned.plan is not None else []


def offer_named(snapshot: Snapshot, plan: WarpPlan, name: str) -> LearnedFigure | None:
    return next((offer for offer in offers(snapshot, plan) if offer.name == name), None)


def changed(entry: Entry, offer: LearnedFigure) -> dict[str, Any]:
    """The record's table with the offer applied; None in ``change`` removes a key."""
    made = dict(entry.fields) | offer.change
    return {name: value for name, value in made.items() if value is not None}


def _all(snapshot: Snapshot, plan: WarpPlan) -> Iterator[LearnedFigure]:
    order = plan.order
    known = [result for result in results(snapshot) if result.warp != order.key]
    for name, label in SHARES.items():
        found = finished_warps.share(name, about(plan), known)
        if found.count:
            value = _percent(max(0.0, found.mean))
            now = _percent(getattr(order, name))
            yield LearnedFigure(
                name,
                str(label),
                value,
                _percent(found.give),
                now,
                found.warps,
                "warps",
                order.key,
                {name: value},
            )
    yield from _waste(snapshot, plan, known)
    for need in plan.yarns:
        yield from _grist(snapshot, need.yarn, known)


def _percent(share: float) -> str:
    return near(share, SHARE, "%", 1)


def _waste(
    snapshot: Snapshot, plan: WarpPlan, known: list[finished_warps.ProjectRecord]
) -> Iterator[LearnedFigure]:
    found = finished_warps.waste(plan.loom.key, plan.loom.waste_m, known)
    if found.count:
        unit, digits = ("in", 0) if snapshot.show.us else ("cm", 0)
        value, now = (near(each, LENGTH_M, unit, digits) for each in (found.mean, plan.loom.waste_m))
        label = _("loom waste of %(loom)s") % {"loom": plan.loom.name}
        give = near(found.give, LENGTH_M, unit, digits)
        yield LearnedFigure(
            "waste", label, value, give, now, found.warps, "looms", plan.loom.key, {"waste": _plain(value)}
        )


def _grist(
    snapshot: Snapshot, yarn: Yarn, known: list[finished_warps.ProjectRecord]
) -> Iterator[LearnedFigure]:
    found = finished_warps.grist(yarn.key, yarn.grist_m_per_g, yarn.tolerance, known)
    if found.count:
        value, now = snapshot.show.grist(found.mean), snapshot.show.grist(yarn.grist_m_per_g)
        change: dict[str, Any] = dict.fromkeys(_SIZES)
        change |= {"grist": _plain(value), "tolerance": _percent(NORMAL_95 * found.sd)}
        label = _("grist of %(yarn)s") % {"yarn": yarn.name}
        yield LearnedFigure(
            f"grist {yarn.key}",
            label,
            value,
            _grist_give(snapshot, found),
            now,
            found.warps,
            "yarns",
            yarn.key,
            change,
        )


def _grist_give(snapshot: Snapshot, found: Estimate) -> str:
    return near(found.give, GRIST_M_PER_G, "yd/lb" if snapshot.show.us else "m/kg", 0)


def _plain(text: str) -> str:
    """A shown quantity as the guild file takes it: no comma inside a number."""
    return text.replace(",", "")

"""The results of a warp's measurements, beside the plan and the estimate for the next warp."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready import units
from loomready.app.cones import weighing_mistakes
from loomready.app.loomside.project_record import results
from loomready.app.loomside.project_record_form import WORKED
from loomready.app.loomside.project_record_offers import SHARES
from loomready.app.state.snapshot import Snapshot
from loomready.loomside.learning import finished_warps
from loomready.loomside.learning.estimate import Estimate
from loomready.loomside.learning.finished_warps import About, ProjectRecord, believable, measured
from loomready.units import GRIST_M_PER_G, LENGTH_M, SHARE, Shown, near

_MORE: dict[str, Any] = {
    "waste": gettext_lazy("loom waste"),
    "relax_length": gettext_lazy("shorter off the loom"),
    "relax_width": gettext_lazy("narrower off the loom"),
}


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure. ``odd``: too far off to learn from; ``next``: the estimate for the next such warp."""

    label: str
    value: str
    odd: bool
    next: str
    warps: tuple[str, ...]


def figures(snapshot: Snapshot, result: ProjectRecord) -> list[Figure]:
    """Every figure that this warp's measurements give."""
    return list(_figures(snapshot, result))


def _figures(snapshot: Snapshot, result: ProjectRecord) -> Iterator[Figure]:
    known = results(snapshot)
    like = About(result.loom, result.structure, result.warp_yarns, result.weft_yarns)
    for name, (value, _sd) in measured(result).items():
        found = _learned(snapshot, name, like, known)
        yield Figure(
            label=_label(snapshot, name),
            value=_shown(snapshot.show, name, value),
            odd=not believable(name, value, result),
            next="" if found is None else _band(snapshot.show, name, found),
            warps=() if found is None else found.warps,
        )


def _learned(snapshot: Snapshot, name: str, like: About, known: list[ProjectRecord]) -> Estimate | None:
    kind, _space, what = name.partition(" ")
    if name in SHARES:
        return finished_warps.share(name, like, known)
    loom = next((each for each in snapshot.guild.looms if each.key == like.loom), None)
    yarn = next((each for each in snapshot.guild.yarns if each.key == what), None)
    if kind == "rate":
        return finished_warps.rate(what, like.loom, known)
    if kind == "waste" and loom is not None:
        return finished_warps.waste(loom.key, loom.waste_m, known)
    if kind == "grist" and yarn is not None:
        return finished_warps.grist(yarn.key, yarn.grist_m_per_g, yarn.tolerance, known)
    return None


def _label(snapshot: Snapshot, name: str) -> str:
    kind, _space, what = name.partition(" ")
    if kind == "rate":
        unit = _("picks an hour") if what == "weaving" else _("ends an hour")
        return f"{WORKED[what]}, {unit}"
    if kind == "grist":
        names = {yarn.key: yarn.name for yarn in snapshot.guild.yarns}
        return _("grist of %(yarn)s") % {"yarn": names.get(what, what)}
    return str(SHARES.get(name) or _MORE[name])


def _shown(show: Shown, name: str, value: float) -> str:
    kind = name.partition(" ")[0]
    if kind == "rate":
        return f"{value:,.0f}"
    if kind == "waste":
        return show.piece(value)
    if kind == "grist":
        return show.grist(value)
    return near(value, SHARE, "%", 1)


def _band(show: Shown, name: str, found: Estimate) -> str:
    kind = name.partition(" ")[0]
    if kind == "rate":
        return f"{found.mean:,.0f} ± {found.give:,.0f}"
    if kind == "waste":
        unit = "in" if show.us else "cm"
        return f"{near(found.mean, LENGTH_M, unit, 0)} ± {near(found.give, LENGTH_M, unit, 0)}"
    if kind == "grist":
        unit = "yd/lb" if show.us else "m/kg"
        return f"{show.grist(found.mean)} ± {near(found.give, GRIST_M_PER_G, unit, 0)}"
    return f"{near(found.mean, SHARE, '%', 1)} ± {near(found.give, SHARE, '%', 1)}"


def lost(snapshot: Snapshot, yarns: list[str]) -> list[str]:
    """By how much each cone of these yarns became lighter between its last two weighings."""
    told = []
    for cone in snapshot.guild.cones:
        kept = weighing_mistakes.counted(cone.key) if cone.yarn in yarns else []
        if len(kept) > 1:
            now, before = (units.read(each.gross, units.WEIGHT_G) for each in kept[:2])
            if now < before:
                words = {
                    "cone": snapshot.name("cones", cone.key),
                    "before": kept[1].gross,
                    "now": kept[0].gross,
                    "lost": snapshot.show.weight(before - now),
                }
                told.append(_("%(cone)s went from %(before)s to %(now)s: %(lost)s") % words)
    return told

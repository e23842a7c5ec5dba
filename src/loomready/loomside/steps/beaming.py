"""Beaming: turn by turn with what separates the layers, or from choke tie to choke tie."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from loomready.loomside.steps import beam_turns
from loomready.units import factor
from loomready.warp.result import WarpPlan
from loomready.yarn.diameter import diameter_mm

LARGEST_MM = 3000.0


@dataclass(frozen=True, slots=True)
class Wind:
    """One turn of the beam, or the stretch to a choke tie. ``to_m``: warp on the beam after it.

    ``second``: of the second warp, whose beam comes after the first.
    """

    number: int
    to_m: float
    sticks: int
    second: bool = False


@dataclass(frozen=True, slots=True)
class OnBeam:
    """``around_mm`` None: the beam was never measured, and the choke ties are counted instead of turns."""

    winds: tuple[Wind, ...]
    around_mm: float | None
    last_around_mm: float | None


def beaming(plan: WarpPlan, around_mm: float | None = None, stick_every_mm: float | None = None) -> OnBeam:
    """All that goes on the beam; the last piece, which hangs down to the heddles, is counted with it.

    :param around_mm: around the bare beam
    :param stick_every_mm: a warp stick after each so much warp; None: paper or cloth between all layers
    :raises BadInput: a beam or a spacing that is not valid
    """
    first = _onto(plan, plan.warp_length_m, around_mm, stick_every_mm)
    if plan.second is None or plan.second.weighted:
        return first
    # The second beam was not measured: its choke ties are counted.
    count = len(first.winds)
    onto = _onto(plan, plan.second.length_m, None, None)
    after = (replace(wind, number=count + wind.number, second=True) for wind in onto.winds)
    return replace(first, winds=(*first.winds, *after))


def _onto(plan: WarpPlan, length_m: float, around_mm: float | None, stick_every_mm: float | None) -> OnBeam:
    """One warp on its beam."""
    if around_mm is None:
        step_m = factor("m", "yard") if plan.guild.units == "us" else 1.0
        count = max(1, math.ceil(length_m / step_m - 1e-9))
        winds = tuple(Wind(at, min(length_m, at * step_m), 0) for at in range(1, count + 1))
        return OnBeam(winds, None, None)
    between = beam_turns.PAPER_MM if stick_every_mm is None else 0.0
    layer = beam_turns.layer_mm(plan.sett_per_cm * plan.order.ends_per_heddle, thickest_mm(plan), between)
    found = beam_turns.beaming(
        length_m, around_mm, layer, stick_every_mm=stick_every_mm, paper=stick_every_mm is None
    )
    sticks = found.sticks or (0,) * found.whole_turns
    made = zip(found.turn_ends_m, sticks, strict=True)
    return OnBeam(
        tuple(Wind(number, to_m, count) for number, (to_m, count) in enumerate(made, start=1)),
        around_mm,
        found.last_around_mm,
    )


def thickest_mm(plan: WarpPlan) -> float:
    """Diameter of the thickest warp yarn."""
    return max(diameter_mm(need.yarn.tex, need.yarn.woollen) for need in plan.yarns if need.warp_ends)


def signs(onto: OnBeam) -> list[str]:
    """The warp beamed after each turn."""
    return [f"second {wind.to_m:.2f}" if wind.second else f"{wind.to_m:.2f}" for wind in onto.winds]

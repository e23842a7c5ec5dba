"""A small invented guild for tests: one loom, one reed, two yarns, a plain draft. Change what matters."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from loomready.draft.draft import Draft, lift_plan
from loomready.model.guild import Cone, Guild, Item, Loom, Reed, WarpOrder, Yarn

FERN = Yarn(key="fern", name="Fern green", tex=120.0, fiber="cotton", color=(90, 130, 80))
CHALK = Yarn(key="chalk", name="Chalk", tex=120.0, fiber="cotton", color=(235, 232, 222))
LOOM = Loom(
    key="alder",
    name="Alder",
    kind="jack",
    shafts=4,
    treadles=6,
    weaving_width_mm=900,
    longest_reed_mm=1000,
    heddles=(150, 150, 150, 150),
    waste_m=0.7,
)
REED = Reed(key="forty", dents_per_cm=4.0, width_mm=1000)
PLAIN = lift_plan([1, 2], [[1], [2]])
TWILL = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])


def cone(key: str, yarn: Yarn = FERN, meters: float = 5000.0, **more: Any) -> Cone:
    """A cone that holds so many meters, weighed without any doubt unless told otherwise."""
    exact = {"tare_sd_g": 0.0, "scale_step_g": 0.0, "tare_g": 40.0, **more}
    return Cone(
        key=key,
        yarn=yarn.key,
        gross_g=exact["tare_g"] + meters * yarn.tex / 1000,
        **exact,
    )


def order(**more: Any) -> WarpOrder:
    """A 40 cm wide, 2 m long order in two yarns of one grist; everything else at its default."""
    plain = WarpOrder(
        key="test",
        loom="alder",
        draft="d",
        warp_yarns=("fern",),
        weft_yarns=("chalk",),
        finished_width_mm=400.0,
        items=(Item(finished_length_m=2.0),),
        picks_per_cm=8.0,
        sett_per_cm=8.0,
    )
    return replace(plain, **more)


def guild(*orders: WarpOrder, **more: Any) -> Guild:
    base = Guild(
        name="Test room",
        units="metric",
        yarns=(replace(FERN, tolerance=0.0), replace(CHALK, tolerance=0.0)),
        cones=(cone("fern-1"), cone("chalk-1", CHALK)),
        looms=(LOOM,),
        reeds=(REED,),
        warps=orders or (order(),),
    )
    return replace(base, **more)


def drafts(draft: Draft = TWILL) -> dict[str, Draft]:
    return {"d": draft}

"""Invented warps whose packets are read back: a narrow band, a wide curtain, a short shelf, odd names."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import replace

from loomready.draft.draft import Draft, lift_plan
from loomready.model.guild import Cone, Guild, Item, Loom, Reed, WarpOrder, Yarn
from loomready.packet.packet import packet_pdf
from loomready.warp.plan import plan_guild
from loomready.warp.result import GuildPlan, WarpPlan

TWILL = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], title="Straight twill")
RUST = Yarn("rust", "Rust cotton", tex=300, color=(150, 70, 40))
PALE = Yarn("pale", "Pale cotton", tex=300, color=(250, 248, 240))
BAND = Guild(
    name="Band room",
    units="us",
    yarns=(RUST, PALE),
    cones=(Cone("rust-1", "rust", 500, 40), Cone("pale-1", "pale", 500, 40)),
    looms=(Loom("small", "Small loom", "counterbalance", 4, 500, (10,) * 4, 0.5, 6),),
    reeds=(Reed("ten", 10 / 2.54, 500),),
    warps=(
        WarpOrder(
            "band",
            "small",
            "d",
            ("rust",),
            ("pale",),
            finished_width_mm=45,
            items=(Item(0.5, fringe_m=0.05),),
            picks_per_cm=4,
            sett_per_cm=10 / 2.54,
        ),
    ),
)


@functools.cache
def band() -> WarpPlan:
    """20 ends on 4 shafts, one color, US units."""
    return plan_guild(BAND, {"d": TWILL}).warps[0]


def waves() -> Draft:
    """A threading of 237 ends on 24 shafts that no shorter piece repeats, in three colors."""
    point = [*range(1, 25), *range(23, 1, -1)]
    climb = [((i // 8) * 2 + i % 8) % 24 + 1 for i in range(96)]
    threading = [*point, *climb, *climb[::-1]]
    up = (0, 1, 2, 5, 6, 9, 12, 13, 17)
    lifts = [[(pick + s) % 24 + 1 for s in up] for pick in range(24)]
    return lift_plan(
        threading,
        lifts,
        warp_colors=[(i // 6) % 3 for i in range(len(threading))],
        weft_colors=[3] * len(lifts),
        palette=((40, 60, 80), (190, 150, 60), (90, 110, 70), (240, 236, 225)),
    )


@functools.cache
def curtain() -> WarpPlan:
    """More than 2 000 ends on 24 shafts with selvedges and floating selvedges, metric, end 1 at the left."""
    names = {"slate": (61, 81, 102), "ochre": (199, 150, 60), "moss": (90, 110, 70), "chalk": (240, 236, 225)}
    guild = Guild(
        name="Weir guild",
        units="metric",
        end_1="left",
        shaft_1="back",
        yarns=tuple(Yarn(name, f"Cotton {name}", tex=60, color=color) for name, color in names.items()),
        cones=tuple(Cone(f"{name}-{i}", name, 740, 40) for name in names for i in (1, 2)),
        looms=(Loom("wide", "Wide table loom", "table", 24, 1200, (90,) * 24, 0.6),),
        reeds=(Reed("eighty", 8, 1200), Reed("fifty", 5, 1200)),
        warps=(
            WarpOrder(
                "curtain",
                "wide",
                "waves",
                ("slate", "ochre", "moss"),
                ("chalk",),
                finished_width_mm=730,
                items=(Item(1.2, 2, hem_m=0.03),),
                picks_per_cm=14,
                sett_per_cm=24,
                floating_selvedges=True,
                selvedge_ends=4,
                max_bout_ends=96,
            ),
        ),
    )
    return plan_guild(guild, {"waves": waves()}).warps[0]


@functools.cache
def printed(make: Callable[[], WarpPlan]) -> bytes:
    """The packet of a warp, printed once for all tests."""
    return packet_pdf(make())


def short() -> GuildPlan:
    """A band whose warp cone is nearly empty, and whose loom lacks heddles."""
    guild = replace(
        BAND,
        cones=(Cone("rust-1", "rust", 43, 40, tare_sd_g=0.1, scale_step_g=0.1), *BAND.cones[1:]),
        looms=(replace(BAND.looms[0], heddles=(2, 2, 2, 2)),),
    )
    return plan_guild(guild, {"d": TWILL})


def named(guild_name: str, yarn_name: str, title: str) -> WarpPlan:
    """The band with names from outside."""
    guild = replace(BAND, name=guild_name, yarns=(replace(RUST, name=yarn_name), PALE))
    return plan_guild(guild, {"d": replace(TWILL, title=title)}).warps[0]

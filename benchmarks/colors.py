"""All pairs and triples of 60 yarns, put in order as cloth of a 16-shaft draft and planned as offered."""

from __future__ import annotations

import colorsys
from dataclasses import replace
from pathlib import Path

from benchmarks.timing import Row, promise, together
from loomready import guildfile
from loomready.choose.colors.choices import Wishes, choose_colors
from loomready.draft.draft import Draft
from loomready.model.guild import Cone, Guild, Item, WarpOrder, Yarn
from loomready.warp.plan import plan_once
from loomready.warp.shelf import Shelf

DEMO = Path(__file__).parents[1] / "demo" / "guild.toml"
YARNS = 60
LIMIT_S = 3.0  # for the pairs and the triples together
PLANS = (
    300.0  # plans of one warp: 48 offers are planned whole, the choices themselves should cost little beside
)


def room() -> tuple[Guild, dict[str, Draft]]:
    """The demo's table loom with 60 yarns of one grist, and two warps for it: two and three colors."""
    loaded = guildfile.load(DEMO)
    order = next(each for each in loaded.guild.warps if each.key == "towels")
    yarns, cones = [], []
    for number in range(YARNS):
        shade = colorsys.hsv_to_rgb(number * 0.381966 % 1, 0.2 + number % 5 * 0.17, 0.35 + number % 7 * 0.1)
        red, green, blue = (round(255 * part) for part in shade)
        yarns.append(Yarn(f"y{number}", f"Cottolin {number}", 148.0, "cottolin", color=(red, green, blue)))
        cones.append(Cone(f"y{number}-1", f"y{number}", 700.0 + 5 * number, 40.0, lot="A"))
    plain = replace(order, warp_yarns=("y0",), weft_yarns=("y1",), items=(Item(0.66, 2),))
    three = replace(plain, key="three", items=(Item(0.66, 2), Item(0.66, 1, weft_yarns=("y2",))))
    warps: tuple[WarpOrder, ...] = (plain, three)
    made = replace(loaded.guild, yarns=tuple(yarns), cones=tuple(cones), warps=warps)
    return made, dict(loaded.drafts)


def run() -> list[Row]:
    guild, drafts = room()
    order = guild.warps[0]

    def both() -> int:
        wishes = Wishes(first=True)
        return sum(choose_colors(guild, drafts, key, wishes).possible for key in ("towels", "three"))

    assert both() == YARNS * (YARNS - 1) * (YARNS - 1)
    measured, planned = together(both, lambda: plan_once(order, guild, drafts, Shelf(guild)), 5)
    name = f"colors, pairs and triples of {YARNS} yarns"
    return [
        promise(name, measured, LIMIT_S),
        Row(name, measured, "a plan of one warp", planned, PLANS),
    ]

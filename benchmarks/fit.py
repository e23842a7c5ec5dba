"""How long the sizes of a warp take: every demo warp, with the earlier warps planned first."""

from __future__ import annotations

from pathlib import Path

from benchmarks.timing import Row, promise, together
from loomready import guildfile
from loomready.choose.size.size import fit
from loomready.warp.plan import plan_guild

DEMO = Path(__file__).parents[1] / "demo" / "guild.toml"
LIMIT_S = 0.2  # an answer within a blink
A_PLAN = 40.0  # and at most as long as so many plans of the guild up to that warp


def run() -> list[Row]:
    loaded = guildfile.load(DEMO)
    rows = []
    for order in loaded.guild.warps:
        measured, planned = together(
            lambda key=order.key: fit(loaded.guild, loaded.drafts, key),  # type: ignore[misc]
            lambda key=order.key: plan_guild(loaded.guild, loaded.drafts, until=key),  # type: ignore[misc]
            5,
        )
        rows.append(promise(f"fit, {order.key}", measured, LIMIT_S))
        rows.append(Row(f"fit, {order.key}", measured, "a plan up to that warp", planned, A_PLAN))
    return rows

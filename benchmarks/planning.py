"""How long the plan of a whole guild takes, remedies tried and all."""

from __future__ import annotations

from pathlib import Path

from benchmarks.timing import Row, median_of, promise
from loomready import guildfile
from loomready.warp import plan as planning

DEMO = Path(__file__).parents[1] / "demo"


def run() -> list[Row]:
    rows = []
    for name in ("guild.toml", "short.toml"):
        loaded = guildfile.load(DEMO / name)

        def plan_afresh(loaded: guildfile.Loaded = loaded) -> None:
            planning.analysis_of.cache_clear()
            planning.plan_guild(loaded.guild, loaded.drafts)

        seconds = median_of(plan_afresh)
        rows.append(promise(f"plan demo/{name}", seconds, 1.0))
    return rows

"""The example guild files of demo/warps: each by the name of its folder."""

from __future__ import annotations

import functools
from pathlib import Path

from loomready import guildfile
from loomready.warp.plan import plan_guild
from loomready.warp.result import GuildPlan

WARPS = Path(__file__).parents[2] / "demo" / "warps"


@functools.cache
def planned(name: str) -> GuildPlan:
    """The plan of an example as the command line makes it."""
    loaded = guildfile.load(WARPS / name / "guild.toml")
    return plan_guild(loaded.guild, loaded.drafts)

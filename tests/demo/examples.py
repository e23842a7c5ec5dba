"""The example guild files of demo/warps: each by the name of its folder."""

from __future__ import annotations

import functools
from pathlib import Path

from loomready import guildfile
from loomready.app.archive.guild_files import things_of
from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import forget_entries
from loomready.warp.plan import plan_guild
from loomready.warp.result import GuildPlan

WARPS = Path(__file__).parents[2] / "demo" / "warps"


@functools.cache
def planned(name: str) -> GuildPlan:
    """The plan of an example as the command line makes it."""
    loaded = guildfile.load(WARPS / name / "guild.toml")
    return plan_guild(loaded.guild, loaded.drafts)


def fill_home(name: str) -> None:
    """An example as the guild of the web app, in place of what is there."""
    folder = WARPS / name
    drafts = {f"drafts/{path.name}": path.read_bytes() for path in sorted((folder / "drafts").glob("*.wif"))}
    Record.objects.all().delete()
    forget_entries()
    store.load(things_of(guildfile.parse((folder / "guild.toml").read_bytes()), drafts), who="test")

"""The example guild files of demo/warps in the web app."""

from __future__ import annotations

from loomready import guildfile
from loomready.app.archive.guild_files import things_of
from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import forget_entries
from tests.demo.examples import WARPS


def fill_home(name: str) -> None:
    """An example as the guild of the web app, in place of what is there."""
    folder = WARPS / name
    drafts = {f"drafts/{path.name}": path.read_bytes() for path in sorted((folder / "drafts").glob("*.wif"))}
    Record.objects.all().delete()
    forget_entries()
    store.load(things_of(guildfile.parse((folder / "guild.toml").read_bytes()), drafts), who="test")

"""How a guild begins: with the demo, or empty."""

from __future__ import annotations

from pathlib import Path

import loomready
from loomready import guildfile
from loomready.app.archive.guild_files import things_of
from loomready.app.models import Record
from loomready.app.server import guild_id
from loomready.app.state import store
from loomready.phrases import phrase
from loomready.problems import BadInput

EMPTY = {"name": "Our guild", "units": "us"}


def begin_with(which: str) -> bool:
    """Fill an empty home; False if the home already has a guild, which is then left as it is."""
    if Record.objects.filter(kind="guild").exists():
        return False
    guild_id.forget()  # of a restore that was killed just before its end
    if which == "demo":
        store.load(demo(), who="the demo")
    else:
        store.load([("guild", "guild", dict(EMPTY))], who="first start")
    return True


def demo() -> list[tuple[str, str, dict[str, object]]]:
    """The demo guild: beside the package where it is installed, in the repository's demo folder else."""
    inside = Path(loomready.__file__).parent / "demo_guild"
    folder = inside if inside.is_dir() else Path(loomready.__file__).parents[2] / "demo"
    file = folder / "guild.toml"
    if not file.is_file():
        raise BadInput(phrase("the demo guild is not part of this installation; start with an empty one"))
    text = guildfile.parse(file.read_bytes())
    drafts = {f"drafts/{path.name}": path.read_bytes() for path in sorted((folder / "drafts").glob("*.wif"))}
    return things_of(text, drafts)

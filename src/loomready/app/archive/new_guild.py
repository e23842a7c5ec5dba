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

EMPTY: dict[str, object] = {"name": "Our guild", "units": "us"}
UNITS = ("us", "metric")


def begin_with(which: str, units: str = "") -> bool:
    """Fill an empty home; False if the home already has a guild, which is then left as it is.

    :param units: "us" or "metric"; "": US units
    """
    if Record.objects.filter(kind="guild").exists():
        return False
    guild_id.forget()  # of a restore that was killed just before its end
    own = {"units": units} if units in UNITS else {}
    if which == "demo":
        (kind, key, fields), *rest = demo()
        store.load([(kind, key, fields | own), *rest], who="the demo")
    else:
        store.load([("guild", "guild", EMPTY | own)], who="first start")
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

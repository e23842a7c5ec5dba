"""The model to the tree of a guild file. Silence stands for defaults; quantities read back exactly."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

from loomready.guildfile.records import nearest, write_record
from loomready.guildfile.schema import GUILD, SECTIONS
from loomready.guildfile.toml import Tree, dumps_tree
from loomready.guildfile.values import show
from loomready.model.guild import Guild
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.units import System


def encode(guild: Guild) -> Tree:
    """The tree of a guild: ``decode(encode(guild)) == guild``. Quantities are in the guild's units.

    A cone's key is always written, so that a cone keeps the key on its label when another one goes.
    """
    tree: Tree = {}
    settings = write_record(GUILD, guild, guild.units)
    if settings:
        tree["guild"] = settings
    for name, section in SECTIONS.items():
        if section is GUILD:
            continue
        held = getattr(guild, name)
        if section.many and held:
            tree[name] = [write_record(section, record, guild.units) for record in held]
        elif not section.many and held is not None and (table := write_record(section, held, guild.units)):
            tree[name] = table
    return tree


def encode_record(section: str, record: Any, system: System = "us") -> Tree:
    """The table of one record: what :func:`decode_record` reads back."""
    if section not in SECTIONS:
        raise BadInput(
            phrase(
                "{written} is not a section; {advice}",
                written=show(section),
                advice=nearest(section, SECTIONS),
            )
        )
    return write_record(SECTIONS[section], record, system)


def dumps(guild: Guild) -> str:
    """The guild as the text of a guild file."""
    return dumps_tree(encode(guild))


def apply(tree: Mapping[str, Any], warp_key: str, change: Mapping[str, Any]) -> Tree:
    """The tree with a remedy's change made to the ``[[warps]]`` table of that key; None takes a key out.

    The tree given stays as it is.

    :raises BadInput: no such warp
    """
    changed: Tree = copy.deepcopy(dict(tree))
    for table in changed.get("warps", []):
        if table.get("key") == warp_key:
            for name, value in change.items():
                if value is None:
                    table.pop(name, None)
                else:
                    table[name] = list(value) if isinstance(value, tuple) else value
            return changed
    raise BadInput(
        phrase("there is no warp {key}; expected the key of a warp of this file", key=show(warp_key))
    )

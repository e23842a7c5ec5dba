"""Yarns for a draft: as many as it has colors."""

from __future__ import annotations

from typing import Any

from loomready.app.state.snapshot import Snapshot
from loomready.draft.draft import Draft
from loomready.warp.width import roles_of


def colors(draft: Draft, side: str) -> int:
    """How many colors the warp or the weft of a draft has."""
    return int(roles_of(draft.warp_colors if side == "warp" else draft.weft_colors).max(initial=-1)) + 1


def fit(chosen: Any, wanted: int, snapshot: Snapshot) -> tuple[str, ...]:
    """So many yarns as the draft wants: those chosen, then the shelf's own in turn."""
    keys = list(chosen)[:wanted]
    shelf = [yarn.key for yarn in snapshot.guild.yarns]
    others = [key for key in shelf if key not in keys] or shelf
    while shelf and len(keys) < wanted:
        keys.append(others[(len(keys) - len(chosen)) % len(others)])
    return tuple(keys)

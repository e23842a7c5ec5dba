"""Yarns for a draft: as many as it has colors."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from loomready.app.state.snapshot import Snapshot
from loomready.draft.draft import Draft
from loomready.model.guild import Yarn
from loomready.warp.width import roles_of


def colors(draft: Draft, side: str) -> int:
    """How many colors the warp or the weft of a draft has."""
    return int(roles_of(draft.warp_colors if side == "warp" else draft.weft_colors).max(initial=-1)) + 1


def fit(chosen: Any, wanted: int, snapshot: Snapshot, beside: Sequence[str] = ()) -> tuple[str, ...]:
    """So many yarns as the draft wants: those chosen, then the shelf's own in turn.

    :param beside: yarns of the other side: others come first, those of the same size before all
    """
    keys = list(chosen)[:wanted]
    shelf = [yarn.key for yarn in _apart_from(beside, snapshot)]
    others = [key for key in shelf if key not in keys] or shelf
    while shelf and len(keys) < wanted:
        keys.append(others[(len(keys) - len(chosen)) % len(others)])
    return tuple(keys)


def _apart_from(beside: Sequence[str], snapshot: Snapshot) -> list[Yarn]:
    """The yarns of the shelf: first those unlike ``beside``, of one size with the first of these."""
    yarns = list(snapshot.guild.yarns)
    if not beside:
        return yarns
    like = snapshot.guild.yarn(beside[0])
    size = (like.fiber, like.count)
    return sorted(yarns, key=lambda yarn: (yarn.key in beside, (yarn.fiber, yarn.count) != size))

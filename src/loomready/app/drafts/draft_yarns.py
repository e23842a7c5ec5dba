"""The yarns of a warp when its draft changes: each color of the draft keeps the yarn that it had.

A warp names its yarns in the order in which the draft's colors first appear. When a draft gets a ground weft,
is turned or starts on another end, that order changes and the yarns follow their colors.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from loomready.app.forms import yarns_for_draft
from loomready.app.state.snapshot import Snapshot
from loomready.colors import RGB
from loomready.draft.draft import Draft

Role = tuple[int, RGB]  # a palette number, and its color
SIDES = ("warp", "weft")


def roles(draft: Draft, side: str) -> list[Role]:
    """The colors of a side in the order in which they first appear."""
    colors = draft.warp_colors if side == "warp" else draft.weft_colors
    numbers, first = np.unique(colors, return_index=True)
    return [(number, draft.palette[number]) for number in numbers[np.argsort(first)].tolist()]


def carried(
    snapshot: Snapshot,
    old: Draft | None,
    new: Draft,
    side: str,
    yarns: Mapping[str, Sequence[str]],
    ground: str = "",
) -> list[str]:
    """The yarns of one side for a new draft, from those of both sides for the old one.

    A color keeps the yarn that it had on this side, or else on the other one. What is left of this side's
    yarns, and then the shelf's, goes to the rest in turn.

    :param old: None: a different draft, whose colors are unrelated; the yarns keep their order
    :param ground: the yarn of a weft color that was not there before
    """
    wanted = roles(new, side)
    found: list[str | None] = [None] * len(wanted)
    left = list(yarns.get(side, ()))
    if old is not None:
        other = "weft" if side == "warp" else "warp"
        for at, known in ((side, True), (side, False), (other, False)):
            there = list(zip(roles(old, at), yarns.get(at, ()), strict=False))
            for place, (number, color) in enumerate(wanted):
                if found[place] is not None:
                    continue
                same = [
                    yarn
                    for (its, shade), yarn in there
                    if shade == color and (its == number or not known) and (at == other or yarn in left)
                ]
                if same:
                    found[place] = same[0]
                    if at == side:
                        left.remove(same[0])
    rest = [ground] if ground and side == "weft" else []
    rest += left
    mine = [yarn for yarn in found if yarn is not None]
    filled = iter(yarns_for_draft.fit((*mine, *rest), len(wanted), snapshot)[len(mine) :])
    return [next(filled) if yarn is None else yarn for yarn in found]

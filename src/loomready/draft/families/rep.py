"""Warp rep in blocks. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import planned, profile, shafts_at_hand, treadling
from loomready.draft.families.draft_making import DARK_COLOR, LIGHT_COLOR, by_sheds
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks
from loomready.phrases import phrase

THICK_MM, THIN_MM = 3.0, 0.6  # the thickness of the two wefts: our choice


def rep(profile: Blocks, treadling: Blocks | None, shafts: int | None) -> Draft:
    """Dark and light ends in turn, each block on two shafts; two wefts, thick and thin picks in turn.

    Under the warp that stands close, the thick pick shows what it lifts: dark in the blocks that make
    pattern, light in the others. The thin pick lifts the rest and ties it down.

    Where the pattern changes, two thin picks follow one another (common practice, no source): the first
    ends the old pattern, the second lifts what the first thick pick of the new one does not. Without it, a
    thick pick would lie in the shed of the thin pick before it in every block that changes.
    """
    plan, needed = planned(profile, treadling, shafts, lambda blocks: 2 * blocks)
    threading = [2 * block + side for block in plan.units for _ in range(2) for side in (0, 1)]
    every = frozenset(range(needed))
    shows = [
        frozenset(2 * block + (block not in unit) for block in range(plan.blocks)) for unit in plan.treadled
    ]
    sheds: list[frozenset[int]] = []
    is_thick: list[bool] = []
    for before, thick in zip([shows[-1], *shows], shows, strict=False):
        change = [every - thick] * (before != thick)
        sheds += [*change, *[thick, every - thick] * 2]
        is_thick += [*[False] * len(change), *[True, False] * 2]
    draft = by_sheds(
        threading,
        sheds,
        shafts=needed,
        title=phrase("Rep, {blocks} on {shafts} shafts", blocks=plan.name, shafts=needed),
        warp_colors=[DARK_COLOR, LIGHT_COLOR] * (len(threading) // 2),
        weft_colors=[DARK_COLOR if thick else LIGHT_COLOR for thick in is_thick],
    )
    return replace(draft, weft_thickness_mm=np.where(is_thick, THICK_MM, THIN_MM))


REP = Family(
    name="rep",
    title=phrase("Rep"),
    group=phrase("block weaves"),
    says=phrase("a close warp of two colors over a thick and a thin weft in turn: two shafts a block"),
    build=rep,
    own=(profile("AABB"), treadling(together=True), shafts_at_hand(2)),
    repeats=2,
)

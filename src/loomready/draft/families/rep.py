"""Warp rep in blocks. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import planned, profile, shafts_at_hand, treadling
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks
from loomready.draft.families.written import DARK_COLOR, LIGHT_COLOR, by_sheds


def rep(profile: Blocks, treadling: Blocks | None, shafts: int | None) -> Draft:
    """Dark and light ends in turn, each block on two shafts. The odd picks are thick, the even ones thin.

    Under the warp that stands close, the thick pick shows what it lifts: dark in the blocks that make
    pattern, light in the others. The thin pick lifts the rest and ties it down.
    """
    plan, needed = planned(profile, treadling, shafts, lambda blocks: 2 * blocks)
    threading = [2 * block + side for block in plan.units for _ in range(2) for side in (0, 1)]
    sheds = []
    for unit in plan.trodden:
        thick = frozenset(2 * block + (block not in unit) for block in range(plan.blocks))
        sheds += [thick, frozenset(range(needed)) - thick] * 2
    return by_sheds(
        threading,
        sheds,
        shafts=needed,
        title=f"Rep, {plan.name} on {needed} shafts",
        warp_colors=[DARK_COLOR, LIGHT_COLOR] * (len(threading) // 2),
        weft_colors=[DARK_COLOR] * len(sheds),
    )


REP = Family(
    name="rep",
    title="Rep",
    group="block weaves",
    says="a close warp of two colors over thick and thin picks: two shafts a block",
    build=rep,
    own=(profile("AABB"), treadling(together=True), shafts_at_hand(2)),
    repeats=2,
)

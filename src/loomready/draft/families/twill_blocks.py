"""Twill blocks. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import planned, profile, shafts_at_hand, treadling
from loomready.draft.families.draft_making import by_sheds
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks, WholeNumber
from loomready.phrases import phrase


def twill_blocks(profile: Blocks, treadling: Blocks | None, shafts: int | None, twill: int) -> Draft:
    """Each block a straight draw on shafts of its own: warp-faced where it makes pattern, else weft-faced.

    The warp-faced twill runs the other way, so that the blocks have clean edges: at every border opposites
    meet,
    and no float is longer than the twill's own.
    """
    plan, needed = planned(profile, treadling, shafts, lambda blocks: twill * blocks)
    threading = [twill * block + step for block in plan.units for step in range(twill)]
    sheds = []
    for unit in plan.treadled:
        for pick in range(twill):
            lifted: set[int] = set()
            for block in range(plan.blocks):
                own = range(twill * block, twill * (block + 1))
                lifted |= set(own) - {own[-1 - pick]} if block in unit else {own[pick]}
            sheds.append(frozenset(lifted))
    down = twill - 1
    title = phrase(
        "Twill blocks {ratio} and {other_ratio}, {blocks} on {shafts} shafts",
        ratio=f"{down}/1",
        other_ratio=f"1/{down}",
        blocks=plan.name,
        shafts=needed,
    )
    return by_sheds(threading, sheds, shafts=needed, title=title)


TWILL_BLOCKS = Family(
    name="twill-blocks",
    title=phrase("Twill blocks"),
    group=phrase("block weaves"),
    says=phrase("warp-faced twill against weft-faced twill, cut clean: the twill's shafts for each block"),
    build=twill_blocks,
    own=(
        profile("AABB"),
        treadling(together=True),
        shafts_at_hand(3),
        WholeNumber(
            name="twill",
            meaning=phrase("threads of the twill: 4 is 3/1 against 1/3"),
            default="4",
            lowest=3,
            highest=8,
        ),
    ),
)

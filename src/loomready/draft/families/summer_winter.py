"""Summer and winter. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import planned, profile, shafts_at_hand, treadling, with_tabby
from loomready.draft.families.draft_making import DARK_COLOR, LIGHT_COLOR, by_sheds
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks, WordChoice
from loomready.phrases import phrase

_TIES = {"alternate": (0, 1, 0, 1), "pairs": (0, 1, 1, 0)}


def summer_and_winter(profile: Blocks, treadling: Blocks | None, shafts: int | None, ties: str) -> Draft:
    """A is 1 3 2 3, B is 1 4 2 4: two tie-down shafts, and one for each block.

    A pattern pick lifts one tie-down and the blocks that make no pattern; before each goes a ground pick,
    both tie-downs and all blocks in turn. No float passes three.
    """
    plan, needed = planned(profile, treadling, shafts, lambda blocks: blocks + 2)
    blocks = frozenset(range(2, needed))
    threading = [shaft for block in plan.units for shaft in (0, 2 + block, 1, 2 + block)]
    pattern = [
        (blocks - {2 + block for block in unit}) | {tie} for unit in plan.treadled for tie in _TIES[ties]
    ]
    tabby = (frozenset({0, 1}), blocks)
    return by_sheds(
        threading,
        with_tabby(pattern, tabby),
        shafts=needed,
        title=phrase("Summer and winter, {blocks} on {shafts} shafts", blocks=plan.name, shafts=needed),
        first=tabby,
        warp_colors=[LIGHT_COLOR] * len(threading),
        weft_colors=[LIGHT_COLOR, DARK_COLOR] * len(pattern),
    )


SUMMER_AND_WINTER = Family(
    name="summer-and-winter",
    title=phrase("Summer and winter"),
    group=phrase("block weaves"),
    says=phrase(
        "pattern weft tied down by every fourth end, ground picks between: one shaft a block, and two"
    ),
    build=summer_and_winter,
    own=(
        profile("AABB"),
        treadling(together=True),
        shafts_at_hand(3),
        WordChoice(
            name="ties",
            meaning=phrase("the tie-downs one after the other, or each twice"),
            default="alternate",
            choices=tuple(_TIES),
        ),
    ),
)

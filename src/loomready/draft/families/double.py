"""Double weave blocks. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

from itertools import chain

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import planned, profile, shafts_at_hand, treadling
from loomready.draft.families.draft_making import DARK_COLOR, LIGHT_COLOR, by_sheds
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks
from loomready.phrases import phrase


def double_weave(profile: Blocks, treadling: Blocks | None, shafts: int | None) -> Draft:
    """A dark cloth and a light one, both plain, woven at once: four shafts a block, dark 1 3, light 2 4.

    The dark cloth lies on top in the blocks that make pattern, the light one in the others: while the weft
    of the lower cloth passes, the upper warp is lifted out of its way. Where the cloths change places they
    hold on to each other; where they never do, they are two layers.
    """
    plan, needed = planned(profile, treadling, shafts, lambda blocks: 4 * blocks)
    threading = [4 * block + shaft for block in plan.units for shaft in range(4)]
    sheds = [
        frozenset(chain.from_iterable(_lifted(block, pick, block in unit) for block in range(plan.blocks)))
        for unit in plan.treadled
        for pick in range(4)
    ]
    return by_sheds(
        threading,
        sheds,
        shafts=needed,
        title=phrase("Double weave, {blocks} on {shafts} shafts", blocks=plan.name, shafts=needed),
        warp_colors=[DARK_COLOR, LIGHT_COLOR] * (len(threading) // 2),
        weft_colors=[DARK_COLOR, LIGHT_COLOR] * (len(sheds) // 2),
    )


def _lifted(block: int, pick: int, dark_on_top: bool) -> set[int]:
    """Shafts of a block lifted for a pick 0-3 (dark, light, dark, light): the end of its own cloth, and
    the whole upper warp for the lower weft."""
    first = 4 * block
    upper = 0 if dark_on_top else 1
    lifted = {first + pick}
    return lifted if pick % 2 == upper else lifted | {first + upper, first + upper + 2}


DOUBLE_WEAVE_BLOCKS = Family(
    name="double-weave-blocks",
    title=phrase("Double weave blocks"),
    group=phrase("block weaves"),
    says=phrase("two plain cloths, dark and light, that change places block by block: four shafts a block"),
    build=double_weave,
    own=(profile("AABB"), treadling(together=True), shafts_at_hand(4)),
)

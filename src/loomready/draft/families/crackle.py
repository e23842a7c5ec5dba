"""Crackle. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import at_most, pattern_on_ground, planned, profile, treadling
from loomready.draft.families.family import Family
from loomready.draft.families.overshot import TABBY
from loomready.draft.families.parameters import Blocks
from loomready.phrases import phrase

_check = at_most(4, phrase("crackle is a weave of four blocks on four shafts"))


def crackle(profile: Blocks, treadling: Blocks | None, tabby: bool) -> Draft:
    """A is the point 1 2 3 2, B 2 3 4 3, C 3 4 1 4, D 4 1 2 1, so that no weft floats over more than three.

    A block that ends closes with its first shaft again, and where the next one starts two shafts on, the
    shaft between is added, so that odd and even shafts alternate. Two blocks make pattern together.
    """
    _check(profile)
    plan, _ = planned(profile, treadling, None, lambda blocks: 4)
    threading: list[int] = []
    for place, block in enumerate(plan.units):
        threading += [(block + step) % 4 for step in (0, 1, 2, 1)]
        following = plan.units[(place + 1) % len(plan.units)]
        if following != block:
            threading.append(block)
        if (following - block) % 4 == 2:
            threading.append((block + 1) % 4)
    picks = [block for unit in plan.treadled for block in unit for _ in range(4)]
    return pattern_on_ground(
        threading, picks, tabby, phrase("Crackle, {blocks} on 4 shafts", blocks=plan.name)
    )


CRACKLE = Family(
    name="crackle",
    title=phrase("Crackle"),
    group=phrase("block weaves"),
    says=phrase("blocks of a small point, pattern weft over three at most, on plain weave"),
    build=crackle,
    own=(profile("ABCDCB"), treadling(), TABBY),
)

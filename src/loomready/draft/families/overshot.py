"""Overshot. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import (
    pattern_on_ground,
    planned,
    profile,
    shafts_at_hand,
    treadling,
)
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks, Count, Switch
from loomready.problems import BadInput

TABBY = Switch(name="tabby", meaning="a ground pick before each pattern pick", default="yes")


def overshot(profile: Blocks, treadling: Blocks | None, shafts: int | None, ends: int, tabby: bool) -> Draft:
    """Block A stands on shafts 1 and 2, B on 2 and 3, C on 3 and 4, ..., the last on the last and 1.

    In each an odd shaft comes first, then an even one, so that odds against evens weave plain. There are as
    many shafts as blocks: four at least, and an even number of them. A pattern pick lifts all but the two
    shafts of its block: the weft floats over the block, goes over every other end of the two that share
    a shaft with it (half-tone), and under all others.
    """
    plan, count = planned(profile, treadling, shafts, lambda blocks: max(4, blocks + blocks % 2))
    if plan.blocks < 2:
        raise BadInput("one block floats over the whole width; expected two or more", where="profile")
    threading: list[int] = []
    for block in plan.units:
        pair = (block, (block + 1) % count)
        threading += (pair if block % 2 == 0 else pair[::-1]) * (ends // 2)
    picks = [block for unit in plan.trodden for block in unit for _ in range(ends)]
    return pattern_on_ground(
        threading, picks, tabby, f"Overshot, {plan.name} on {count} shafts", shafts=count
    )


OVERSHOT = Family(
    name="overshot",
    title="Overshot",
    group="block weaves",
    says="pattern weft that floats over blocks of two shafts each, on plain weave: half-tones beside them",
    build=overshot,
    own=(
        profile("ABCDCB"),
        treadling(),
        shafts_at_hand(4),
        Count(
            name="ends",
            meaning="ends of a unit, and its pattern picks",
            default="4",
            lowest=2,
            highest=12,
            even=True,
        ),
        TABBY,
    ),
)

"""Overshot. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import (
    pattern_on_ground,
    planned,
    profile,
    shafts_at_hand,
    treadling,
)
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks, Switch, WholeNumber
from loomready.phrases import phrase
from loomready.problems import BadInput

TABBY = Switch(name="tabby", meaning=phrase("a ground pick before each pattern pick"), default="yes")


def overshot(profile: Blocks, treadling: Blocks | None, shafts: int | None, ends: int, tabby: bool) -> Draft:
    """Block A stands on shafts 1 and 2, B on 2 and 3, C on 3 and 4, ..., the last on the last and 1.

    Odd and even shafts go in turn, so that odds against evens weave plain; a block where the profile turns
    has an odd number of ends, so that the threading mirrors there (common practice, no source). There are as
    many shafts as blocks: four at least, and an even number of them. A pattern pick lifts all but the two
    shafts of its block: the weft floats over the block, goes over every other end of the two that share
    a shaft with it (half-tone), and under all others.
    """
    plan, count = planned(profile, treadling, shafts, lambda blocks: max(4, blocks + blocks % 2))
    if plan.blocks < 2:
        raise BadInput(phrase("one block floats over the whole width; expected two or more"), where="profile")
    threading: list[int] = []
    for block, units, turns in _runs(plan.units):
        pair = (block, (block + 1) % count)
        for _ in range(units * ends - turns):
            threading.append(pair[(block + len(threading)) % 2])
    picks = [block for unit in plan.treadled for block in unit for _ in range(ends)]
    return pattern_on_ground(
        threading,
        picks,
        tabby,
        phrase("Overshot, {blocks} on {shafts} shafts", blocks=plan.name, shafts=count),
        shafts=count,
    )


def _runs(units: Sequence[int]) -> list[tuple[int, int, bool]]:
    """Each run of one block: (block, units, whether the profile turns there), as a continuous repeat.

    The turns of a symmetrical profile are even in number. Where they are odd the last is not counted: the
    ends of the repeat would be odd, and plain weave could not go on from one repeat to the next.
    """
    runs = [(block, sum(1 for _ in run)) for block, run in itertools.groupby(units)]
    count = len(runs)
    turns = [count > 1 and runs[at - 1][0] == runs[(at + 1) % count][0] for at in range(count)]
    if runs[0][0] == runs[-1][0]:  # one run that continues over the edge does not turn at either side
        turns[0] = turns[-1] = False
        if count > 2 and runs[1][0] == runs[-2][0]:
            turns[0] = True
    if sum(turns) % 2:
        turns[count - 1 - turns[::-1].index(True)] = False
    return [(block, size, turn) for (block, size), turn in zip(runs, turns, strict=True)]


OVERSHOT = Family(
    name="overshot",
    title=phrase("Overshot"),
    group=phrase("block weaves"),
    says=phrase(
        "pattern weft that floats over blocks of two shafts each, on plain weave: half-tones beside them"
    ),
    build=overshot,
    own=(
        profile("ABCDCB"),
        treadling(),
        shafts_at_hand(4),
        WholeNumber(
            name="ends",
            meaning=phrase("ends of a unit, and its pattern picks"),
            default="4",
            lowest=2,
            highest=12,
            even=True,
        ),
        TABBY,
    ),
)

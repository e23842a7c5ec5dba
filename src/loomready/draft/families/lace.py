"""Laces that float in small groups on a ground of plain weave: huck, huck lace, canvas weave, Bronson.

Constructions from memory of handbook practice; no source at hand.
"""

from __future__ import annotations

from itertools import chain

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import Plan, planned, profile, shafts_at_hand, treadling
from loomready.draft.families.draft_making import by_sheds, swapped
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks, Switch
from loomready.phrases import Phrase, phrase
from loomready.problems import BadInput

# --- Groups on two grounds ---
#
# Blocks A, C, ... stand on the first ground shaft, B, D, ... on the second, each with a pattern shaft of its
# own: A is 1 4 1 4 1, B is 2 3 2 3 2. Two groups on the same ground are separated by one end of the other
# ground, so that plain weave is possible and no float is longer than its group. Picks mirror the ends.


def _pattern_shaft(block: int, blocks: int) -> int:
    """A on shaft 4, B on 3, C on 6, D on 5 (from 1): the tabbies of full pairs are odds against evens."""
    partner = block ^ 1
    return 2 + (partner if partner < blocks else block)


def _side_by_side(
    groups: list[tuple[int, list[frozenset[int]]]], parting: list[frozenset[int]]
) -> list[frozenset[int]]:
    """Groups (their ground, their threads) with a thread of the other ground between two of one ground."""
    found: list[frozenset[int]] = []
    for place, (ground, threads) in enumerate(groups):
        found += threads
        following = groups[(place + 1) % len(groups)][0]
        if following == ground:
            found.append(parting[1 - ground])
    return found


def _grouped(plan: Plan, shafts: int, size: int, lace: bool, weave: Phrase) -> Draft:
    """Groups of ``size`` threads (odd). Lace has warp floats in a block's partner beside its weft floats."""
    blocks = range(plan.blocks)
    pattern = [_pattern_shaft(block, plan.blocks) for block in blocks]
    tabby = [
        frozenset({ground, *(pattern[block] for block in blocks if block % 2 != ground)}) for ground in (0, 1)
    ]

    def ends(block: int) -> list[frozenset[int]]:
        pair = (frozenset({block % 2}), frozenset({pattern[block]}))
        return [pair[end % 2] for end in range(size)]

    def picks(block: int) -> list[frozenset[int]]:
        floating = tabby[1 - block % 2] - {pattern[block]}
        if lace and block ^ 1 in blocks:
            floating |= {pattern[block ^ 1]}
        return [(tabby[block % 2], floating)[pick % 2] for pick in range(size)]

    treadled = list(chain.from_iterable(plan.treadled))
    threading = _side_by_side(
        [(block % 2, ends(block)) for block in plan.units], [frozenset({0}), frozenset({1})]
    )
    sheds = _side_by_side([(block % 2, picks(block)) for block in treadled], tabby)
    return by_sheds(
        [min(end) for end in threading],
        sheds,
        shafts=shafts,
        title=phrase("{weave}, {blocks} on {shafts} shafts", weave=weave, blocks=plan.name, shafts=shafts),
        first=tabby,
    )


def _two_more(blocks: int) -> int:
    return blocks + 2


def huck(profile: Blocks, treadling: Blocks | None, shafts: int | None) -> Draft:
    """Groups of five: weft floats in one block, plain weave in the others. Two blocks on four shafts."""
    plan, needed = planned(profile, treadling, shafts, _two_more)
    return _grouped(plan, needed, 5, False, phrase("Huck"))


def huck_lace(profile: Blocks, treadling: Blocks | None, shafts: int | None) -> Draft:
    """Groups of five: weft floats in one block beside warp floats in its partner, which draw the holes."""
    plan, needed = planned(profile, treadling, shafts, _two_more)
    return _grouped(plan, needed, 5, True, phrase("Huck lace"))


def canvas(profile: Blocks, treadling: Blocks | None, shafts: int | None) -> Draft:
    """Groups of three, woven as huck lace: three ends draw together, and three picks: an open square mesh."""
    plan, needed = planned(profile, treadling, shafts, _two_more)
    return _grouped(plan, needed, 3, True, phrase("Canvas weave"))


# --- Every other end on the first shaft ---


def spot_bronson(profile: Blocks, treadling: Blocks | None, shafts: int | None, turned: bool) -> Draft:
    """1 2 1 2 is a unit of A, 1 3 1 3 of B: one shaft for each block, and one for every other end.

    A float spans its whole block and one end more: four ends a unit, and one.
    """
    plan, needed = planned(profile, treadling, shafts, lambda blocks: blocks + 1)
    if plan.blocks < 2:
        raise BadInput(
            phrase("one block floats over the whole width and lifts nothing; expected two or more"),
            where="profile",
        )
    threading = [shaft for block in plan.units for shaft in (0, 1 + block) * 2]
    return _ground_and_pattern(
        plan, needed, threading, frozenset(range(1, needed)), 1, phrase("Spot Bronson"), turned
    )


def bronson_lace(profile: Blocks, treadling: Blocks | None, shafts: int | None, turned: bool) -> Draft:
    """1 3 1 3 1 2 is a unit of A, 1 4 1 4 1 2 of B: shaft 2 ties down each unit, so units may repeat."""
    plan, needed = planned(profile, treadling, shafts, _two_more)
    threading = [shaft for block in plan.units for shaft in (*(0, 2 + block) * 2, 0, 1)]
    return _ground_and_pattern(
        plan, needed, threading, frozenset(range(1, needed)), 2, phrase("Bronson lace"), turned
    )


def _ground_and_pattern(
    plan: Plan,
    shafts: int,
    threading: list[int],
    against: frozenset[int],
    first: int,
    weave: Phrase,
    across: bool,
) -> Draft:
    """Six picks a unit: tabby, the other tabby without the pattern's blocks, twice; then both tabbies."""
    ground = frozenset({0})
    sheds = [
        shed
        for unit in plan.treadled
        for shed in (*(ground, against - {first + block for block in unit}) * 2, ground, against)
    ]
    title = (
        phrase("Turned {weave}, {blocks} on {shafts} shafts", weave=weave, blocks=plan.name, shafts=shafts)
        if across
        else phrase("{weave}, {blocks} on {shafts} shafts", weave=weave, blocks=plan.name, shafts=shafts)
    )
    made = by_sheds(threading, sheds, shafts=shafts, title=title, first=(ground, against))
    return swapped(made) if across else made


TURNED = Switch(
    name="turned", meaning=phrase("warp and weft swapped, so that the floats lie in the warp"), default="no"
)

HUCK = Family(
    name="huck",
    title=phrase("Huck"),
    group=phrase("laces"),
    says=phrase("groups of five with weft floats on plain weave: two blocks on four shafts"),
    build=huck,
    own=(profile("AB"), treadling(), shafts_at_hand(3)),
    repeats=2,
)

HUCK_LACE = Family(
    name="huck-lace",
    title=phrase("Huck lace"),
    group=phrase("laces"),
    says=phrase("groups of five, weft floats beside warp floats: small holes in plain weave"),
    build=huck_lace,
    own=(profile("AB"), treadling(), shafts_at_hand(3)),
    repeats=2,
)

CANVAS = Family(
    name="canvas-weave",
    title=phrase("Canvas weave"),
    group=phrase("laces"),
    says=phrase("groups of three, woven as lace: an open square mesh"),
    build=canvas,
    own=(profile("AB"), treadling(), shafts_at_hand(3)),
    repeats=4,
)

SPOT_BRONSON = Family(
    name="spot-bronson",
    title=phrase("Spot Bronson"),
    group=phrase("laces"),
    says=phrase("weft spots on plain weave: one shaft a block, and one for every other end"),
    build=spot_bronson,
    own=(profile("ABAC"), treadling(), shafts_at_hand(3), TURNED),
    repeats=2,
)

BRONSON_LACE = Family(
    name="bronson-lace",
    title=phrase("Bronson lace"),
    group=phrase("laces"),
    says=phrase("lace of six ends a unit that may stand side by side: one shaft a block, and two"),
    build=bronson_lace,
    own=(profile("AABB"), treadling(together=True), shafts_at_hand(3), TURNED),
    repeats=2,
)

"""Overshot. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import at_most, pattern_on_ground, planned, profile, treadling
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks, Count, Switch
from loomready.problems import BadInput

_ENDS = ((0, 1), (2, 1), (2, 3), (0, 3))  # an odd shaft, then an even one: the ground stays plain
_check = at_most(4, "overshot is a weave of four blocks on four shafts")

TABBY = Switch(name="tabby", meaning="a ground pick before each pattern pick", default="yes")


def overshot(profile: Blocks, treadling: Blocks | None, ends: int, tabby: bool) -> Draft:
    """Block A stands on shafts 1 and 2, B on 2 and 3, C on 3 and 4, D on 4 and 1, odd and even in turn.

    A pattern pick lifts the two shafts that its block does not stand on: the weft floats over the block,
    goes over every other end of the two blocks beside it (half-tone), and under the fourth.
    """
    _check(profile)
    plan, _ = planned(profile, treadling, None, lambda blocks: 4)
    if plan.blocks < 2:
        raise BadInput("one block floats over the whole width; expected two or more", where="profile")
    threading = [shaft for block in plan.units for shaft in _ENDS[block] * (ends // 2)]
    picks = [block for unit in plan.trodden for block in unit for _ in range(ends)]
    return pattern_on_ground(threading, picks, tabby, f"Overshot, {plan.name} on 4 shafts")


OVERSHOT = Family(
    name="overshot",
    title="Overshot",
    group="block weaves",
    says="pattern weft that floats over blocks of two shafts each, on plain weave: half-tones beside them",
    build=overshot,
    own=(
        profile("ABCDCB"),
        treadling(),
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

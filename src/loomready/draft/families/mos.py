"""M's and O's. Construction from memory of handbook practice; no source at hand."""

from __future__ import annotations

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import at_most, planned, profile, treadling
from loomready.draft.families.draft_making import by_sheds
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks
from loomready.phrases import phrase

_ENDS = ((0, 1, 0, 1, 2, 3, 2, 3), (0, 2, 0, 2, 1, 3, 1, 3))
_SHEDS = (({0, 1}, {2, 3}), ({0, 2}, {1, 3}))
_check = at_most(2, phrase("M's and O's are a weave of two blocks on four shafts"))


def ms_and_os(profile: Blocks, treadling: Blocks | None) -> Draft:
    """A is 1 2 1 2 3 4 3 4, B is 1 3 1 3 2 4 2 4. While one floats over four ends the other weaves plain."""
    _check(profile)
    plan, shafts = planned(profile, treadling, None, lambda blocks: 4)
    threading = [shaft for block in plan.units for shaft in _ENDS[block]]
    sheds = [shed for unit in plan.treadled for block in unit for shed in _SHEDS[block] * 4]
    return by_sheds(
        threading, sheds, shafts=shafts, title=phrase("M's and O's, {blocks} on 4 shafts", blocks=plan.name)
    )


MS_AND_OS = Family(
    name="ms-and-os",
    title=phrase("M's and O's"),
    group=phrase("block weaves"),
    says=phrase("two blocks on four shafts: cords that float over four, beside plain weave"),
    build=ms_and_os,
    own=(profile("AB"), treadling()),
    repeats=2,
)

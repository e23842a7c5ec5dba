"""Weaves that every search includes: plain weave, small twills and satins, the families with their
defaults."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from loomready.draft.draft import Draft, lift_plan
from loomready.draft.families.registry import FAMILIES
from loomready.draft.structure.analysis import Structure
from loomready.phrases import Phrase, phrase
from loomready.problems import BadInput

_LEFT_OUT = "color-and-weave"  # their pattern is in the order of colors, which is chosen later
_RATIOS = ("1/2", "2/1", "2/2", "1/3", "3/1", "2/3", "1/4", "3/1/1/1", "3/3", "1/1/2/2", "3/2/1/2", "1/3/2/2")


def known(shafts: int) -> Iterator[tuple[Phrase, Draft]]:
    """Drafts for a loom of that many shafts, each with what it is."""
    yield phrase("plain weave"), lift_plan([1, 2], [[1], [2]])
    for ratio in _RATIOS:
        if sum(map(int, ratio.split("/"))) <= shafts:
            name = phrase("straight draw, twill {ratio}", ratio=ratio)
            yield name, _made("straight-twill", {"tieup": ratio})
    for family in FAMILIES.values():
        if family.group == _LEFT_OUT:
            continue
        names = [parameter.name for parameter in family.own]
        for wanted in dict.fromkeys((shafts, 4, 5, 8)):
            options = {"shafts": str(wanted)} if "shafts" in names else {}
            if wanted <= shafts:
                try:
                    draft = _made(family.name, options)
                except BadInput:  # not possible on this number of shafts
                    continue
                yield family.title, draft
            if not options:
                break


def _made(family: str, options: dict[str, str]) -> Draft:
    """One repeat of the family's draft, by its uncolored cloth."""
    draft = FAMILIES[family].make({**options, "repeats": "1"}).as_lift_plan()
    ends, picks = Structure(draft).repeat
    return replace(
        draft,
        threading=draft.threading[:ends].copy(),
        warp_colors=np.zeros(ends, np.int16),
        lifts=draft.lifts[:picks].copy(),
        weft_colors=np.ones(picks, np.int16),
    )

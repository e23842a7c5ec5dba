"""Tie-ups of twills and satins."""

from __future__ import annotations

import numpy as np

from loomready.draft.draft import Bools
from loomready.draft.families.parameters import MOST_SHAFTS, Ratio, TieUp, WholeNumber
from loomready.phrases import phrase
from loomready.problems import BadInput

# The balanced twill for each small number of shafts, and what follows 3/2/1/2 on more: our choice.
_EVEN: dict[int, Ratio] = {2: (1, 1), 3: (2, 1), 4: (2, 2), 5: (2, 3), 6: (2, 2, 1, 1), 7: (3, 2, 1, 1)}
_EVEN |= {8: (3, 2, 1, 2), 9: (3, 2, 2, 2)}

TIE_UP = TieUp(
    name="tieup",
    meaning=phrase("what the first treadle lifts, each further one a shaft on"),
    unsaid=phrase("about half up and half down, in floats of two and three"),
)


def shafts_for_twill(default: int = 4, lowest: int = 2, *, even: bool = False) -> WholeNumber:
    return WholeNumber(
        name="shafts",
        meaning=phrase("shafts of the threading"),
        unsaid=phrase("as many as the tie-up fills, else {default}", default=default),
        lowest=lowest,
        highest=MOST_SHAFTS,
        even=even,
    )


def even_twill(shafts: int) -> Ratio:
    """A twill on that many shafts (2 or more) that looks the same on both sides and floats over three at
    most."""
    if shafts in _EVEN:
        return _EVEN[shafts]
    rest = shafts - 8
    return (*_EVEN[8], *((2, 1, 3, 2) if rest == 8 else even_twill(rest)))


def full_ratio(shafts: int, ratio: Ratio | None) -> Ratio:
    """The ratio that fills all shafts: a short one is repeated, none given is a balanced twill.

    :raises BadInput: its parts do not fill the shafts
    """
    ratio = even_twill(shafts) if ratio is None else ratio
    total = sum(ratio)
    if total > shafts or shafts % total:
        said = "/".join(map(str, ratio))
        what = phrase(
            "{ratio} fills {filled} shafts, not {shafts}; expected parts that add up to {shafts}",
            ratio=said,
            filled=total,
            shafts=shafts,
        )
        raise BadInput(what, where="tieup")
    return ratio * (shafts // total)


def settled(shafts: int | None, ratio: Ratio | None, otherwise: int = 4) -> int:
    """The shafts asked for, else those that the tie-up fills, else the family's default."""
    return shafts or (sum(ratio) if ratio else otherwise)


def twill_tieup(shafts: int, ratio: Ratio | None) -> tuple[Bools, str]:
    """The tie-up bool[S, S] of an a/b/c/... twill, each treadle one shaft further, and its ratio in words.

    Treadle 1 of 2/2 lifts shafts 1 and 2, treadle 2 shafts 2 and 3.
    """
    filled = full_ratio(shafts, ratio)
    up = np.repeat(np.arange(len(filled)) % 2 == 0, filled)
    shaft, treadle = np.indices((shafts, shafts))
    return up[(shaft - treadle) % shafts], "/".join(map(str, ratio or filled))

"""Satins by counter: one binding point an end and a pick, each a counter further than the last."""

from __future__ import annotations

from math import gcd

import numpy as np

from loomready.draft.draft import Draft
from loomready.draft.families.draft_making import treadled
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import MOST_SHAFTS, WholeNumber, WordChoice
from loomready.phrases import listed, phrase
from loomready.problems import BadInput


def counters(shafts: int) -> list[int]:
    """The counters of regular satins on that many shafts: prime to it, and neither a twill's 1 nor its -1.

    >>> counters(8), counters(6)
    ([3, 5], [])
    """
    return [step for step in range(2, shafts - 1) if gcd(step, shafts) == 1]


def satin(shafts: int, counter: int | None, face: str) -> Draft:
    """Threaded straight; each treadle ties one shaft, a counter further each time; a warp face the others.

    :raises BadInput: a number of shafts without a satin, or a counter that is none
    """
    allowed = counters(shafts)
    if not allowed:
        raise BadInput(
            phrase(
                "there is no regular satin on {shafts} shafts; expected 5, 7 or more shafts", shafts=shafts
            ),
            where="shafts",
        )
    step = allowed[0] if counter is None else counter
    if step not in allowed:
        what = phrase(
            "{counter} is not a satin counter on {shafts} shafts; expected one of: {counters}",
            counter=step,
            shafts=shafts,
            counters=listed(allowed),
        )
        raise BadInput(what, where="counter")
    tieup = np.zeros((shafts, shafts), dtype=np.bool_)
    tieup[np.arange(shafts) * step % shafts, np.arange(shafts)] = True
    title = (
        phrase("{shafts}-end satin, counter {counter}, weft-faced", shafts=shafts, counter=step)
        if face == "weft"
        else phrase("{shafts}-end satin, counter {counter}, warp-faced", shafts=shafts, counter=step)
    )
    return treadled(
        list(range(shafts)),
        tieup if face == "weft" else ~tieup,
        list(range(shafts)),
        title=title,
    )


SATIN = Family(
    name="satin",
    title=phrase("Satin"),
    group=phrase("satins"),
    says=phrase("one binding point for each end and pick, no two of them touching"),
    build=satin,
    own=(
        WholeNumber(
            name="shafts", meaning=phrase("shafts of the satin"), default="5", lowest=5, highest=MOST_SHAFTS
        ),
        WholeNumber(
            name="counter",
            meaning=phrase("shafts from one binding point to that of the next pick"),
            unsaid=phrase("the smallest that makes a satin"),
            lowest=1,
            highest=MOST_SHAFTS,
        ),
        WordChoice(
            name="face",
            meaning=phrase("which threads show on the face"),
            default="weft",
            choices=("weft", "warp"),
        ),
    ),
    repeats=4,
)

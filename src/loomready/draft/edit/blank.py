"""A new draft."""

from __future__ import annotations

import numpy as np

from loomready.colors import RGB
from loomready.draft.draft import DARK, LIGHT, Draft, Ints, lifts_of
from loomready.draft.edit.sheds import SetCount
from loomready.draft.edit.threads import counted
from loomready.phrases import phrase


def blank(
    ends: int,
    picks: int,
    shafts: int,
    treadles: int | None,
    *,
    straight: bool = True,
    palette: tuple[RGB, RGB] = (DARK, LIGHT),
    title: str | None = None,
) -> Draft:
    """A new draft: a straight draw, each treadle tied to its own shaft; or an empty sheet.

    :param treadles: how many, or None for a lift plan
    :raises BadInput: counts that no draft has
    """
    counted(ends, phrase("count of ends"), "warp")
    counted(picks, phrase("count of picks"), "weft")
    SetCount("shafts", shafts).check()
    columns = shafts if treadles is None else treadles
    threading: Ints = np.full(ends, -1, dtype=np.int16)
    side = np.zeros((picks, columns), dtype=np.bool_)
    tieup = np.zeros((shafts, columns), dtype=np.bool_)
    if treadles is not None:
        SetCount("treadles", treadles).check()
    if straight:
        threading = (np.arange(ends) % shafts).astype(np.int16)
        side[np.arange(picks), np.arange(picks) % columns] = True
        tieup[np.arange(columns) % shafts, np.arange(columns)] = True
    by_foot = treadles is not None
    return Draft(
        threading=threading,
        lifts=lifts_of(tieup, side, rising=True) if by_foot else side,
        tieup=tieup if by_foot else None,
        treadling=side if by_foot else None,
        rising=True,
        palette=palette,
        warp_colors=np.zeros(ends, dtype=np.int16),
        weft_colors=np.ones(picks, dtype=np.int16),
        title=title,
    )

"""The picks of a repeat in the short form: a few lines in place of a row for each pick."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from loomready.draft import tabby
from loomready.draft.draft import Draft
from loomready.loomside.steps.lifting import Lifting
from loomready.loomside.steps.short_form import Part, short_form, tabby_picks, written
from loomready.packet.words import Data
from loomready.phrases import Phrase, joined, phrase
from loomready.problems import BadInput

WORTH = 0.5  # of the picks at most that are written: else the rows alone are as short


def short_lines(
    draft: Draft, woven: Lifting, letters: Sequence[str], on_loom: Sequence[int | None]
) -> Data | None:
    """The repeat in lines of so many picks; None: it would not be short.

    :param letters: of each pick's yarn, "" where there is but one
    :param on_loom: the loom's shaft (from 1) of each draft shaft
    """
    lifts = [frozenset((np.flatnonzero(row) + 1).tolist()) for row in woven.up]
    each = [woven.treadles[n] if woven.treadles else tuple(sorted(lift)) for n, lift in enumerate(lifts)]
    tokens = list(zip(each, letters, strict=True))
    found = tabby_picks(lifts, letters, _plain(draft, on_loom))
    kept = list(range(len(tokens)))
    ground: str = ""
    if found is not None:
        kept = kept[1 if found.begins else 0 :: 2]
        one, other = (_told(tokens[place]) for place in found.sheds)
        ground = (
            phrase(
                "Tabby: {one} and {other} in turn, a pick before each pattern pick; these are not listed.",
                one=one,
                other=other,
            )
            if found.begins
            else phrase(
                "Tabby: {one} and {other} in turn, a pick after each pattern pick; these are not listed.",
                one=one,
                other=other,
            )
        )
    parts = short_form([tokens[place] for place in kept])
    if written(parts) > WORTH * len(tokens):
        return None
    return {
        "tabby": ground,
        "lines": [_line(part, lambda place: _told(tokens[kept[place]])) for part in parts],
    }


def _plain(draft: Draft, on_loom: Sequence[int | None]) -> frozenset[frozenset[int]]:
    """The two tabby sheds of the threading on the loom's shafts; none where it cannot be woven plain."""
    try:
        made = tabby.tabby_of(draft.threading, draft.shafts)
    except BadInput:
        return frozenset()
    return frozenset(
        frozenset(shaft for n in np.flatnonzero(side).tolist() if (shaft := on_loom[n]) is not None)
        for side in (made.a, made.b)
    )


def _told(token: tuple[tuple[int, ...], str]) -> str:
    """One pick: its treadles or shafts, and its yarn where there are several."""
    moved, letter = token
    which = " ".join(map(str, moved)) or phrase("none")
    return joined(" ", (which, letter)) if letter else which


def _line(part: Part, say: Callable[[int], str]) -> Data:
    first, last = part.first + 1, part.first + part.picks
    return {"picks": f"{first}" if first == last else f"{first}–{last}", "told": _inside(part, say)}


def _inside(part: Part, say: Callable[[int], str]) -> Phrase:
    picks = joined(
        " · ", (_inside(each, say) if isinstance(each, Part) else say(each) for each in part.inside)
    )
    return picks if part.times == 1 else phrase("{times} × ({picks})", times=part.times, picks=picks)

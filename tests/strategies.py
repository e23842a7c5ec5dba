"""Hypothesis strategies that several tests share."""

from __future__ import annotations

import dataclasses

import hypothesis.extra.numpy as hnp
import hypothesis.strategies as st
import numpy as np

from loomready.draft.draft import RGB, Draft, lifts_of
from loomready.draft.unread_sections import Section

_LETTERS = st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"))
LINE = st.text(_LETTERS, max_size=20).map(str.strip)
"""A line of text as a file keeps it: no control characters, no blanks around it."""

COLOR: st.SearchStrategy[RGB] = st.tuples(*[st.integers(0, 255)] * 3)
LENGTHS = st.floats(0, 1000, allow_subnormal=False)

EXTRA = st.lists(
    st.builds(
        Section,
        st.from_regex(r"PRIVATE [A-Za-z]{1,8} [a-z]{1,8}", fullmatch=True),
        st.lists(LINE.filter(lambda line: not line.startswith("[")), max_size=4).map(tuple),
    ),
    max_size=3,
    unique_by=lambda section: section.name.casefold(),
)


@st.composite
def drafts(
    draw: st.DrawFn,
    *,
    max_ends: int = 12,
    max_picks: int = 12,
    max_shafts: int = 8,
    max_treadles: int = 8,
    max_colors: int = 5,
    treadled: bool | None = None,
    empty_heddles: bool = True,
    trimmings: bool = True,
) -> Draft:
    """Any draft: lift plans and treadled ones, rising and sinking, ends not threaded, empty sheds.

    ``treadled``: only with (True) or only without (False) treadles. ``empty_heddles``: some ends may be
    not threaded. ``trimmings``: title, notes, spacing, thickness and foreign sections too.
    """
    ends, picks = draw(st.integers(1, max_ends)), draw(st.integers(1, max_picks))
    shafts = draw(st.integers(1, max_shafts))
    threading = draw(hnp.arrays(np.int16, ends, elements=st.integers(-1 if empty_heddles else 0, shafts - 1)))
    tieup = treadling = None
    rising = True
    if draw(st.booleans()) if treadled is None else treadled:
        treadles = draw(st.integers(1, max_treadles))
        rising = draw(st.booleans())
        tieup = draw(hnp.arrays(np.bool_, (shafts, treadles)))
        treadling = draw(hnp.arrays(np.bool_, (picks, treadles)))
        lifts = lifts_of(tieup, treadling, rising)
    else:
        lifts = draw(hnp.arrays(np.bool_, (picks, shafts)))
    palette = tuple(draw(st.lists(COLOR, min_size=1, max_size=max_colors)))
    index = st.integers(0, len(palette) - 1)
    draft = Draft(
        threading=threading,
        lifts=lifts,
        tieup=tieup,
        treadling=treadling,
        rising=rising,
        palette=palette,
        warp_colors=draw(hnp.arrays(np.int16, ends, elements=index)),
        weft_colors=draw(hnp.arrays(np.int16, picks, elements=index)),
    )
    if not trimmings:
        return draft
    lengths = {
        f"{side}_{what}_mm": draw(st.none() | hnp.arrays(np.float64, count, elements=LENGTHS).filter(np.any))
        for side, count in (("warp", ends), ("weft", picks))
        for what in ("spacing", "thickness")
    }
    return dataclasses.replace(
        draft,
        title=draw(LINE) or None,
        notes="\n".join(draw(st.lists(LINE, max_size=4))).strip("\n") or None,
        extra=tuple(draw(EXTRA)),
        **lengths,
    )


def differences(one: Draft, two: Draft) -> list[str]:
    """The names of the fields in which two drafts differ: none for equal drafts."""
    found = []
    for field in dataclasses.fields(Draft):
        a, b = getattr(one, field.name), getattr(two, field.name)
        if isinstance(a, np.ndarray) and isinstance(b, np.ndarray):
            equal = a.dtype == b.dtype and np.array_equal(a, b)
        else:
            equal = bool(type(a) is type(b) and a == b)
        if not equal:
            found.append(field.name)
    return found

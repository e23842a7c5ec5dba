"""Plain weave, and basket weave where several ends or picks are woven as one.

Constructions are common practice, no source.
"""

from __future__ import annotations

from math import gcd

from loomready.draft.draft import Draft
from loomready.draft.families.draft_making import by_sheds
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import MOST_SHAFTS, WholeNumber
from loomready.phrases import phrase


def plain(shafts: int, ends: int, picks: int) -> Draft:
    """Groups of ``ends`` on odd and even shafts in turn, ``picks`` in each shed; 1 and 1 is plain weave."""
    half = shafts // 2
    groups = 2 * half // gcd(half, ends)
    threading = [
        2 * ((group // 2 * ends + end) % half) + group % 2 for group in range(groups) for end in range(ends)
    ]
    tabby = (frozenset(range(0, shafts, 2)), frozenset(range(1, shafts, 2)))
    return by_sheds(
        threading,
        [tabby[pick // picks] for pick in range(2 * picks)],
        shafts=shafts,
        title=phrase("Plain weave")
        if ends == picks == 1
        else phrase("Basket weave, {ends} by {picks}", ends=ends, picks=picks),
        first=tabby,
    )


PLAIN = Family(
    name="plain-weave",
    title=phrase("Plain weave"),
    group=phrase("plain weave"),
    says=phrase("odd and even ends rise in turn; with several as one it is basket weave"),
    build=plain,
    own=(
        WholeNumber(
            name="shafts",
            meaning=phrase("shafts of the threading"),
            default="2",
            lowest=2,
            highest=MOST_SHAFTS,
            even=True,
        ),
        WholeNumber(name="ends", meaning=phrase("ends woven as one"), default="1", lowest=1, highest=8),
        WholeNumber(name="picks", meaning=phrase("picks in each shed"), default="1", lowest=1, highest=8),
    ),
    repeats=4,
)

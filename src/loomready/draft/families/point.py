"""Twills on a threading that turns back: point, extended point, rosepath, bird's eye, goose eye.

Constructions from memory of handbook practice; no source at hand. Handbooks do not agree on the names of
the small ones: bird's eye is here the point draw treadled as drawn in, rosepath goes once through all the
shafts before it turns, goose eye twice up before it turns.
"""

from __future__ import annotations

from dataclasses import replace

from loomready.draft.draft import Draft
from loomready.draft.families.draft_making import treadled
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Ratio, WholeNumber
from loomready.draft.families.tieups import TIE_UP, settled, shafts_for_twill, twill_tieup
from loomready.draft.families.twills import TREADLING, treadles_of
from loomready.phrases import Phrase, phrase


def there_and_back(last: int, shafts: int) -> list[int]:
    """Up from the first shaft ``last`` steps, round the shafts, and back; the turns stand once.

    >>> there_and_back(3, 4), there_and_back(4, 4)
    ([0, 1, 2, 3, 2, 1], [0, 1, 2, 3, 0, 3, 2, 1])
    """
    return [step % shafts for step in (*range(last), *range(last, 0, -1))]


def _made(weave: Phrase, threading: list[int], shafts: int, tieup: Ratio | None, treadling: str) -> Draft:
    tied, said = twill_tieup(shafts, tieup)
    title = phrase("{weave} {ratio} on {shafts} shafts", weave=weave, ratio=said, shafts=shafts)
    return treadled(threading, tied, treadles_of(threading, shafts, treadling), title=title)


def point(shafts: int | None, tieup: Ratio | None, treadling: str) -> Draft:
    """1 2 3 4 3 2: the end at each turn stands once."""
    shafts = settled(shafts, tieup)
    return _made(phrase("Point twill"), there_and_back(shafts - 1, shafts), shafts, tieup, treadling)


def extended_point(shafts: int | None, tieup: Ratio | None, draws: int, treadling: str) -> Draft:
    """Straight draws one way, then as many back: 1 2 3 4, 1 2 3 4, 3 2 1, 4 3 2."""
    shafts = settled(shafts, tieup)
    last = draws * shafts - 1
    return _made(phrase("Extended point twill"), there_and_back(last, shafts), shafts, tieup, treadling)


def rosepath(shafts: int | None, tieup: Ratio | None, treadling: str) -> Draft:
    """1 2 3 4 1 4 3 2: through all the shafts to the first again, then back. Symmetric at both turns."""
    shafts = settled(shafts, tieup)
    return _made(phrase("Rosepath"), there_and_back(shafts, shafts), shafts, tieup, treadling)


def birds_eye(shafts: int | None, tieup: Ratio | None) -> Draft:
    """A point draw treadled as drawn in: small diamonds, each with its eye."""
    shafts = settled(shafts, tieup)
    return _made(phrase("Bird's eye"), there_and_back(shafts - 1, shafts), shafts, tieup, "as-drawn-in")


def goose_eye(shafts: int | None, tieup: Ratio | None) -> Draft:
    """Two straight draws up and two back, treadled as drawn in: a diamond inside a diamond."""
    shafts = settled(shafts, tieup)
    return _made(phrase("Goose eye"), there_and_back(2 * shafts - 1, shafts), shafts, tieup, "as-drawn-in")


POINT = Family(
    name="point-twill",
    title=phrase("Point twill"),
    group=phrase("twills"),
    least=3,
    says=phrase("a straight draw up and back: zigzags, or diamonds when treadled as drawn in"),
    build=point,
    own=(shafts_for_twill(), TIE_UP, TREADLING),
    repeats=2,
)

EXTENDED_POINT = Family(
    name="extended-point-twill",
    title=phrase("Extended point twill"),
    group=phrase("twills"),
    least=3,
    says=phrase("several straight draws one way before the point: wide zigzags"),
    build=extended_point,
    own=(
        shafts_for_twill(),
        TIE_UP,
        WholeNumber(
            name="draws", meaning=phrase("straight draws before each turn"), default="2", lowest=1, highest=50
        ),
        TREADLING,
    ),
)

ROSEPATH = Family(
    name="rosepath",
    title=phrase("Rosepath"),
    group=phrase("twills"),
    least=3,
    says=phrase("through all the shafts to the first again, then back: 1 2 3 4 1 4 3 2"),
    build=rosepath,
    own=(shafts_for_twill(), TIE_UP, replace(TREADLING, default="as-drawn-in")),
    repeats=2,
)

BIRDS_EYE = Family(
    name="birds-eye",
    title=phrase("Bird's eye"),
    group=phrase("twills"),
    least=3,
    says=phrase("a point draw treadled as drawn in: small diamonds"),
    build=birds_eye,
    own=(shafts_for_twill(), TIE_UP),
    repeats=3,
)

GOOSE_EYE = Family(
    name="goose-eye",
    title=phrase("Goose eye"),
    group=phrase("twills"),
    least=3,
    says=phrase("two straight draws up and two back, treadled as drawn in: diamonds inside diamonds"),
    build=goose_eye,
    own=(shafts_for_twill(), TIE_UP),
    repeats=2,
)

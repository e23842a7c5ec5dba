"""How colors relate: hue by OKLab, in the usual color words.

Colors with little chroma count as neutrals: undyed, gray, black, natural browns. The others are compared by
their angles on the hue circle of OKLab (Ottosson 2020).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from loomready.phrases import Phrase, phrase

Reals = npt.NDArray[np.float64]

NEUTRAL = 0.035  # OKLab chroma below which a yarn reads as a neutral: ours, by eye
ONE_HUE = 20.0  # degrees: hues no further apart read as shades of one
NEIGHBORS = 75.0  # a span of the circle inside which hues are neighbors (analogous); no source
ACROSS = 30.0  # how far from opposite a complement may lie; no source
THIRD = 120.0

WORDS = {
    "neutrals": phrase("neutrals only: undyed, grays, natural browns"),
    "one hue": phrase("shades of one hue, neutrals perhaps beside them"),
    "analogous": phrase("neighbors on the hue circle"),
    "complementary": phrase("two sides of the hue circle that face each other"),
    "triad": phrase("three hues a third of the circle apart"),
    "contrasting": phrase("hues apart, neither neighbors nor opposite"),
}


def hue_and_chroma(oklab: npt.ArrayLike) -> tuple[Reals, Reals]:
    """Hue in degrees 0-360 and chroma of OKLab colors [..., 3]."""
    lab = np.asarray(oklab, dtype=np.float64)
    hue = np.rad2deg(np.arctan2(lab[..., 2], lab[..., 1])) % 360.0
    return hue, np.hypot(lab[..., 1], lab[..., 2])


def angles_between(oklab: npt.ArrayLike) -> Reals:
    """Degrees 0-180 between the hues of colors [n, 3], each with each; 0 where one of them is a neutral."""
    hue, chroma = hue_and_chroma(oklab)
    apart = np.abs((hue[:, None] - hue[None, :] + 180.0) % 360.0 - 180.0)
    dyed = chroma >= NEUTRAL
    found: Reals = np.where(dyed[:, None] & dyed[None, :], apart, 0.0)
    return found


def relation(oklab: Sequence[Sequence[float]]) -> Phrase:
    """The word for how the hues of some colors relate: a key of :data:`WORDS`."""
    hue, chroma = hue_and_chroma(np.asarray(oklab, dtype=np.float64).reshape(-1, 3))
    hues = np.sort(hue[chroma >= NEUTRAL])
    if hues.size == 0:
        return phrase("neutrals")
    gaps = np.diff(np.append(hues, hues[0] + 360.0))
    span = 360.0 - float(gaps.max())
    if span <= ONE_HUE:
        return phrase("one hue")
    if span <= NEIGHBORS:
        return phrase("analogous")
    groups = _groups(hues, gaps)
    if len(groups) == 2 and abs(_apart(*groups) - 180.0) <= ACROSS:
        return phrase("complementary")
    if len(groups) == 3 and all(
        abs(_apart(one, other) - THIRD) <= ACROSS
        for one, other in ((groups[0], groups[1]), (groups[1], groups[2]), (groups[2], groups[0]))
    ):
        return phrase("triad")
    return phrase("contrasting")


def _groups(hues: Reals, gaps: Reals) -> list[float]:
    """The middles of runs of hues with no gap wider than neighbors have, round the circle."""
    start = (int(gaps.argmax()) + 1) % hues.size
    turned = np.roll(hues, -start)
    turned = np.where(turned < turned[0], turned + 360.0, turned)
    cuts = np.flatnonzero(np.diff(turned) > NEIGHBORS / 2) + 1
    return [float((run[0] + run[-1]) / 2 % 360.0) for run in np.split(turned, cuts)]


def _apart(one: float, other: float) -> float:
    return abs((one - other + 180.0) % 360.0 - 180.0)


# Where the color words begin on the hue circle, in degrees: ours, by eye.
_BEGINS = (
    (0.0, "red"),
    (45.0, "orange"),
    (85.0, "yellow"),
    (120.0, "green"),
    (195.0, "blue"),
    (285.0, "purple"),
    (345.0, "red"),
)


def color_word(oklab: Sequence[float]) -> str:
    """The color word of one color, or "neutral": undyed, gray, black, natural brown.

    >>> color_word((0.63, 0.22, 0.13)), color_word((0.45, -0.03, -0.31)), color_word((0.9, 0.0, 0.02))
    ('red', 'blue', 'neutral')
    """
    hue, chroma = hue_and_chroma(oklab)
    if chroma < NEUTRAL:
        return "neutral"
    return [name for begins, name in _BEGINS if hue >= begins][-1]

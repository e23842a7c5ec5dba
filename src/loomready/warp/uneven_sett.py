"""Cloth whose intersections are unevenly spread, so that counting them gives the wrong sett.

The tests are strict: a plain twill, satin or tabby meets none of them. Which cloths go by chart and judgment
is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.phrases import Phrase, phrase
from loomready.warp.sett_charts import Kind

Bools = npt.NDArray[np.bool_]

# One set of threads hides the other: threads side by side over this share of the width. Our own limit, no
# source; the nearest satin of eight has 0.8.
REP_COVER = 0.9
# A cloth is lace when at least this share of its crossings are middles of lace spots, and this share lie in
# a spot or in plain ground. Our own limits, no source.
LACE_SPOTS = 0.05
LACE_AND_GROUND = 0.8


@dataclass(frozen=True, slots=True)
class Uneven:
    """Why to use the chart, and which column of it (None: as the intersections suggest)."""

    says: Phrase
    goes_by: Kind | None


def why_chart_rules(
    block: Bools, layers: int, *, warp_cover: float, weft_cover: float | None
) -> Uneven | None:
    """The first reason to use the chart for the sett, or None.

    :param block: drawdown of the repeat, bool[picks, ends]
    :param warp_cover: share of the width that one layer's ends cover side by side; ``weft_cover`` likewise
    """
    if layers > 1:
        return Uneven(
            phrase(
                "Use the chart: {layers} layers share this reed, and each needs its own sett; the setts "
                "shown here are for all layers together.",
                layers=layers,
            ),
            None,
        )
    if warp_cover >= REP_COVER:
        return Uneven(
            phrase(
                "Use the chart and your own judgment: ends this close hide the weft (rep, warp-faced), and "
                "the count of intersections does not show how close they can be."
            ),
            "plain",
        )
    if weft_cover is not None and weft_cover >= REP_COVER:
        return Uneven(
            phrase(
                "Use the chart and your own judgment: picks this close hide the warp (weft-faced), so the "
                "ends must be farther apart than the count of intersections suggests."
            ),
            "plain",
        )
    if has_ground_between(block):
        return Uneven(
            phrase(
                "Use the chart: every other pick weaves a plain ground and a pattern weft floats over it; "
                "sett the ground as plain weave."
            ),
            "plain",
        )
    if has_ground_between(block.T):
        return Uneven(
            phrase(
                "Use the chart: every other end belongs to a plain ground and pattern ends float over it; "
                "sett the ground as plain weave and add the pattern ends to it."
            ),
            "plain",
        )
    if is_lace(block):
        return Uneven(
            phrase(
                "Use the chart: this is a lace, whose floats draw its threads into groups; it is sett wider "
                "than the count of intersections suggests."
            ),
            "lace",
        )
    return None


def has_ground_between(block: Bools) -> bool:
    """Whether every other pick weaves tabby, by turns, and picks between float over three ends or more."""
    picks, ends = block.shape
    if ends % 2:  # then no pick is tabby throughout
        return False
    if picks % 2:  # after an odd repeat the two kinds of picks are swapped
        block = np.concatenate([block, block])
    tabby = np.all(block != _moved(block, 0, 1), axis=1)
    floating = np.any(_three_alike(block), axis=1)
    for first in (0, 1):
        ground, between = slice(first, None, 2), slice(1 - first, None, 2)
        shed = block[ground, 0]
        by_turns = bool((shed != np.roll(shed, 1)).all())
        if by_turns and bool(tabby[ground].all()) and bool(floating[between].any()):
            return bool(not tabby[between].any())
    return False


def is_straight_twill(block: Bools) -> bool:
    """Whether every pick is the one before it moved on by one end, always the same way, as a continuous
    repeat."""
    after = np.roll(block, -1, axis=0)
    return len(block) > 2 and any(np.array_equal(after, np.roll(block, way, axis=1)) for way in (1, -1))


def is_lace(block: Bools) -> bool:
    """Whether this is lace: floats between like threads of tabby, and plain weave, and nothing else.

    A lace spot is three by three: a float of three between two like threads of tabby, as huck, Bronson
    and Swedish lace have it. Where every end turns as often as the next and every pick too, as in twills
    and satins, the count of intersections holds and it is not a lace.
    """
    turns = block != _moved(block, 0, 1), block != _moved(block, 1, 0)
    if not any(np.ptp(turned.sum(axis=axis)) for turned, axis in zip(turns, (1, 0), strict=True)):
        return False
    spots = _spots(block) | _spots(block.T).T
    covered = _grown(spots | _plain(block))
    return bool(spots.mean() >= LACE_SPOTS and covered.mean() >= LACE_AND_GROUND)


def _spots(block: Bools) -> Bools:
    """Middles of weft floats of three between two like tabby picks, bool[P, E], repeated without end."""
    tabby = (block != _moved(block, 0, 1)) & (block != _moved(block, 0, -1))
    before, after = _moved(block, -1, 0), _moved(block, 1, 0)
    like = _moved(tabby, -1, 0) & _moved(tabby, 1, 0) & (before == after)
    spots: Bools = _three_alike(block) & like
    return spots


def _three_alike(block: Bools) -> Bools:
    """Middles of weft floats of three or more, bool[P, E], repeated without end."""
    alike: Bools = (block == _moved(block, 0, 1)) & (block == _moved(block, 0, -1))
    return alike


def _plain(block: Bools) -> Bools:
    """Crossings that weave plain with all eight around them, bool[P, E], repeated without end."""
    plain = np.ones_like(block)
    for down, right in _AROUND:
        plain &= (_moved(block, down, right) == block) == ((down + right) % 2 == 0)
    return plain


def _grown(marked: Bools) -> Bools:
    """The marked crossings and the eight around each."""
    grown = marked.copy()
    for down, right in _AROUND:
        grown |= _moved(marked, down, right)
    return grown


_AROUND = tuple((down, right) for down in (-1, 0, 1) for right in (-1, 0, 1) if down or right)


def _moved(block: Bools, down: int, right: int) -> Bools:
    """The array moved on by that many picks and ends, repeated without end."""
    moved: Bools = np.roll(block, (-down, -right), axis=(0, 1))
    return moved

"""Cloth whose intersections are spread unevenly, so that a count of them misjudges its sett.

The signs are looked for with care: a plain twill, satin or tabby shows none of them.
Which cloths go by chart and intent is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.warp.chart import Kind

Bools = npt.NDArray[np.bool_]

# One set of threads that hides the other: threads side by side over this share of the width. Our own
# limit, no source; the closest satin of eight has 0.8.
REP_COVER = 0.9
# A cloth is lace when at least this share of its crossings lie in a lace spot. Our own limit, no source.
LACE_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Uneven:
    """Why the chart rules, and the column of the chart to go by (None: as its intersections say)."""

    says: str
    goes_by: Kind | None


def why_chart_rules(
    block: Bools, layers: int, *, warp_cover: float, weft_cover: float | None
) -> Uneven | None:
    """The first sign that the chart rules, or None.

    :param block: drawdown of the repeat, bool[picks, ends]
    :param warp_cover: share of the width that one layer's ends side by side take; ``weft_cover`` likewise
    """
    if layers > 1:
        return Uneven(
            f"The chart rules: {layers} layers share this reed, and each wants the sett of a cloth "
            f"of its own: one layer's sett, {layers} times.",
            None,
        )
    if warp_cover >= REP_COVER:
        return Uneven(
            "The chart and your intent rule: ends this close hide the weft (rep, warp-faced), "
            "and the count of intersections does not tell how close they may go.",
            "plain",
        )
    if weft_cover is not None and weft_cover >= REP_COVER:
        return Uneven(
            "The chart and your intent rule: picks this close hide the warp (weft-faced), "
            "so the ends must stand wider than the count of intersections says.",
            "plain",
        )
    if has_ground_between(block):
        return Uneven(
            "The chart rules: every other pick weaves a plain ground and a pattern weft floats over it; "
            "sett the ground as plain weave.",
            "plain",
        )
    if has_ground_between(block.T):
        return Uneven(
            "The chart rules: every other end belongs to a plain ground and pattern ends float over it; "
            "the ground's sett counts, and the pattern ends come on top.",
            "plain",
        )
    if lace_share(block) >= LACE_SHARE:
        return Uneven(
            "The chart rules: this is a lace, whose floats draw its threads into groups; "
            "it is sett wider than the count of intersections says.",
            "lace",
        )
    return None


def has_ground_between(block: Bools) -> bool:
    """Whether every other pick weaves tabby, by turns, and picks between float: a supplementary weft."""
    picks, ends = block.shape
    if picks % 2:  # an odd repeat comes round with its picks changed over
        block, picks = np.concatenate([block, block]), 2 * picks
    tabby = (block != np.roll(block, -1, axis=1)).all(axis=1) & (ends % 2 == 0)
    for first in (0, 1):
        ground, between = slice(first, None, 2), slice(1 - first, None, 2)
        rows = block[ground]
        by_turns = rows.shape[0] % 2 == 0 and bool((rows[:, 0] != np.roll(rows[:, 0], -1)).all())
        if bool(tabby[ground].all()) and by_turns and not tabby[between].any():
            return True
    return False


def lace_share(block: Bools) -> float:
    """Share of crossings, round and round, at the middle of a lace spot.

    A spot is three by three: a float of three between two like threads of tabby, as every huck, Bronson
    and Swedish lace has it, but no twill or satin.
    """
    spots = _spots(block) | _spots(block.T).T
    return float(spots.mean())


def _spots(block: Bools) -> Bools:
    """Middles of weft floats of three between two like tabby picks, bool[P, E]."""
    left, right = np.roll(block, 1, axis=1), np.roll(block, -1, axis=1)
    floats = (left == block) & (block == right)
    tabby = (left != block) & (block != right)
    before, after = np.roll(block, 1, axis=0), np.roll(block, -1, axis=0)
    like = np.roll(tabby, 1, axis=0) & np.roll(tabby, -1, axis=0) & (before == after)
    spots: Bools = floats & like
    return spots

"""Every figure of many drafts at once: some threadings, each with each of some lift plans.

All threadings of a batch use all its shafts, and no two shafts of a plan lift alike. Then a draft's repeat is
the threading's by the plan's, its mirror lines are theirs, and most figures belong to one of the two alone.
What needs both is looked up: for a threading, a table over the different lifts tells the longest weft float
and the ends over each; contrast is the product of two small Gram matrices, so that all pairs are one matrix
product. Longest warp floats come from the lifts of each shaft as the bits of a word.

On 16 shafts with 10 picks a draft takes a few microseconds (benchmarks/find.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from loomready.choose.drafts.lift_bits import shafts_as_words
from loomready.choose.drafts.steps_to_remember import numbered, steps_to_remember
from loomready.cloth.contrast import blur_mm, gram, luminance, overlap
from loomready.draft.draft import DARK, LIGHT, RGB, Bools, Ints
from loomready.draft.structure.periods import Words, pack

Numbers = npt.NDArray[np.int64]
Reals = npt.NDArray[np.float64]

MOST_PICKS = 64  # the picks of a repeat are the bits of one word
NEVER = 10_000  # the float of a thread that never turns


@dataclass(frozen=True, slots=True, eq=False)
class PlanFigures:
    """Figures of lift plans alone: arrays over N plans of P picks on S shafts.

    lifts          bool[N, P, S]
    words          uint64[N, P], the same, shaft 1 lowest
    kind           int64[N], what made them
    warp_float     int64[N], threads; NEVER where a shaft does not move
    distinct, lever_moves, most_up, steps   int64[N]
    mirror         bool[N], the order of lifts has a mirror line
    """

    lifts: Bools
    words: Words
    kind: Numbers
    warp_float: Numbers
    distinct: Numbers
    lever_moves: Numbers
    most_up: Numbers
    steps: Numbers
    mirror: Bools

    def __len__(self) -> int:
        return len(self.lifts)

    def take(self, chosen: npt.NDArray[np.generic]) -> PlanFigures:
        return PlanFigures(*(getattr(self, each.name)[chosen] for each in fields(self)))


@dataclass(frozen=True, slots=True, eq=False)
class PairFigures:
    """Figures of pairs of threading and plan: arrays [T, N]; contrast in the warp's and the weft's color."""

    weft_float: Numbers
    holds: Bools
    contrast: Reals


def sound(lifts: Bools) -> Bools:
    """Which plans bool[N, P, S] make a draft whose repeat is all of it: bool[N].

    Every shaft moves, no two lift alike, every pick opens a shed that is neither empty nor full, and the
    order of lifts has no shorter period, as a continuous repeat.
    """
    words = shafts_as_words(lifts)
    columns = shafts_as_words(lifts.swapaxes(1, 2))
    picks, shafts = lifts.shape[1:]
    full = np.uint64((1 << shafts) - 1)
    ordered = np.sort(columns, axis=1)
    fit: Bools = (ordered[:, 1:] != ordered[:, :-1]).all(axis=1)
    fit &= (columns != 0).all(axis=1) & (columns != np.uint64((1 << picks) - 1)).all(axis=1)
    fit &= (words != 0).all(axis=1) & (words != full).all(axis=1)
    for period in range(1, picks // 2 + 1):
        if picks % period == 0:
            fit &= (words != np.roll(words, period, axis=1)).any(axis=1)
    return fit


def begun_well(lifts: Bools) -> Bools:
    """The plans turned, where needed, so that read as a line they have no period shorter than themselves.

    A plan that ends with the picks it begins with would look like a shorter repeat and part of the next. The
    smallest of the rotations of a plan without a shorter period never does (Lyndon 1954; title from memory).
    """
    words = shafts_as_words(lifts)
    picks = words.shape[1]
    bordered = np.zeros(len(words), np.bool_)
    for length in range(1, picks):
        bordered |= (words[:, :length] == words[:, picks - length :]).all(axis=1)
    made = lifts.copy()
    for plan in np.flatnonzero(bordered):
        turned = np.stack([np.roll(words[plan], -start) for start in range(picks)])
        made[plan] = np.roll(lifts[plan], -int(np.lexsort(turned.T[::-1])[0]), axis=0)
    return made


def of_plans(lifts: Bools, kind: Numbers) -> PlanFigures:
    """The figures of plans bool[N, P, S], P at most MOST_PICKS."""
    words = shafts_as_words(lifts)
    ordered = np.sort(words, axis=1)
    return PlanFigures(
        lifts=lifts,
        words=words,
        kind=kind,
        warp_float=_warp_floats(shafts_as_words(lifts.swapaxes(1, 2)), lifts.shape[1]),
        distinct=1 + np.count_nonzero(ordered[:, 1:] != ordered[:, :-1], axis=1),
        lever_moves=np.bitwise_count(words ^ np.roll(words, 1, axis=1)).sum(axis=1, dtype=np.int64),
        most_up=np.bitwise_count(words).max(axis=1).astype(np.int64),
        steps=steps_to_remember(numbered(words)).astype(np.int64),
        mirror=_mirrored(words),
    )


def _warp_floats(columns: Words, picks: int) -> Numbers:
    """The longest run of equal picks in words uint64[N, S], read around their first bits: int64[N]."""
    mask = np.uint64((1 << picks) - 1)
    one, last = np.uint64(1), np.uint64(picks - 1)
    turned = ((columns >> one) | (columns << last)) & mask
    same = ~(columns ^ turned) & mask
    found = np.ones(len(columns), np.int64)
    run = same
    for _ in range(picks):
        running = (run != 0).any(axis=1)
        if not running.any():
            break
        found += running
        same = ((same >> one) | (same << last)) & mask
        run = run & same
    found[((columns == 0) | (columns == mask)).any(axis=1)] = NEVER
    return found


def _mirrored(words: Words) -> Bools:
    backward = words[:, ::-1]
    found = np.zeros(len(words), np.bool_)
    for turn in range(words.shape[1]):
        found |= (np.roll(backward, turn, axis=1) == words).all(axis=1)
    return found


def of_pairs(
    threadings: Sequence[Ints],
    plans: PlanFigures,
    *,
    mm_per_end: float,
    mm_per_pick: float,
    distance_m: float,
    warp_color: RGB = DARK,
    weft_color: RGB = LIGHT,
) -> PairFigures:
    """Every threading int[E] (of any lengths) with every plan."""
    count, picks, shafts = plans.lifts.shape
    known, places = np.unique(plans.words, return_inverse=True)
    places = places.reshape(count, picks)
    bits: Bools = (known[:, None] >> np.arange(shafts, dtype=np.uint64) & np.uint64(1)).astype(np.bool_)
    sigma = blur_mm(distance_m)
    of_lifts = gram(plans.lifts.swapaxes(1, 2).astype(np.float64), overlap(picks, mm_per_pick, sigma))
    over = plans.lifts.sum(axis=1)  # picks that each shaft's ends lie over
    weft, holds = np.empty((2, len(threadings), count), np.int64)
    of_ends = np.empty((len(threadings), shafts, shafts))
    share = np.empty((len(threadings), count))
    for number, threading in enumerate(threadings):
        ends = len(threading)
        on_shaft = threading == np.arange(shafts)[:, None]
        heddles = on_shaft.sum(axis=1)
        weft[number] = weft_floats(bits, threading)[places].max(axis=1)
        ends_over = (bits @ heddles.astype(np.float32)).astype(np.int32)[places]
        holds[number] = _holds(heddles, over, ends_over)
        of_ends[number] = gram(on_shaft.astype(np.float64), overlap(ends, mm_per_end, sigma))
        share[number] = over @ heddles / (ends * picks)
    square = of_ends.reshape(len(threadings), -1) @ of_lifts.reshape(count, -1).T
    of_warp, of_weft = luminance([warp_color, weft_color]).tolist()
    left = abs(of_weft - of_warp) * np.sqrt(np.maximum(square - share**2, 0.0))
    mean = of_weft + (of_warp - of_weft) * share
    contrast = np.divide(left, mean, out=np.zeros_like(left), where=mean > 0)
    return PairFigures(weft, holds.astype(np.bool_), contrast)


def weft_floats(lifts: Bools, threading: Ints) -> Numbers:
    """The longest float of each lift bool[V, S] over threading int[E], as a continuous repeat: int64[V]."""
    by_shaft = pack(np.ascontiguousarray(lifts.T))
    ends = by_shaft.take(threading, axis=0)
    same = ~(ends ^ np.roll(ends, -1, axis=0))
    loose = np.bitwise_and.reduce(same, axis=0)
    same &= ~loose
    round_again = np.concatenate([same, same])
    found = np.ones(len(lifts), np.int64)
    run = same.copy()  # where a float of so many threads begins
    for longer in range(1, len(threading) + 1):
        running = np.bitwise_or.reduce(run, axis=0)
        if not running.any():
            break
        found += _unpacked(running, len(lifts))
        run &= round_again[longer : longer + len(same)]
    found[_unpacked(loose, len(lifts)).astype(np.bool_)] = NEVER
    return found


def _unpacked(words: Words, count: int) -> npt.NDArray[np.uint8]:
    return np.unpackbits(words.view(np.uint8), bitorder="little")[:count]


def _holds(heddles: Numbers, over: Numbers, ends_over: npt.NDArray[np.int32]) -> Bools:
    """Whether each plan's cloth holds together, by the criterion of ``draft.integrity``: bool[N].

    heddles    int[S], ends on each shaft; over int[N, S], picks that they lie over
    ends_over  int[N, P], ends over each pick
    """
    picks, ends = ends_over.shape[1], int(heddles.sum())
    order = np.argsort(-over, axis=1, kind="stable")
    taken = heddles[order].cumsum(axis=1)
    highest = (heddles * over)[np.arange(len(over))[:, None], order].cumsum(axis=1)
    held = np.asarray((ends_over > 0) & (ends_over < ends)).all(axis=1)
    for place in range(len(heddles) - 1):
        ends_taken = taken[:, place].astype(np.int32)
        under = np.maximum(ends_taken[:, None] - ends_over, 0).sum(axis=1)
        held &= ends_taken * picks - highest[:, place] - under > 0
    return np.asarray(held, np.bool_)

"""What one slip could be, each possibility with its weight, narrowed by what somebody sees at the loom.

Three kinds of observation narrow it: where the fault lies, how it looks, and whether an end rises with a
lift. None of them is taken as certain: people miscount and misread. A state is never changed; each
observation gives a new one.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt

from loomready.slips import align
from loomready.slips.result import Slip, SlipKind, odds
from loomready.slips.test_picks import used_shafts

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Sign = Literal["one end", "two ends", "shift", "gap", "crowded", "late"]

KINDS: tuple[SlipKind, ...] = (
    "wrong shaft",
    "crossed",
    "skipped",
    "extra",
    "empty dent",
    "crowded dent",
    "round its heddle",
)
_WRONG, _CROSSED, _SKIPPED, _EXTRA, _EMPTY, _CROWDED, _ROUND = range(len(KINDS))
UNSEEN_KINDS = (_EMPTY, _CROWDED, _ROUND)  # no lift shows them
SIGNS: tuple[Sign, ...] = ("one end", "two ends", "shift", "gap", "crowded", "late")
# How often each kind is met, and the share of each kind that shows each sign (common practice, no source).
_OFTEN = np.array([1.0, 1.0, 1.0, 1.0, 0.5, 0.5, 0.5])
SHOWS = np.array(
    [
        [0.80, 0.06, 0.02, 0.04, 0.04, 0.04],
        [0.20, 0.74, 0.02, 0.01, 0.02, 0.01],
        [0.10, 0.04, 0.72, 0.10, 0.02, 0.02],
        [0.14, 0.04, 0.70, 0.01, 0.10, 0.01],
        [0.02, 0.02, 0.02, 0.92, 0.01, 0.01],
        [0.02, 0.04, 0.02, 0.01, 0.90, 0.01],
        [0.24, 0.02, 0.01, 0.01, 0.02, 0.70],
    ]
)
MISREAD = 0.02  # of answers whether an end rises
_MISCOUNT = 1.0  # each end farther from where it was seen is e times less likely
_BESIDE = 3  # ends by which a count may be off
_ELSEWHERE = 1e-5  # that the place was wrong altogether


@dataclass(frozen=True, slots=True, eq=False)
class Possible:
    """Everything that one slip could be, with weights that add up to 1.

    planned  int[E], shafts from 0; S: not threaded
    kind     int[H], place in ``KINDS``
    end      int[H], planned end, from 0: of two crossed ones the first, of an extra one the end after it
    shaft    int[H], found shaft from 0, S: not threaded, -1: none
    """

    planned: Ints
    shafts: int
    kind: Ints
    end: Ints
    shaft: Ints
    weight: Floats

    @property
    def ends(self) -> int:
        return len(self.planned)

    def on(self, column: int) -> Ints:
        """int[H]: the shaft of this end, counted on the loom from 0, by each possibility; S: in none."""
        last = np.append(self.planned, self.shafts)  # beyond the web nothing is threaded
        steps = np.zeros(len(self.kind), dtype=np.int64)
        steps[(self.kind == _SKIPPED) & (column >= self.end)] = 1
        steps[(self.kind == _EXTRA) & (column > self.end)] = -1
        steps[(self.kind == _CROSSED) & (column == self.end)] = 1
        steps[(self.kind == _CROSSED) & (column == self.end + 1)] = -1
        shaft: Ints = last[np.clip(column + steps, 0, self.ends)]
        here = ((self.kind == _WRONG) | (self.kind == _EXTRA)) & (column == self.end)
        return np.where(here, self.shaft, shaft)

    def rises(self, column: int, lifted: Collection[int]) -> Bools:
        """bool[H]: whether that end rises with these shafts (from 0)."""
        up: Bools = np.isin(self.on(column), list(lifted))
        return up


def everything(threading: npt.NDArray[np.integer], shafts: int, free: Bools | None = None) -> Possible:
    """All single slips of a web.

    What weaves the same is one possibility: of a run on one shaft the first end stands for all.

    :param threading: int[E], shafts from 0; -1: not threaded
    :param free: bool[E], floating selvedges, which nobody threads
    """
    planned = np.where(threading < 0, shafts, threading).astype(np.int64)
    used = np.array(used_shafts(threading), dtype=np.int64)
    rare = align.costs(len(planned), used, shafts)
    threaded = np.ones(len(planned), dtype=np.bool_) if free is None else ~free
    ends = np.flatnonzero(threaded)
    parts: list[tuple[Ints, Ints, Ints, Floats]] = []

    def add(kind: int, end: Ints, shaft: Ints, weight: Floats) -> None:
        if weight.sum() > 0:
            parts.append((np.full(len(end), kind), end, shaft, weight / weight.sum() * _OFTEN[kind]))

    number = np.arange(shafts + 1)
    every, found = np.repeat(ends, shafts + 1), np.tile(number, len(ends))
    add(_WRONG, every, found, np.exp(rare.shaft[planned[every], found]))
    first = ends[(ends + 1 < len(planned))]
    first = first[threaded[first + 1] & (planned[first] != planned[first + 1])]
    add(_CROSSED, first, planned[first + 1], np.ones(len(first)))
    run = _first_of_run(planned)
    run = np.maximum(run, ends[0]) if len(ends) else run
    add(_SKIPPED, *_summed(run[ends], np.full(len(ends), -1), np.ones(len(ends))))
    places = np.append(ends, ends[-1] + 1) if len(ends) else ends
    before, on = np.repeat(places, shafts + 1), np.tile(number, len(places))
    beside = np.maximum(before - 1, 0)
    same = (before > 0) & (planned[beside] == on) & threaded[beside]
    before = np.where(same, run[beside], before)
    add(_EXTRA, *_summed(before, on, np.exp(rare.any_shaft[on])))
    none = np.full(len(ends), -1)
    for kind in UNSEEN_KINDS:
        add(kind, ends, none, np.ones(len(ends)))
    kinds, where, shaft, weight = (np.concatenate(column) for column in zip(*parts, strict=True))
    kept = weight > 0
    return _weighed(Possible(planned, shafts, kinds[kept], where[kept], shaft[kept], weight[kept]))


def at(possible: Possible, first: int, last: int) -> Possible:
    """The fault was seen at these ends, from 1; they may be miscounted by a little."""
    place = possible.end + 1.0
    place[possible.kind == _CROSSED] += 0.5
    place[possible.kind == _EMPTY] -= 0.5  # between two ends
    away = np.maximum(np.maximum(first - place, place - last), 0)
    return _weighed(possible, np.maximum(np.exp(-_MISCOUNT * away), _ELSEWHERE))


def looks(possible: Possible, sign: Sign) -> Possible:
    """How the fault looks."""
    return _weighed(possible, SHOWS[possible.kind, SIGNS.index(sign)])


def rose(possible: Possible, lifted: Collection[int], seen: Sequence[tuple[int, bool]]) -> Possible:
    """Whether ends (from 1, counted on the loom) rose when these shafts (from 1) were lifted."""
    like = np.ones(len(possible.weight))
    shafts = [shaft - 1 for shaft in lifted]
    for end, up in seen:
        like *= np.where(possible.rises(end - 1, shafts) == up, 1 - MISREAD, MISREAD)
    return _weighed(possible, like)


def certainty(possible: Possible, place: int) -> float:
    """How likely a possibility is; a slip that no lift shows counts with the ends beside it.

    Its end is only as exact as somebody's count, and hands find it at a glance.
    """
    kind = possible.kind[place]
    if kind not in UNSEEN_KINDS:
        return float(possible.weight[place])
    near = (possible.kind == kind) & (np.abs(possible.end - possible.end[place]) <= _BESIDE)
    return float(possible.weight[near].sum())


def slip_of(possible: Possible, place: int) -> Slip:
    """A possibility as a slip, with its odds against all others."""
    kind, end, shaft = (int(each[place]) for each in (possible.kind, possible.end, possible.shaft))
    planned = int(possible.planned[end]) if end < possible.ends and kind != _EXTRA else None
    return Slip(
        KINDS[kind],
        end + 1,
        None,
        None if planned is None or kind in (_EMPTY, _CROWDED) else _number(planned, possible.shafts),
        None if shaft < 0 else _number(shaft, possible.shafts),
        odds(certainty(possible, place)),
    )


def likeliest(possible: Possible, most: int = 1) -> list[Slip]:
    """The likeliest slips, the likeliest first."""
    order = np.argsort(-possible.weight, kind="stable")[:most]
    return [slip_of(possible, int(place)) for place in order]


def _number(shaft: int, shafts: int) -> int:
    return 0 if shaft == shafts else shaft + 1


def _first_of_run(planned: Ints) -> Ints:
    """int[E]: the first end of the run on one shaft that each end is in."""
    begins = np.append(True, planned[1:] != planned[:-1])[: len(planned)]
    first: Ints = np.maximum.accumulate(np.where(begins, np.arange(len(planned)), 0))
    return first


def _summed(end: Ints, shaft: Ints, weight: Floats) -> tuple[Ints, Ints, Floats]:
    pairs, place = np.unique(np.stack([end, shaft], axis=1), axis=0, return_inverse=True)
    return pairs[:, 0], pairs[:, 1], np.bincount(place.reshape(-1), weight).astype(np.float64)


def _weighed(possible: Possible, like: Floats | None = None) -> Possible:
    weight = possible.weight if like is None else possible.weight * like
    return replace(possible, weight=weight / weight.sum())

"""Floats: how many threads a thread passes over, or under, before it turns.

Sixty-four lines are processed at a time, a bit each: with ``same[i]`` the bits of the lines that do not
change face from thread i to the next, ``x[i] & x[i + k]`` leaves the lines whose float is k threads
longer. Doubling k finds the longest float in about 2 log2(float) passes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loomready.draft.draft import Bools, Floats, Ints
from loomready.draft.structure.periods import Words, pack

_CHUNK_WORDS = 1 << 17  # 1 MB of bits at a time: they stay in the processor's cache


@dataclass(frozen=True, slots=True)
class Longest:
    """The longest float of a set of lines.

    threads  the longest among the lines that turn, 0 where none does
    loose    whether some line never turns: it never interlaces
    """

    threads: int
    loose: bool

    @property
    def or_none(self) -> int | None:
        return None if self.loose else self.threads


def longest(block: Bools) -> tuple[int | None, int | None]:
    """Longest warp float and longest weft float of a drawdown bool[P, E], on either face, as a continuous
    repeat.

    None where an end (a pick) never interlaces.

    >>> longest(np.array([[1, 1, 0], [0, 1, 1], [1, 0, 1]], dtype=bool))
    (2, 2)
    """
    return along_axis(block).or_none, along_axis(block.T).or_none


def from_lifts(lifts: Bools, threading: Ints) -> tuple[int | None, int | None]:
    """The same from lifts bool[P, S] and threading int[E], without a drawdown."""
    return warp(lifts, threading).or_none, weft(lifts, threading).or_none


def warp(lifts: Bools, threading: Ints) -> Longest:
    """Floats of the ends: they depend on the shaft alone."""
    used = np.unique(threading)
    found = along_axis(lifts[:, used[used >= 0]])
    in_no_heddle = bool(used.size) and int(used[0]) < 0
    return Longest(found.threads, found.loose or in_no_heddle)


def weft(lifts: Bools, threading: Ints) -> Longest:
    """Floats of the picks, worked out for each lift in ``lifts`` (give each different one once)."""
    by_shaft = _with_no_heddle(pack(lifts.T))
    return _longest(by_shaft, threading, lifts.shape[0])


def along_axis(lines: Bools) -> Longest:
    """Longest run down the columns of bool[n, m], as a continuous repeat."""
    return _longest(pack(lines), None, lines.shape[1])


def _with_no_heddle(by_shaft: Words) -> Words:
    return np.concatenate([by_shaft, np.zeros((1, by_shaft.shape[1]), np.uint64)])


def weft_reaching(lifts: Bools, threading: Ints, threads: int) -> Bools:
    """Which picks have a float of that many ends or more, bool[P]; picks that never turn are left out."""
    by_shaft = _with_no_heddle(pack(lifts.T))
    found = []
    for same, turning in _turns(by_shaft, threading, lifts.shape[0]):
        run = 1
        while run < threads - 1:
            step = min(run, threads - 1 - run)
            same &= np.roll(same, -step, axis=0)
            run += step
        found.append(turning if threads <= 1 else turning & np.bitwise_or.reduce(same, axis=0))
    bits = np.unpackbits(np.concatenate(found).view(np.uint8), bitorder="little")
    reached: Bools = bits[: lifts.shape[0]].astype(np.bool_)
    return reached


def _turns(words: Words, order: Ints | None, lines: int) -> Iterator[tuple[Words, Words]]:
    """The first ``lines`` bits of uint64[n, w], some words at a time, in row ``order`` (-1: the last).

    Two parts: bits of the turning lines that do not change face from each thread to the next, uint64[n, .],
    and which lines turn at all, uint64[.].
    """
    valid = pack(np.ones((1, lines), np.bool_))[0]
    length = len(words) if order is None else len(order)
    step = max(1, _CHUNK_WORDS // max(1, length))
    for start in range(0, words.shape[1], step):
        part = words[:, start : start + step]
        if order is not None:
            part = part.take(order, axis=0, mode="wrap")
        same = ~(part ^ np.roll(part, -1, axis=0))
        turning = valid[start : start + step] & ~np.bitwise_and.reduce(same, axis=0)
        same &= turning
        yield same, turning


def _longest(words: Words, order: Ints | None, lines: int) -> Longest:
    """Longest run down uint64[n, w] in its first ``lines`` bits, in row ``order`` (-1: the last)."""
    threads, turned = 0, 0
    for same, turning in _turns(words, order, lines):
        turned += int(np.bitwise_count(turning).sum())
        if turning.any():
            threads = max(threads, 1 + _longest_run(same, at_least=threads - 1))
    return Longest(threads, loose=turned < lines)


def _longest_run(ones: Words, at_least: int) -> int:
    """Longest run of set bits down uint64[n, w], as a continuous repeat; no bit is set all the way down.

    ``at_least``: shorter runs are of no interest and may be answered by 0.
    """
    if not ones.any():
        return 0
    levels = [ones]  # levels[k]: runs of 2**k start here
    while True:
        double = levels[-1] & np.roll(levels[-1], -(1 << (len(levels) - 1)), axis=0)
        if not double.any():
            break
        levels.append(double)
    run, here = 1 << (len(levels) - 1), levels[-1]
    if 2 * run <= at_least:
        return 0
    for k in range(len(levels) - 2, -1, -1):
        longer = here & np.roll(levels[k], -run, axis=0)
        if longer.any():
            run, here = run + (1 << k), longer
    return run


def widest_mm(lines: Bools, spacing_mm: Floats) -> Floats:
    """The widest float of each row of bool[m, n], as a continuous repeat, in mm; 0 for a row that never
    turns.

    spacing_mm  float[n], the room that each thread passed over takes
    """
    widest = np.zeros(len(lines))
    edge = np.concatenate([[0.0], np.cumsum(spacing_mm)])
    step = max(1, (1 << 20) // max(1, lines.shape[1]))
    for start in range(0, len(lines), step):
        part = lines[start : start + step]
        row, turn = np.nonzero(part != np.roll(part, 1, axis=1))
        if not row.size:
            continue
        first = np.flatnonzero(np.concatenate([[True], row[1:] != row[:-1]]))
        following = np.concatenate([turn[1:], turn[:1]])
        last = np.concatenate([first[1:], [len(row)]]) - 1
        following[last] = turn[first]
        length = edge[following] - edge[turn]
        length[last] += edge[-1]
        widest[start + row[first]] = np.maximum.reduceat(length, first)
    return widest

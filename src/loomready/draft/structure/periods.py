"""Repeats of a sequence of threads: numbered threads, smallest periods, mirror lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools

Numbers = npt.NDArray[np.int64]
AnyInts = npt.NDArray[np.integer]
Words = npt.NDArray[np.uint64]


@dataclass(frozen=True, slots=True, eq=False)
class Numbered:
    """Threads numbered by what they do: equal threads have equal numbers.

    ids    int64[n], from 0 in order of first appearance
    first  int64[k], where each of the k different ones appears first
    """

    ids: Numbers
    first: Numbers

    @property
    def count(self) -> int:
        return len(self.first)


def number(*sequences: npt.NDArray[np.generic]) -> Numbered:
    """Number the threads of parallel sequences [n]: equal only where all the sequences agree.

    >>> number(np.array([7, 7, 3, 7]), np.array([0, 1, 0, 0])).ids.tolist()
    [0, 1, 2, 0]
    """
    together = np.zeros(len(sequences[0]), dtype=np.int64)
    for sequence in sequences:
        different, codes = np.unique(sequence, return_inverse=True)
        together = together * len(different) + codes
        if len(sequences) > 1:  # back to small numbers, so that no product overflows
            together = np.unique(together, return_inverse=True)[1]
    return _in_order(together)


def number_rows(rows: Bools) -> Numbered:
    """Number the rows of bool[n, m] by what they hold."""
    words = pack(rows)
    if words.shape[1] == 1:
        return _in_order(words[:, 0])
    whole = np.ascontiguousarray(words).view(np.dtype((np.void, 8 * words.shape[1])))[:, 0]
    return _in_order(whole)


def number_columns(columns: Bools) -> Numbered:
    """Number the columns of bool[n, m] by what they hold."""
    return number_rows(columns.T)


def _in_order(keys: npt.NDArray[np.generic]) -> Numbered:
    _, first, codes = np.unique(keys, return_index=True, return_inverse=True)
    order = np.argsort(first)
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    return Numbered(ids=rank[codes], first=first[order])


def pack(rows: Bools) -> Words:
    """Rows of bool[n, m] as bits, uint64[n, at least 1 and ceil(m / 64)]; bits past m are 0."""
    packed = np.packbits(rows, axis=1, bitorder="little")
    words = max(1, -(-packed.shape[1] // 8))
    padded = np.zeros((rows.shape[0], 8 * words), dtype=np.uint8)
    padded[:, : packed.shape[1]] = packed
    return padded.view(np.uint64)


def runs(values: npt.NDArray[np.generic]) -> Iterator[tuple[int, int]]:
    """Start and length of each run of equal values in a row.

    >>> list(runs(np.array([7, 7, 2])))
    [(0, 2), (2, 1)]
    """
    if not len(values):
        return
    starts = np.concatenate([[0], np.flatnonzero(values[1:] != values[:-1]) + 1])
    yield from zip(starts.tolist(), np.diff(starts, append=len(values)).tolist(), strict=True)


def smallest_period(ids: AnyInts) -> int:
    """The smallest period of int[n], read as a line: a partial last repeat is allowed.

    The smallest p with ids[i + p] = ids[i] wherever both exist: n less its longest border, which is a
    beginning that is also an end (Knuth, Morris, Pratt, SIAM J. Comput. 6 (1977) 323-350). Linear:
    a few ms at 20 000 threads. 0 for no threads at all.

    >>> smallest_period(np.array([1, 2, 3, 1, 2, 3, 1])), smallest_period(np.array([1, 2, 3]))
    (3, 3)
    """
    threads = ids.tolist()
    border = [0] * len(threads)
    matched = 0
    for i in range(1, len(threads)):
        thread = threads[i]
        while matched and threads[matched] != thread:
            matched = border[matched - 1]
        if threads[matched] == thread:
            matched += 1
        border[i] = matched
    return len(threads) - matched


def cyclic_period(ids: AnyInts) -> int:
    """The smallest period of int[n] read as a continuous repeat: it divides n.

    Where a period d divides n, d and the line's smallest period p are together at most n, so that
    their greatest common divisor is a period too (Fine and Wilf 1965): p divides n, and is the answer.

    >>> cyclic_period(np.array([1, 2, 1, 2])), cyclic_period(np.array([1, 2, 1]))
    (2, 3)
    """
    period = smallest_period(ids)
    return period if period and len(ids) % period == 0 else len(ids)


def mirrors(ids: AnyInts) -> bool:
    """Whether int[n], read as a continuous repeat, has a mirror line, through a thread or between two.

    It has one exactly when its reversal is a rotation of it.

    >>> mirrors(np.array([1, 2, 3, 2])), mirrors(np.array([1, 2, 3]))
    (True, False)
    """
    forward = _text(ids)
    return forward[::-1] in forward + forward


def _text(ids: AnyInts) -> str:
    # One character for each thread: Python searches text in linear time.
    codes = number(ids).ids.astype("<u4").tobytes()
    return codes.decode("utf-32-le", "surrogatepass")

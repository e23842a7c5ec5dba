"""Mirror lines of a repeat (taken as continuous), and how many threads break each of them.

Threads are counted from 0 here and the axis b brings thread i upon thread b - i, as a continuous repeat.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loomready.draft.structure.periods import AnyInts, Numbers


def mismatched_pairs(ids: AnyInts) -> Numbers:
    """For each axis of int[n] how many pairs of threads differ, int64[n].

    The threads that match, summed over the kinds of thread, are each kind's indicator folded with
    itself: all axes at once by Fourier transform. Pairs are disjoint, so that to change one thread of
    each differing pair is the fewest that can do.
    """
    count = len(ids)
    size = 1 << (2 * count - 1).bit_length()
    spectrum = np.zeros(size // 2 + 1, dtype=np.complex128)
    for kind in np.unique(ids):
        one = np.fft.rfft(ids == kind, size)
        spectrum += one * one
    folded = np.rint(np.fft.irfft(spectrum, size)).astype(np.int64)
    meets = folded[:count] + folded[count : 2 * count]
    pairs: Numbers = (count - meets) // 2
    return pairs


def pairs(count: int, axis: int) -> tuple[Numbers, Numbers]:
    """The pairs of an axis from one end of it to the other: threads on its one side and on its other."""
    right = axis // 2 + 1 + np.arange((count - 1 + axis % 2) // 2)
    return right % count, (axis - right) % count


@dataclass(frozen=True, slots=True)
class Join:
    """A place between two mirrored runs: the fewest threads to add or drop there.

    place    the threads before ``place`` end one mirror, from it on another begins
    before   threads in the mirror that ends here; after: in the one that begins here
    between  the rest, on the far side: dropped, or repeated here in reverse, they balance it
    """

    place: int
    before: int
    after: int
    between: int


def joins(ids: AnyInts) -> list[Join]:
    """The places of an unbalanced round int[n] where the fewest threads are added or dropped.

    A round has a mirror line exactly when it is two runs, each its own reverse. So a round with one run m
    dropped balances when the rest is two such runs that meet somewhere; and with m in reverse put
    between the two it balances as well. The longest two that meet at a place leave the shortest m: for
    one place to add, or one to drop, it is the fewest.
    """
    count = len(ids)
    at_center = np.tile(_mirror_lengths(ids), 3)
    lengths = np.arange(count)
    found: list[Join] = []
    fewest = count
    for place in range(count):
        middle = 2 * count + 2 * place - 1
        after = np.flatnonzero(at_center[middle : middle + count] >= lengths)
        before = np.flatnonzero(at_center[middle - count + 1 : middle + 1][::-1] >= lengths)
        longest = int(after[-1]), int(before[-1])
        if sum(longest) >= count:  # the two overlap: shorter ones that do not
            fits = before[np.searchsorted(before, count - after, side="left") - 1]
            best = int(np.argmax(after + fits))
            longest = int(after[best]), int(fits[best])
        between = count - sum(longest)
        if between < fewest:
            fewest, found = between, []
        if between == fewest:
            found.append(Join(place, before=longest[1], after=longest[0], between=between))
    return found


def _mirror_lengths(ids: AnyInts) -> Numbers:
    """The longest run that is its own reverse about each center of the round int[n], at most n: int64[2n].

    Center t lies halfway between threads i and j with i + j = t. Linear (Manacher, J. ACM 22 (1975)
    346-351, from memory), on three rounds, of which the middle one counts.
    """
    count = len(ids)
    threads = np.tile(ids, 3).tolist()
    total = len(threads)
    lengths = [0] * (2 * total - 1)
    reach, about = -1, 0  # the run that reaches farthest, and its center
    for center in range(2 * total - 1):
        length = 0 if center % 2 else 1
        inside = 2 * reach - center + 1  # a run about this center that goes just as far
        if inside > 0:
            length = min(lengths[2 * about - center], inside)
        left = (center - length + 1) // 2 - 1
        right = center - left
        while left >= 0 and right < total and threads[left] == threads[right]:
            left, right = left - 1, right + 1
        lengths[center] = right - left - 1
        if right - 1 > reach:
            reach, about = right - 1, center
    middle = np.array(lengths[2 * count : 4 * count], dtype=np.int64)
    # Longer ones overlap themselves: cut to n, or n - 1 where only that is centered here.
    longest = count - (np.arange(2 * count) + 1 + count) % 2
    return np.minimum(middle, longest)

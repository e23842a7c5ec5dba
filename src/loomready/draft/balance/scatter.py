"""The fewest ends to add or drop anywhere in a repeat, so that it has a mirror line.

A repeat has a mirror line exactly when it can be cut into two runs, each its own reverse. So the most ends
that
can stay are, over all two cuts, the longest run inside each piece that is its own reverse when the ends
between are left out. All pieces are counted at once, the short ones first, a whole length of them at a time.
Ends that cannot stay are dropped; or each is added once more where its mirror image would be. The number is
the same for both: instead of adding ends, their mirror images could be dropped.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.draft.structure.periods import AnyInts, Numbers

MOST_ENDS = 1_500  # a table of all pieces: some 5 MB, and about a tenth of a second

Lengths = npt.NDArray[np.int16]


@dataclass(frozen=True, slots=True, eq=False)
class Scattered:
    """A balanced round made from another.

    dropped  int64[n'], the ends (from 0) that stay, in order
    added    int64[n + k], for each end of the larger round the end it comes from; ``extra`` bool marks the k
             ends that are added
    """

    dropped: Numbers
    added: Numbers
    extra: npt.NDArray[np.bool_]


def most_that_stay(ids: AnyInts) -> Lengths:
    """int16[n + 1, n]: of the piece of each length that starts at each end, how many ends can stay."""
    count = len(ids)
    most = np.zeros((count + 1, count), dtype=np.int16)
    most[1] = 1
    ends = np.arange(count)
    for length in range(2, count + 1):
        last = ids[(ends + length - 1) % count]
        inner, later = np.roll(most[length - 2], -1), np.roll(most[length - 1], -1)
        most[length] = np.where(ids == last, inner + 2, np.maximum(most[length - 1], later))
    return most


def scattered(ids: AnyInts, looked_at: int) -> tuple[int, Iterator[Scattered]]:
    """How many ends must be added or dropped, and some ways with that number."""
    count = len(ids)
    most = most_that_stay(ids)
    starts, lengths = np.arange(count)[None], np.arange(count + 1)[:, None]
    stay = most + most[count - lengths, (starts + lengths) % count]
    best = int(stay.max())
    cuts = np.argwhere(stay == best)
    chosen = cuts[np.unique(np.linspace(0, len(cuts) - 1, looked_at).astype(int))]
    return count - best, (_cut(ids, most, int(start), int(length)) for length, start in chosen)


def _cut(ids: AnyInts, most: Lengths, start: int, length: int) -> Scattered:
    count = len(ids)
    pieces = [(start, length), ((start + length) % count, count - length)]
    stays: list[int] = []
    larger: list[tuple[int, bool]] = []
    for first, ends in pieces:
        kept, grown = _piece(ids, most, first, ends)
        stays += kept
        larger += grown
    begin = next((at for at, (end, extra) in enumerate(larger) if end == 0 and not extra), 0)
    larger = larger[begin:] + larger[:begin]
    return Scattered(
        dropped=np.sort(np.array(stays, dtype=np.int64)),
        added=np.array([end for end, _ in larger], dtype=np.int64),
        extra=np.array([extra for _, extra in larger], dtype=np.bool_),
    )


def _piece(ids: AnyInts, most: Lengths, first: int, length: int) -> tuple[list[int], list[tuple[int, bool]]]:
    """The ends of a piece that stay, and the piece with the others mirrored, from its edges inward."""
    count = len(ids)
    stays: list[int] = []
    left: list[tuple[int, bool]] = []
    right: list[tuple[int, bool]] = []
    while length:
        last = (first + length - 1) % count
        if length == 1:
            stays.append(first)
            left.append((first, False))
            break
        if ids[first] == ids[last]:
            stays += [first, last]
            left.append((first, False))
            right.append((last, False))
            first, length = (first + 1) % count, length - 2
        elif most[length - 1, (first + 1) % count] >= most[length - 1, first]:
            left.append((first, False))
            right.append((first, True))
            first, length = (first + 1) % count, length - 1
        else:
            left.append((last, True))
            right.append((last, False))
            length -= 1
    return stays, left + right[::-1]

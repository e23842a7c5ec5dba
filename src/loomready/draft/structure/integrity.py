"""Whether the cloth holds together, and into which parts it falls.

Thread lies over thread wherever an end crosses a pick. The cloth holds together exactly when this "lies over"
is strongly connected (C. R. J. Clapham, Bull. London Math. Soc. 12 (1980) 161-164). No walk over
the crossings is needed (the shape of the test: T. C. Enns, Geom. Dedicata 15 (1984) 259-260, from
memory; the proof here is complete):

With E ends and P picks, let r be the number of picks that an end lies over, u the number of ends over a
pick, so that a pick lies over E - u. Any i ends and j picks cross one another in ij places, each with one
of them on top, and lie over at most i(P - j) + j(E - i) threads outside. So their r and E - u add up to
at most iP + jE - ij, and to just that if and only if they lie over everything outside: they lift off.
The best candidates are the i largest r and the j smallest u; for a given i the best j takes every u < i
(a u = i may be taken or left), which leaves

    room(i) = iP - (the i largest r) - (the sum over picks of max(0, i - u))  >=  0,  0: they lift off.

Two sets that lift off cannot each have what the other lacks on crossing threads, so the pairs (i, j) that
lift off form a chain, and its steps are the parts of the cloth from top to bottom: the strong components.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loomready.draft.draft import Bools, Ints
from loomready.draft.structure.periods import Numbers

_ONE = np.int16(1)


@dataclass(frozen=True, slots=True)
class Part:
    """One part: the ends and picks (from 0, in order) that hold on to one another, or one thread alone."""

    ends: Numbers
    picks: Numbers

    @property
    def single(self) -> bool:
        return len(self.ends) + len(self.picks) == 1


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """The parts of a cloth from top to bottom. Indexes and iterates as :class:`Part`.

    end_order   int[E], ends from the topmost down; part k takes end_order[end_cuts[k]:end_cuts[k + 1]]
    pick_order  int[P], likewise with pick_cuts
    """

    end_order: Numbers
    pick_order: Numbers
    end_cuts: Numbers
    pick_cuts: Numbers

    @property
    def count(self) -> int:
        return len(self.end_cuts) - 1

    def __len__(self) -> int:
        return self.count

    def __getitem__(self, part: int) -> Part:
        if not 0 <= part < self.count:
            raise IndexError(part)
        ends = self.end_order[self.end_cuts[part] : self.end_cuts[part + 1]]
        picks = self.pick_order[self.pick_cuts[part] : self.pick_cuts[part + 1]]
        return Part(np.sort(ends), np.sort(picks))

    def __iter__(self) -> Iterator[Part]:
        return (self[part] for part in range(self.count))


def holds(lifts: Bools, threading: Ints) -> bool:
    """Whether the cloth of lifts bool[P, S] and threading int[E] holds together.

    A cloth holds together exactly when its repeat does, so either may be given. Only whole shafts are looked
    at: among ends of equal r, room(i) is concave and never negative, so that a zero there makes it zero
    at both of their bounds; were all ends of equal r, it would be zero at i = 1 too, r = P and u = E.
    """
    picks, ends = len(lifts), len(threading)
    shaft_ends, shaft_over, ends_over = _by_shaft(lifts, threading)
    ends_over_at_most = np.bincount(ends_over, minlength=ends + 1).cumsum()
    if not ends or not picks or ends_over_at_most[0] or ends_over_at_most[-2] < picks:
        return False  # a pick lies over all ends, or under them all
    used = shaft_ends.nonzero()[0]
    shaft_ends, shaft_over = shaft_ends[used], shaft_over[used]
    order = shaft_over.argsort()[::-1]
    taken = shaft_ends[order].cumsum()[:-1]
    over = (shaft_ends * shaft_over)[order].cumsum()[:-1]
    room = taken * picks - over - ends_over_at_most.cumsum()[taken - 1]
    return bool(room.all())


def parts(block: Bools) -> Parts:
    """The parts of a drawdown bool[P, E] from top to bottom; one part when it holds together."""
    return parts_from_sums(np.count_nonzero(block, axis=0), np.count_nonzero(block, axis=1))


def parts_of(lifts: Bools, threading: Ints) -> Parts:
    """The same from lifts bool[P, S] and threading int[E], without a drawdown."""
    _, shaft_over, ends_over = _by_shaft(lifts, threading)
    return parts_from_sums(shaft_over[threading + _ONE], ends_over)


def parts_from_sums(picks_under: Numbers, ends_over: Numbers) -> Parts:
    """The parts from the picks that each end lies over, int[E], and the ends over each pick, int[P]."""
    end_order = np.argsort(-picks_under, kind="stable")
    pick_order = np.argsort(ends_over, kind="stable")
    topmost = np.arange(len(picks_under) + 1)
    at_most = np.bincount(ends_over, minlength=len(topmost)).cumsum()
    fewer = at_most - np.bincount(ends_over, minlength=len(topmost))
    room = topmost * len(ends_over)
    room[1:] -= picks_under[end_order].cumsum() + at_most.cumsum()[:-1]
    taken = np.flatnonzero(room == 0)  # so many ends can form the top layer alone
    # Each pick with u = i lies between two parts, held by neither: a part of its own.
    choices = at_most[taken] - fewer[taken] + 1
    within = np.arange(int(choices.sum())) - np.repeat(choices.cumsum() - choices, choices)
    return Parts(
        end_order=end_order,
        pick_order=pick_order,
        end_cuts=np.repeat(taken, choices),
        pick_cuts=np.repeat(fewer[taken], choices) + within,
    )


def _by_shaft(lifts: Bools, threading: Ints) -> tuple[Numbers, Numbers, Numbers]:
    """Ends on each shaft and picks that they lie over, int[1 + S] both, and ends over each pick, int[P].

    Before the first shaft come the ends not threaded, which lie over nothing.
    """
    picks, shafts = lifts.shape
    shaft_ends = np.bincount(threading + _ONE, minlength=shafts + 1)
    plan = lifts.astype(np.float32)  # exact: whole numbers below 2**24
    shaft_over = np.zeros(shafts + 1, dtype=np.int64)
    # Some builds of the library below numpy raise the flag "invalid" with finite numbers too.
    with np.errstate(invalid="ignore"):
        shaft_over[1:] = np.ones(picks, np.float32) @ plan
        ends_over = plan @ shaft_ends[1:].astype(np.float32)
    return shaft_ends, shaft_over, ends_over.astype(np.int64)

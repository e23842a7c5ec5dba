"""Whether the cloth hangs together, and into which parts it falls.

Thread lies over thread wherever an end crosses a pick. The cloth hangs together just when this "lies
over" is strongly connected (C. R. J. Clapham, Bull. London Math. Soc. 12 (1980) 161-164). No walk over
the crossings is needed (the shape of the test: T. C. Enns, Geom. Dedicata 15 (1984) 259-260, from
memory; the proof here is complete):

With E ends and P picks, let r be the number of picks that an end lies over and c the number of ends
that a pick lies over. Any i ends and j picks cross one another in ij places, each with one of them on
top, and lie over at most i(P - j) + j(E - i) threads outside. So their r and c add up to at most
iP + jE - ij, and to just that if and only if they lie over everything outside: they lift off. The best
candidates are the i largest r and the j largest c, and for a given i the best j takes every c > E - i
(a c = E - i may be taken or left). Two sets that lift off cannot each have what the other lacks on
crossing threads, so the pairs (i, j) that lift off form a chain, and its steps are the parts of the
cloth from top to bottom: the strong components.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loomready.draft.draft import Bools, Ints
from loomready.draft.periods import Numbers


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
    """Whether the cloth of lifts bool[P, S] and threading int[E] hangs together; P, E > 0.

    A cloth hangs together just when its repeat does, so either may be given.
    """
    picks_under, ends_under = sums(lifts, threading)
    ends, picks = len(picks_under), len(ends_under)
    room, _ = _room(np.sort(picks_under)[::-1], ends_under)
    # Nothing lifts off before all ends are taken, no pick lies over all and none under all.
    most, least = int(ends_under.max()), int(ends_under.min())
    return bool(picks) and not (most == ends or least == 0 or bool((room[1:-1] == 0).any()))


def parts(block: Bools) -> Parts:
    """The parts of a drawdown bool[P, E] from top to bottom; one part when it hangs together."""
    picks_under = np.count_nonzero(block, axis=0).astype(np.int64)
    ends_under = block.shape[1] - np.count_nonzero(block, axis=1).astype(np.int64)
    return parts_from_sums(picks_under, ends_under)


def parts_of(lifts: Bools, threading: Ints) -> Parts:
    """The same from lifts bool[P, S] and threading int[E], without a drawdown."""
    return parts_from_sums(*sums(lifts, threading))


def sums(lifts: Bools, threading: Ints) -> tuple[Numbers, Numbers]:
    """Picks that each end lies over, int[E], and ends that each pick lies over, int[P]."""
    picks, shafts = lifts.shape
    by_shaft = np.zeros(shafts + 1, dtype=np.int64)  # the last: ends in no heddle lie over nothing
    counts = np.bincount(threading[threading >= 0], minlength=shafts)
    plan = lifts.astype(np.float32)  # exact: whole numbers below 2**24
    by_shaft[:shafts] = np.ones(picks, np.float32) @ plan
    ends_up = plan @ counts.astype(np.float32)
    return by_shaft[threading], len(threading) - ends_up.astype(np.int64)


def _room(picks_under_falling: Numbers, ends_under: Numbers) -> tuple[Numbers, Numbers]:
    """What the i topmost ends and their best picks fall short of lifting off, int[E + 1]; 0: they lift off.

    Beside it, for k from 0 to E + 1, how many picks lie over k ends or more, int[E + 2].
    """
    ends, picks = len(picks_under_falling), len(ends_under)
    over = np.zeros(ends + 2, dtype=np.int64)
    over[: ends + 1] = np.bincount(ends_under, minlength=ends + 1)[::-1].cumsum()[::-1]
    # By k: the sum over picks of max(0, c - k), as the number of picks with c above k, k + 1, ...
    gained = over[1:][::-1].cumsum()[::-1]
    room = np.arange(ends + 1) * picks - gained[::-1]
    room[1:] -= picks_under_falling.cumsum()
    return room, over


def parts_from_sums(picks_under: Numbers, ends_under: Numbers) -> Parts:
    """The parts from int[E] picks that each end lies over and int[P] ends that each pick lies over."""
    end_order = np.argsort(-picks_under, kind="stable")
    pick_order = np.argsort(-ends_under, kind="stable")
    room, over = _room(picks_under[end_order], ends_under)
    taken = np.flatnonzero(room == 0)  # numbers of ends that can be topmost by themselves
    left = len(picks_under) - taken
    fewest, most = over[left + 1], over[left]
    # Each pick with c = E - i lies between two parts, held by neither: a part of its own.
    choices = most - fewest + 1
    within = np.arange(int(choices.sum())) - np.repeat(choices.cumsum() - choices, choices)
    return Parts(
        end_order=end_order,
        pick_order=pick_order,
        end_cuts=np.repeat(taken, choices),
        pick_cuts=np.repeat(fewest, choices) + within,
    )

"""What was done at the loom, as facts that merge by union: no clock, any order, duplicates harmless.

A fact says "this job, of this plan, these ends (or picks, or turns): done" or "undone". Each carries a
counter one above every counter its writer had seen, and the writer's hand: together they put all facts in one
order that is the same everywhere. For each end the last fact in that order that covers it holds. So the
state is a function of the set of facts, and merging is union: a register for each end, last writer wins by
(counter, hand), after L. Lamport, Time, Clocks, and the Ordering of Events in a Distributed System,
Commun. ACM 21 (1978) 558-565 (from memory), and M. Shapiro et al., Conflict-free Replicated Data Types,
INRIA RR-7687 (2011) (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from loomready.model import dressing_order
from loomready.phrases import listed, phrase
from loomready.problems import BadInput, shorten

JOBS = tuple(dressing_order.JOBS)
MOST = 2_000_000  # ends or picks of a job
MOST_COUNTER = 2**40
_PLAN, _HAND = re.compile("[0-9a-f]{16}"), re.compile("[0-9a-f]{8,32}")
Moves = Sequence[tuple[int, int, int]]


@dataclass(frozen=True, slots=True)
class Fact:
    """``first`` to ``last`` from 1, both included; ``plan``: what the job's plan held, as 16 hex digits."""

    job: str
    plan: str
    first: int
    last: int
    done: bool
    counter: int
    hand: str

    @property
    def order(self) -> tuple[int, str, int, int, bool, str, str]:
        """The later of two facts has the greater order; no two different facts have the same."""
        return (self.counter, self.hand, self.first, self.last, self.done, self.job, self.plan)

    @property
    def name(self) -> str:
        """The fact's identity: all that it says."""
        return "/".join(map(str, self.row()))

    def row(self) -> list[str | int]:
        return [self.job, self.plan, self.first, self.last, int(self.done), self.counter, self.hand]


def read(row: object) -> Fact:
    """A fact from a row of seven: job, plan, first, last, 1 or 0, counter, hand.

    :raises BadInput: it is not a fact
    """
    expected = phrase("expected seven parts: job, plan, first, last, done, counter, hand")
    if not isinstance(row, list | tuple) or len(row) != 7:
        raise BadInput(phrase("{row} is not a step; {expected}", row=shorten(str(row)), expected=expected))
    job, plan, first, last, done, counter, hand = row
    if job not in JOBS:
        raise BadInput(
            phrase('"{job}" is not a job; expected one of {jobs}', job=shorten(str(job)), jobs=listed(JOBS))
        )
    if not (isinstance(plan, str) and _PLAN.fullmatch(plan)):
        raise BadInput(phrase('"{plan}" names no plan; expected 16 hex digits', plan=shorten(str(plan))))
    if not (isinstance(hand, str) and _HAND.fullmatch(hand)):
        raise BadInput(phrase('"{hand}" names no hand; expected 8 to 32 hex digits', hand=shorten(str(hand))))
    if not all(type(each) is int for each in (first, last, counter)) or done not in (0, 1):
        raise BadInput(phrase("{row} is not a step; {expected}", row=shorten(str(row)), expected=expected))
    if not (1 <= first <= last <= MOST and 1 <= counter <= MOST_COUNTER):
        raise BadInput(
            phrase(
                "{first} to {last}, counter {counter}, is out of range; expected 1 to {most}",
                first=first,
                last=last,
                counter=counter,
                most=MOST,
            )
        )
    return Fact(job, plan, first, last, bool(done), counter, hand)


def state(
    facts: Iterable[Fact], units: int, plan: str, earlier: Mapping[str, Moves] | None = None
) -> npt.NDArray[np.bool_]:
    """What is done of a job, bool[units], by all facts of its plan and of earlier ones.

    :param earlier: for each earlier plan, what of it is the same now: (first, last, shift to the number now)
    """
    done = np.zeros(units, dtype=np.bool_)
    for fact in sorted(facts, key=lambda fact: fact.order):
        for first, last in _now(fact, plan, earlier or {}):
            done[max(0, first - 1) : max(0, last)] = fact.done
    return done


def _now(fact: Fact, plan: str, earlier: Mapping[str, Moves]) -> list[tuple[int, int]]:
    if fact.plan == plan:
        return [(fact.first, fact.last)]
    return [
        (max(fact.first, first) + shift, min(fact.last, last) + shift)
        for first, last, shift in earlier.get(fact.plan, ())
        if fact.first <= last and first <= fact.last
    ]


def stretches(done: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Where ``done`` is true: (first, last) from 1.

    >>> stretches(np.array([True, True, False, True]))
    [(1, 2), (4, 4)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], done, [False]])))
    return [(int(first) + 1, int(stop)) for first, stop in edges.reshape(-1, 2)]


def check_sum(rows: Iterable[Sequence[Any]]) -> str:
    """A sum over the text of facts, in any order, to detect a file that was edited or damaged.

    This is not protection: anyone who edits the file can recompute the sum.

    >>> check_sum([["winding", "0123456789abcdef", 1, 8, 1, 1, "aaaaaaaa"]])
    'cf3ecd36'
    """
    total = 0
    for row in rows:
        total ^= fnv("/".join(map(str, row)))
    return f"{total:08x}"


def fnv(text: str) -> int:
    """A sum over a text: FNV-1a, 32 bits (G. Fowler, L. C. Noll, K.-P. Vo; from memory)."""
    value = 0x811C9DC5
    for byte in text.encode():
        value = (value ^ byte) * 0x01000193 % 2**32
    return value

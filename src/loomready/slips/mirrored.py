"""Repeats a slip as its mirror image on the other side of the web, as part of the design."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from loomready.slips.actions import Rates
from loomready.slips.at_loom import Ints
from loomready.slips.result import Slip
from loomready.slips.sentences import sentence

_THREADED = ("wrong shaft", "crossed", "skipped", "extra")


def mirrored(slips: Sequence[Slip], threading: Ints) -> tuple[Slip, ...] | None:
    """The slips to make on the other side; None: nothing to mirror, or a threading not symmetrical there.

    A slip that stands in the middle, or whose mirror image is there already, needs none.

    :param threading: int[E], as planned, shafts from 0; -1: not threaded
    """
    made: list[Slip] = []
    there = {(slip.kind, slip.end, slip.found) for slip in slips}
    for slip in slips:
        if slip.kind not in _THREADED:
            continue
        other = _mirror(slip, threading)
        if other is None:
            return None
        if (other.kind, other.end, other.found) not in there:
            made.append(other)
    return tuple(made) or None


def _mirror(slip: Slip, threading: Ints) -> Slip | None:
    ends, end = len(threading), slip.end or 1
    if slip.kind == "crossed":
        other = replace(slip, end=ends - end, planned=slip.found, found=slip.planned)
        same = [end, end + 1]
    elif slip.kind == "extra":
        other = replace(slip, end=ends + 2 - end)
        same = [end - 1, end]
    else:
        other = replace(slip, end=ends + 1 - end)
        same = [end]
    beside = [each for each in same if 1 <= each <= ends]
    if any(threading[each - 1] != threading[ends - each] for each in beside):
        return None
    return other


def to_make(slips: Sequence[Slip], rates: Rates) -> tuple[tuple[str, ...], float]:
    """Steps to make these slips on purpose, and in how many minutes."""
    steps, minutes = [], 0.0
    for slip in slips:
        if slip.kind == "crossed":
            steps.append(sentence("cross_so", end=slip.end, next=(slip.end or 0) + 1))
            minutes += rates.take_out + 2 * rates.rethread
        elif slip.kind == "skipped":
            steps.append(sentence("skip_so", end=slip.end))
            minutes += rates.take_out
        elif slip.kind == "extra":
            steps.append(sentence("hang_so", end=slip.end, found=slip.found))
            minutes += rates.new_end + rates.repair_heddle + rates.rethread
        else:
            steps.append(sentence("thread_so", end=slip.end, found=slip.found))
            minutes += rates.repair_heddle + rates.rethread
    return tuple(steps), minutes


def still_to_make(made: Sequence[Slip], standing: Sequence[Slip], threading: Ints) -> tuple[Slip, ...]:
    """The changed plan's slips until hands have made ``made``, by the ends of the changed plan.

    :param standing: the slips that are on the loom already and are planned too
    :param threading: int[E], as planned before
    """
    every = [*made, *standing]

    def place(end: int) -> int:
        """Where a planned end stands in the changed plan."""
        before = [slip for slip in every if slip.end is not None and slip.end < end]
        return end + sum({"skipped": -1, "extra": 1}.get(slip.kind, 0) for slip in before)

    found = []
    for slip in made:
        end = slip.end or 1
        at = place(end)
        on = int(threading[end - 1]) + 1 if end <= len(threading) else 0
        if slip.kind == "wrong shaft":
            found.append(replace(slip, end=at, planned=slip.found, found=on))
        elif slip.kind == "crossed":
            found.append(replace(slip, end=at, planned=slip.found, found=slip.planned))
        elif slip.kind == "skipped":
            found.append(replace(slip, kind="extra", end=at, planned=None, found=on))
        else:
            found.append(replace(slip, kind="skipped", end=at, planned=slip.found, found=None))
    return tuple(found)

"""A job whose plan changed while it was under way: what stays done, and what differs."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.loomside.log.facts import stretches

Bools = npt.NDArray[np.bool_]
Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Difference:
    """``otherwise``: done by the earlier plan and different now, in its numbers; ``ahead``: different and not
    done yet, in the numbers of the current plan; ``gone``: not done and no longer wanted, in the earlier
    numbers."""

    otherwise: tuple[Span, ...]
    ahead: tuple[Span, ...]
    gone: tuple[Span, ...]

    def __bool__(self) -> bool:
        return bool(self.otherwise or self.ahead or self.gone)


def plan_name(job: str, signs: Sequence[str]) -> str:
    """A name for the content of a job's plan, in 16 hex digits."""
    return hashlib.sha256(json.dumps([job, list(signs)]).encode()).hexdigest()[:16]


def moves(before: Sequence[str], now: Sequence[str]) -> list[tuple[int, int, int]]:
    """The parts that two plans share: (first, last, shift), from 1 in the numbers of the earlier one.

    Plans of equal length are compared position by position; else both edges of the web are kept as far as
    they are alike, and ends were added or removed between them.

    >>> moves("aabb", "aabbb"), moves("abcd", "abxd"), moves("xab", "ab")
    ([(1, 4, 0)], [(1, 2, 0), (4, 4, 0)], [(2, 3, -1)])
    """
    was, new = np.asarray(list(before), dtype=object), np.asarray(list(now), dtype=object)
    if was.size == new.size:
        return [(first, last, 0) for first, last in stretches(np.asarray(was == new, dtype=np.bool_))]
    short = min(was.size, new.size)
    head = _alike(was[:short], new[:short])
    tail = min(_alike(was[::-1][:short], new[::-1][:short]), short - head)
    found = [(1, head, 0)] if head else []
    if tail:
        found.append((was.size - tail + 1, was.size, new.size - was.size))
    return found


def _alike(one: npt.NDArray[np.object_], other: npt.NDArray[np.object_]) -> int:
    differs = np.flatnonzero(np.asarray(one != other, dtype=np.bool_))
    return int(differs[0]) if differs.size else int(one.size)


def difference(before: Sequence[str], now: Sequence[str], done_before: Bools, done_now: Bools) -> Difference:
    """What has changed for work already begun.

    :param done_before: bool[units of the earlier plan], what was done by it
    :param done_now: bool[units of the plan now], what is done of it, the earlier work that stays among it
    """
    kept_before = np.zeros(len(before), dtype=np.bool_)
    kept_now = np.zeros(len(now), dtype=np.bool_)
    for first, last, shift in moves(before, now):
        kept_before[first - 1 : last] = True
        kept_now[first - 1 + shift : last + shift] = True
    return Difference(
        tuple(stretches(done_before & ~kept_before)),
        tuple(stretches(~done_now & ~kept_now)),
        tuple(stretches(~done_before & ~kept_before)),
    )

"""A job whose plan has changed under way: what of the work done stays good, and what differs ahead."""

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
    """``otherwise``: done by the earlier plan and other now, in its numbers; ``ahead``: differs and is not
    done, in the numbers of the plan now; ``gone``: not done and not wanted any more, in the earlier numbers.
    """

    otherwise: tuple[Span, ...]
    ahead: tuple[Span, ...]
    gone: tuple[Span, ...]

    def __bool__(self) -> bool:
        return bool(self.otherwise or self.ahead or self.gone)


def plan_name(job: str, signs: Sequence[str]) -> str:
    """What a job's plan holds, in 16 hex digits: another plan has another name."""
    return hashlib.sha256(json.dumps([job, list(signs)]).encode()).hexdigest()[:16]


def moves(before: Sequence[str], now: Sequence[str]) -> list[tuple[int, int, int]]:
    """What is the same in two plans: (first, last, shift), from 1 in the numbers of the earlier one.

    Of equal length they are laid side by side; else both ends of the web keep their places, as far as they
    are alike, and what came or went lies between.

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
    """What a weaver has to know before she goes on.

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

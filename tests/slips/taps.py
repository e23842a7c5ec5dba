"""A weaver who answers the page of a test weave by taps: how many one secret slip takes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from loomready.slips import asking, job, possible
from loomready.slips.asking import Lift, Looks, Question, Where
from loomready.slips.possible import Possible, Sign
from loomready.warp.result import WarpPlan
from tests.slips import webs

SIGN: dict[str, Sign] = {
    "wrong shaft": "one end",
    "crossed": "two ends",
    "skipped": "shift",
    "extra": "shift",
}
NEAR = 3  # ends on each side of a tap on the strip, as on the page
_MOST = 30


def of_plan(plan: WarpPlan, slips: int, seed: int, *, pointed: bool) -> tuple[np.ndarray, float]:
    """Taps for each of so many secret slips of a warp, int[N], and the share that was named rightly."""
    work, random = job.job(plan), np.random.default_rng(seed)
    assert work is not None
    picks = work.picks(work.use_own)
    lifts = [lift for lift in work.lifts if lift in picks or len(lift) == 1]  # as the page asks for
    found = [
        find(work.planned.threading, work.layout.shafts, lifts, random, pointed=pointed) for _ in range(slips)
    ]
    return np.array([taps for taps, _right in found]), float(np.mean([right for _taps, right in found]))


def find(
    planned: np.ndarray,
    shafts: int,
    lifts: Sequence[Sequence[int]],
    random: np.random.Generator,
    *,
    pointed: bool,
) -> tuple[int, bool]:
    """Taps until the page names the slip, the last "yes" among them, and whether it named the right one.

    :param planned: int[E], shafts from 0; -1: a floating selvedge
    :param pointed: begins with a tap on the strip, an end or two beside the slip; else the page asks where
    """
    free = planned < 0
    edge = int(free.sum()) // 2
    inner = planned[edge : len(planned) - edge]
    there, ((kind, at, was, found),) = webs.with_slips(inner, 1, random)
    end = at + edge
    loom = np.concatenate([planned[:edge], there, planned[len(planned) - edge :]])
    every = possible.everything(planned, shafts, free)
    state, asked, taps = every, [], 0
    spans: list[tuple[int, int]] = []
    if pointed:
        middle = end + int(random.integers(-2, 3))
        spans.append((max(1, middle - NEAR), min(len(planned), middle + NEAR)))
        state, taps = possible.at(state, *spans[-1]), 1
    answers: list[Lift | Looks] = []
    while taps < _MOST and (question := asking.best(state, lifts, asked)) is not None:
        taps += 1
        asked.append(question)
        if isinstance(question, Where):
            asked.pop()  # the page asks again within the answer
            spans.append(_within(question, end, spans))
        else:
            answers.append(question)
        state = _heard(every, spans[-1] if spans else None, answers, loom, SIGN[kind])
    named = possible.likeliest(state)[0]
    right = (named.kind, named.end, named.planned, named.found) == (kind, end, was, found)
    return taps + 1, right


def _within(question: Where, end: int, spans: list[tuple[int, int]]) -> tuple[int, int]:
    """The stretch that holds the slip, and of what was said before only that part."""
    first, last = next(
        (each for each in question.stretches if each[0] <= end <= each[1]), question.stretches[-1]
    )
    if spans and max(first, spans[-1][0]) <= min(last, spans[-1][1]):
        first, last = max(first, spans[-1][0]), min(last, spans[-1][1])
    return first, last


def _heard(
    every: Possible, span: tuple[int, int] | None, answers: Sequence[Question], loom: np.ndarray, sign: Sign
) -> Possible:
    state = every if span is None else possible.at(every, *span)
    for question in answers:
        if isinstance(question, Looks):
            state = possible.looks(state, sign)
        elif isinstance(question, Lift):
            seen = [
                (end, end <= len(loom) and int(loom[end - 1]) + 1 in question.shafts) for end in question.ends
            ]
            state = possible.rose(state, question.shafts, seen)
    return state

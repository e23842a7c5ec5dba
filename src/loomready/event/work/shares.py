"""Fair shares, the last goal of a plan: learners get a turn, hours are even relative to what each offered.

Whoever offered twice the hours has twice the work. What is measured is the sum of hours x hours / hours
offered, which is least where everybody has the same share. Work is handed on or swapped between people as
long as no goal before that suffers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from loomready.event.slots import runs
from loomready.event.work.problem import PAIR, Plan, Work, Worth, worth

MOST_ROUNDS = 200  # changes that are made
MOST_LOOKED_AT = 60_000  # pairs of pieces in all; few of them are figured whole

Piece = tuple[int, int, int, tuple[int, ...]]
"""A person at a job of a warp in some slots: (warp, job, person, slots)."""


def shared(
    work: Work,
    plan: Plan,
    keeps: Callable[[Plan, Worth], tuple[int, ...]],
    stop: Callable[[], bool],
) -> dict[tuple[int, int, int], tuple[int, ...]]:
    """The plan with fairer shares.

    :param keeps: what makes a plan better, fair shares at its end: greater is better
    """
    best, rank = dict(plan), keeps(plan, worth(work, plan))
    looked_at = 0
    for _round in range(MOST_ROUNDS):
        hours = _hours(work, best)
        for gives, takes in _offers(work, best):
            looked_at += 1
            if looked_at > MOST_LOOKED_AT or stop():
                return best
            if not _fairer(work, hours, gives, takes):
                continue
            changed = _handed_on(work, best, gives, takes)
            if changed is None:
                continue
            now = keeps(changed, worth(work, changed))
            if now > rank:
                best, rank = changed, now
                break
        else:
            return best
    return best


def _hours(work: Work, plan: Plan) -> list[int]:
    made = [0] * len(work.workers)
    for people in plan.values():
        for one in people:
            made[one] += 1
    return made


def _offers(work: Work, plan: Plan) -> Iterator[tuple[Piece, Piece | int]]:
    """A piece and who could take it on: somebody, or somebody who gives a piece of theirs for it."""
    whole, parts = _pieces(plan)
    both = [*whole, *(each for each in parts if each not in set(whole))]
    for piece in both:
        for one in range(len(work.workers)):
            if one != piece[2]:
                yield piece, one
    for number, piece in enumerate(both):
        for other in both[number + 1 :]:
            if other[2] != piece[2]:
                yield piece, other


def _pieces(plan: Plan) -> tuple[list[Piece], list[Piece]]:
    """All that a person does at a job, and each part of it without a break."""
    at: dict[tuple[int, int, int], list[int]] = {}
    for (chain, job, slot), people in plan.items():
        for one in people:
            at.setdefault((chain, job, one), []).append(slot)
    whole: list[Piece] = [(*key, tuple(sorted(slots))) for key, slots in sorted(at.items())]
    parts: list[Piece] = [
        (chain, job, one, tuple(range(first, last)))
        for chain, job, one, slots in whole
        for first, last in runs(slots)
    ]
    return whole, parts


def _fairer(work: Work, hours: list[int], gives: Piece, takes: Piece | int) -> bool:
    """Whether the two would have fairer shares, or a learner works more."""
    giver, taker = gives[2], takes if isinstance(takes, int) else takes[2]
    moved = len(gives[3]) - (0 if isinstance(takes, int) else len(takes[3]))
    before = work.unfair(giver, hours[giver]) + work.unfair(taker, hours[taker])
    after = work.unfair(giver, hours[giver] - moved) + work.unfair(taker, hours[taker] + moved)
    return after < before or any(work.learns(one) for one in (giver, taker))


def _handed_on(
    work: Work, plan: Plan, gives: Piece, takes: Piece | int
) -> dict[tuple[int, int, int], tuple[int, ...]] | None:
    """The plan with one piece in other hands, or two swapped; None: it cannot be done."""
    changed = dict(plan)
    giver, taker = gives[2], takes if isinstance(takes, int) else takes[2]
    moves = [(gives, giver, taker)] + ([] if isinstance(takes, int) else [(takes, taker, giver)])
    for piece, one, other in moves:
        for slot in piece[3]:
            key = piece[0], piece[1], slot
            if other in changed[key] or one not in changed[key]:
                return None
            changed[key] = tuple(sorted({*changed[key]} - {one} | {other}))
    return changed if _can_be_done(work, changed, (giver, taker), [each[0] for each in moves]) else None


def _can_be_done(
    work: Work,
    plan: Mapping[tuple[int, int, int], tuple[int, ...]],
    people: tuple[int, int],
    pieces: list[Piece],
) -> bool:
    """Whether these people can be where the plan has them."""
    workers = work.workers
    for one in people:
        busy = [key[2] for key, crew in plan.items() if one in crew]
        most = workers[one].most
        if len(busy) > len(set(busy)) or not workers[one].slots.issuperset(busy):
            return False
        if most is not None and len(busy) > most:
            return False
    for chain, job, _one, slots in pieces:
        skill = work.chains[chain].jobs[job].skill
        for slot in slots:
            crew = [workers[one] for one in plan[chain, job, slot]]
            if not all(each.may(skill) for each in crew):
                return False
            if skill == PAIR and not any(skill in each.can for each in crew):
                return False
    return True

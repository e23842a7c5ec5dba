"""What is missing where not every warp can be ready, and what would help: each way is planned again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from loomready.event.slots import runs
from loomready.event.work.bounds import short
from loomready.event.work.dispatch import MOST_STEPS, dispatch, first_plan
from loomready.event.work.problem import ONE, Work, Worker, Worth, units_done
from loomready.model.event import WORK, Skill

MOST_TRIED = 60
LISTS = 12  # plans for each way
NEWCOMER = "one more"


@dataclass(frozen=True, slots=True)
class Missing:
    """Slots of work of a skill that are missing before slot ``before``."""

    skill: Skill
    slots: int
    before: int


@dataclass(frozen=True, slots=True)
class WayOut:
    """A change with which all is ready, or all that is left.

    ``kind``: "newcomer": somebody who can ``skill``, from slot ``first`` to ``last - 1``; "comes": ``person``
    comes then, too; "more hours": ``person`` offers so many slots more; "leave out": without ``warps``.
    ``slots``: of time that it takes.
    """

    kind: Literal["newcomer", "comes", "more hours", "leave out"]
    slots: int
    person: int | None = None
    skill: Skill | None = None
    first: int = 0
    last: int = 0
    warps: tuple[int, ...] = ()
    spare: int | None = None


def missing(work: Work, found: Worth) -> tuple[Missing, ...]:
    """Hours that are short by skill: of skills whose people have too few; else what is left undone.

    Where the hours of some skills together are too few, it is the work in these that is left at the end.
    Where all hours are enough, but not in time, it is the first job of each warp that does not end.
    """
    if len(found.ready) == len(work.chains):
        return ()
    every = range(len(work.chains))
    by_skill = {skill: short(work, every, work.last, (skill,)) for skill in WORK}
    lacking = tuple(
        Missing(skill, found_short.slots, work.last)
        for skill, found_short in by_skill.items()
        if found_short is not None
    )
    if lacking:
        return lacking
    together = short(work, every, work.last)
    left: dict[Skill, int] = {}
    done = units_done(work, dispatch(work, [1.0] * len(work.chains)))
    for number, chain in enumerate(work.chains):
        for job, each in enumerate(chain.jobs):
            units = each.units - done.get((number, job), 0)
            if units > 0 and (together is None or each.skill in together.skills):
                left[each.skill] = left.get(each.skill, 0) + -(-units // ONE)
                if together is None:
                    break
    return tuple(Missing(skill, slots, work.last) for skill, slots in left.items())


def ways_out(work: Work, found: Worth, lacking: Sequence[Missing]) -> tuple[WayOut, ...]:
    """Ways with which every warp is ready, the least time first, one of each kind; then what to leave out."""
    if not lacking:
        return ()
    kept: dict[str, WayOut] = {}
    candidates = sorted(_candidates(work, lacking), key=lambda each: (each[0].slots, each[0].first))
    most = max(5, MOST_STEPS // (1 + LISTS * len(work.chains) * len(work.times)))
    for way, changed in candidates[: min(MOST_TRIED, most)]:
        if way.kind in kept:
            continue
        _plan, made = first_plan(changed, LISTS, 1)
        if len(made.ready) == len(work.chains):
            kept[way.kind] = replace(way, spare=made.spare)
    left_out = tuple(number for number in range(len(work.chains)) if number not in found.ready)
    ways = sorted(kept.values(), key=lambda each: each.slots)
    if found.ready:
        ways.append(WayOut("leave out", 0, warps=left_out, spare=found.spare))
    return tuple(ways)


def _candidates(work: Work, lacking: Sequence[Missing]) -> Iterator[tuple[WayOut, Work]]:
    sessions = runs(work.times)
    skills = list(dict.fromkeys(each.skill for each in lacking))
    for first, last in sessions:
        slots = frozenset(range(first, last))
        for skill in skills:
            more = Worker(NEWCOMER, frozenset({skill}), frozenset(), slots)
            way = WayOut("newcomer", last - first, None, skill, first, last)
            yield way, replace(work, workers=(*work.workers, more))
        for number, worker in enumerate(work.workers):
            if worker.can & set(skills) and not worker.slots & slots:
                comes = replace(worker, slots=worker.slots | slots)
                way = WayOut("comes", last - first, number, None, first, last)
                yield way, _with(work, number, comes)
    for number, worker in enumerate(work.workers):
        if worker.most is not None and worker.can & set(skills) and worker.most < len(worker.slots):
            for slots_more in sorted({each.slots for each in lacking} | {4, 8}):
                offers = replace(worker, most=worker.most + slots_more)
                yield WayOut("more hours", slots_more, number), _with(work, number, offers)


def _with(work: Work, number: int, worker: Worker) -> Work:
    return replace(work, workers=(*work.workers[:number], worker, *work.workers[number + 1 :]))

"""What is missing where not every warp can be ready, and what would help: each way is planned again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

from loomready.event.slots import runs
from loomready.event.watch import UNWATCHED, Watch
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

    ``kind``: "board": one more warping board; "newcomer": somebody who can ``skill``, from slot ``first`` to
    ``last - 1``; "comes": ``person`` comes then, too; "more hours": ``person`` offers so many slots more;
    "leave out": without ``warps``. ``slots``: of time that it takes. ``also``: what has to be done with it.
    """

    kind: Literal["board", "newcomer", "comes", "more hours", "leave out"]
    slots: int
    person: int | None = None
    skill: Skill | None = None
    first: int = 0
    last: int = 0
    warps: tuple[int, ...] = ()
    spare: int | None = None
    also: WayOut | None = None

    @property
    def all_slots(self) -> int:
        return self.slots + (0 if self.also is None else self.also.slots)


def lacks_board(work: Work, found: Worth) -> bool:
    """Whether hours are enough and boards are not: with a board for each warp more would be ready."""
    if len(found.ready) == len(work.chains) or work.boards >= len(work.chains):
        return False
    _plan, made = first_plan(replace(work, boards=len(work.chains)), LISTS, 1)
    return made.value > found.value


def missing(work: Work, found: Worth) -> tuple[Missing, ...]:
    """Hours that are short by skill: of skills whose people have too few; else what is left undone.

    Where the hours of some skills together are too few, it is the work in these that is left at the end.
    Where all hours are enough, but not in time, it is the first job of each warp that does not end. Nothing
    is missing where it is only boards that are too few.
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
    if together is None and lacks_board(work, found):
        return ()
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


def ways_out(
    work: Work, found: Worth, lacking: Sequence[Missing], watch: Watch = UNWATCHED
) -> tuple[WayOut, ...]:
    """Ways with which every warp is ready, the least time first, one of each kind; where none helps alone the
    least pair of them; then what to leave out."""
    if len(found.ready) == len(work.chains):
        return ()
    kept: dict[str, WayOut] = {}
    candidates = sorted(_candidates(work, lacking), key=lambda each: (each[0].slots, each[0].first))
    most = max(5, MOST_STEPS // (1 + LISTS * len(work.chains) * len(work.times)))

    def tried(way: WayOut, changed: Work) -> WayOut | None:
        """The way with the spare time that it leaves; None: not all would be ready."""
        _plan, made = first_plan(changed, LISTS, 1)
        return replace(way, spare=made.spare) if len(made.ready) == len(work.chains) else None

    for way, change in candidates[: min(MOST_TRIED, most)]:
        if watch.stop():
            break
        if way.kind not in kept and (works := tried(way, change(work))) is not None:
            kept[way.kind] = works
    if not kept:
        pairs = sorted(combinations(candidates, 2), key=lambda pair: pair[0][0].slots + pair[1][0].slots)
        for (way, change), (other, change_too) in _varied(pairs, min(MOST_TRIED, most)):
            if watch.stop():
                break
            works = tried(replace(way, also=other), change_too(change(work)))
            if works is not None:
                kept["pair"] = works
                break
    left_out = tuple(number for number in range(len(work.chains)) if number not in found.ready)
    ways = sorted(kept.values(), key=lambda each: each.all_slots)
    if found.ready:
        ways.append(WayOut("leave out", 0, warps=left_out, spare=found.spare))
    return tuple(ways)


Change = Callable[[Work], Work]
Candidate = tuple[WayOut, Change]


def _varied(pairs: Sequence[tuple[Candidate, Candidate]], most: int) -> Iterator[tuple[Candidate, Candidate]]:
    """Pairs in order, so many of each two kinds or skills that no kind takes all of the effort."""
    seen: Counter[tuple[object, ...]] = Counter()
    given = 0
    for pair in pairs:
        kinds = tuple((way.kind, way.skill, way.person) for way, _change in pair)
        if seen[kinds] < 3:
            seen[kinds] += 1
            given += 1
            yield pair
            if given == most:
                return


def _candidates(work: Work, lacking: Sequence[Missing]) -> Iterator[Candidate]:
    if work.boards < len(work.chains):
        yield WayOut("board", 0), _one_more_board
    sessions = runs(work.times)
    skills = list(dict.fromkeys(each.skill for each in lacking))
    for first, last in sessions:
        slots = frozenset(range(first, last))
        for skill in skills:
            more = Worker(NEWCOMER, frozenset({skill}), frozenset(), slots)
            way = WayOut("newcomer", last - first, None, skill, first, last)
            yield way, _joined_by(more)
        for number, worker in enumerate(work.workers):
            if worker.can & set(skills) and not worker.slots & slots:
                way = WayOut("comes", last - first, number, None, first, last)
                yield way, _coming(number, slots)
    for number, worker in enumerate(work.workers):
        if worker.most is not None and worker.can & set(skills) and worker.most < len(worker.slots):
            for slots_more in sorted({each.slots for each in lacking} | {4, 8}):
                yield WayOut("more hours", slots_more, number), _offering(number, slots_more)


def _one_more_board(work: Work) -> Work:
    return replace(work, boards=work.boards + 1)


def _joined_by(worker: Worker) -> Change:
    return lambda work: replace(work, workers=(*work.workers, worker))


def _coming(number: int, slots: frozenset[int]) -> Change:
    def changed(work: Work) -> Work:
        worker = work.workers[number]
        return _with(work, number, replace(worker, slots=worker.slots | slots))

    return changed


def _offering(number: int, slots: int) -> Change:
    def changed(work: Work) -> Work:
        worker = work.workers[number]
        return _with(work, number, replace(worker, most=(worker.most or 0) + slots))

    return changed


def _with(work: Work, number: int, worker: Worker) -> Work:
    return replace(work, workers=(*work.workers[:number], worker, *work.workers[number + 1 :]))

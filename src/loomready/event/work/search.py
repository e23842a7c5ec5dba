"""The search for a plan: the most value ready, then the most spare time, few handovers, fair shares.

A plan made slot by slot comes first; on small events the solver then improves each goal and proves it, on
large ones it improves a few days at a time. Bounds tell how far off the answer can be at most.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from loomready.event.day.rota_search import EFFORT
from loomready.event.slots import runs
from loomready.event.watch import UNWATCHED, Watch
from loomready.event.work.bounds import alone, spare_at_most
from loomready.event.work.dispatch import Rank, first_plan
from loomready.event.work.exact import Answer, improve, variables
from loomready.event.work.problem import Plan, Work, Worth, changed_sessions, only, trouble, worth
from loomready.event.work.shares import shared


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to search, in ways that are the same on every machine.

    ``lists``: plans made slot by slot; ``whole``: deterministic seconds for each goal where the whole model
    has at most ``small`` booleans, and for value and spare time up to ``middle``; ``again``: the same for few
    changes, up to ``middle``, where an earlier plan is known; ``rounds`` of ``each`` deterministic seconds
    for few handovers on larger ones; ``rota``: deterministic seconds for each goal of the days' rota.
    """

    lists: int = 300
    whole: float = 1.5
    small: int = 800
    middle: int = 6000
    again: float = 3.0
    rounds: int = 24
    each: float = 0.1
    rota: float = EFFORT


@dataclass(frozen=True, slots=True)
class Found:
    """A plan and how good it is. ``most_spare``: what no plan exceeds; ``proved``: all goals are best;
    ``ended_early``: the search was told to stop, and this is the best until then."""

    plan: dict[tuple[int, int, int], tuple[int, ...]]
    worth: Worth
    most_value: int
    most_spare: int | None
    proved: bool
    ended_early: bool = False


def search(
    work: Work,
    effort: Effort | None = None,
    seed: int = 1,
    told: Plan | None = None,
    watch: Watch = UNWATCHED,
) -> Found:
    """The best plan within the effort.

    :param told: a plan that people know: as much value as can be is ready, with no less spare time than it
        had where that can be; then as few sessions change as can be, and then the usual goals
    :param watch: is told of progress, and may end the search; what the solver has begun takes a second or
        two
    """
    effort = effort or Effort()
    enough = None if told is None else work.spare(max((slot + 1 for *_, slot in told), default=work.first))

    def rank(plan: Plan, found: Worth) -> tuple[int, ...]:
        if told is None or enough is None:
            return found.rank
        value, spare, *others = found.rank
        changed = changed_sessions(work, told, plan)
        return value, min(spare, enough), -changed, -trouble(told, plan), *others

    lists, rounds = effort.lists, effort.rounds
    if told is not None:  # the replay is near the best already
        lists, rounds = lists // 3, rounds // 2
    plan, found = first_plan(work, lists, seed, told=told, rank=rank, watch=watch)
    possible = [n for n in range(len(work.chains)) if None not in alone(work, n)]
    most_value = sum(work.chains[n].value for n in possible)
    size = variables(work)
    small, middle = size <= effort.small, size <= effort.middle
    value_proved = found.value == most_value
    if middle and not value_proved and not watch.stop():
        answer = improve(work, plan, "value", effort.whole, value=found.value)
        plan, value_proved = _better(work, plan, answer, 1)
        plan = only(plan, worth(work, plan).ready)
        found = worth(work, plan)
    if value_proved:
        most_value = found.value
    # Other warps of the same value may leave more spare time: the model tries them, where it is small.
    all_ready = len(found.ready) == len(work.chains)
    spare_proved, most_spare = not found.ready, None
    if found.ready:
        most_spare = spare_at_most(work, found.ready) if all_ready else len(work.helpful)
        most_spare = len(work.helpful) if most_spare is None else most_spare
        spare_proved = found.spare == most_spare
        as_told = enough is not None and found.spare is not None and found.spare >= enough
        if middle and not spare_proved and not as_told and not watch.stop():
            before = None if enough is None else _until(work, enough, work.first)
            answer = improve(
                work, plan, "last", effort.whole, value=found.value, last=_last(found, work), enough=before
            )
            plan, spare_proved = _better(work, plan, answer, 2)
            found = worth(work, plan)
            if enough is not None and found.spare is not None and found.spare >= enough:
                spare_proved = found.spare == most_spare  # more than enough was not looked for
        if spare_proved:
            most_spare = found.spare
    cost_proved = not plan
    latest = _latest(work, found, enough)
    if plan and (small or (middle and told is not None)) and not watch.stop():
        watch.on_progress("handovers", 0.0)
        whole = effort.whole if told is None else effort.again
        answer = improve(work, plan, "cost", whole, value=found.value, last=latest, told=told)
        if answer.plan is not None:
            cost_proved = answer.proved
            if rank(answer.plan, worth(work, answer.plan)) >= rank(plan, found):
                plan = answer.plan
    if plan and not small and not cost_proved:
        effort = replace(effort, rounds=rounds)
        plan = _smoother(work, plan, latest, effort, seed, told, rank, watch)
    watch.on_progress("shares", 0.0)
    plan = shared(work, plan, rank, watch.stop)
    shares_proved = not plan or (told is not None and cost_proved)  # nobody's told hours are made even
    if plan and small and told is None and not watch.stop():
        answer = improve(work, plan, "fair", effort.whole, value=found.value, last=latest)
        if answer.plan is not None and worth(work, answer.plan).rank >= worth(work, plan).rank:
            plan, shares_proved = answer.plan, answer.proved
    ended_early = watch.stop()
    return Found(
        dict(sorted(plan.items())),
        worth(work, plan),
        most_value,
        most_spare,
        value_proved and spare_proved and cost_proved and shares_proved and not ended_early,
        ended_early,
    )


def _better(
    work: Work, plan: Plan, answer: Answer, goals: int
) -> tuple[dict[tuple[int, int, int], tuple[int, ...]], bool]:
    """The solver's plan if it is better in the first goals, and whether these are proved."""
    if answer.plan is None:
        return dict(plan), False
    here, there = worth(work, plan).rank[:goals], worth(work, answer.plan).rank[:goals]
    return (answer.plan if there > here else dict(plan)), answer.proved and there >= here


def _last(found: Worth, work: Work) -> int:
    return max(found.ready.values(), default=work.first)


def _latest(work: Work, found: Worth, enough: int | None) -> int:
    """The latest slot at which all may be ready with no less spare time, or with enough of it."""
    least = found.spare or 0
    return _until(work, least if enough is None else min(least, enough), _last(found, work))


def _until(work: Work, spare: int, at: int) -> int:
    """The latest slot, from one on, at whose start that much spare time is left."""
    return max((slot for slot in range(at, work.last + 1) if work.spare(slot) >= spare), default=at)


def _smoother(
    work: Work,
    plan: Plan,
    latest: int,
    effort: Effort,
    seed: int,
    told: Plan | None,
    rank: Rank,
    watch: Watch,
) -> dict[tuple[int, int, int], tuple[int, ...]]:
    """The plan with fewer handovers: some days at a time are planned again, all else stands."""
    chance = random.Random(seed)
    best = dict(plan)
    ready = tuple(worth(work, plan).ready)
    sessions = runs(work.times)
    for number in range(effort.rounds):
        if watch.stop():
            break
        watch.on_progress("handovers", number / effort.rounds)
        busy = [n for n, (first, last) in enumerate(sessions) if any(first <= key[2] < last for key in best)]
        if not busy:
            break
        start = chance.choice(busy)
        few = sessions[start : start + chance.randint(1, 2)]
        free = {slot for first, last in few for slot in range(first, last)}
        answer = improve(work, best, "cost", effort.each, ready=ready, last=latest, free=free, told=told)
        if answer.plan is not None and (
            rank(answer.plan, worth(work, answer.plan)) >= rank(best, worth(work, best))
        ):
            best = answer.plan
    return best

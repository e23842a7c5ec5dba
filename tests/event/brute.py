"""Every plan of a tiny event, slot by slot: an independent count of what the best one is worth."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, product

from loomready.event.work.problem import Plan, Work

Best = tuple[int, int, int, int, int]
"""Value ready, least spare slots (-1: nothing ready), less the cost of handovers and broken sessions,
learners with a turn at the beam, less how uneven shares are."""


def best(work: Work) -> Best:
    """What the best plan is worth, by going through all of them; a warp that is left out needs no board."""
    numbers = range(len(work.chains))
    return max(
        _best_of(replace(work, chains=tuple(work.chains[number] for number in some)))
        for count in range(len(work.chains) + 1)
        for some in combinations(numbers, count)
    )


def _best_of(work: Work) -> Best:
    start = (tuple((0, _units(chain.jobs, 0)) for chain in work.chains), (0,) * len(work.workers))
    ready = tuple(work.first if not chain.jobs else -1 for chain in work.chains)
    states = {(start, ready, frozenset(), frozenset()): 0}
    last_slot = None
    for slot in work.times:
        found: dict = {}
        for ((left, used), done_at, ever, before), cost in states.items():
            if last_slot != slot - 1:
                before = frozenset()
            for left_now, used_now, at in _steps(work, slot, left, used):
                now_ready = tuple(
                    was if was >= 0 or left_now[n][0] < len(work.chains[n].jobs) else slot + 1
                    for n, was in enumerate(done_at)
                )
                price = cost + 3 * len(at - ever) + len(at - before)
                state = ((left_now, used_now), now_ready, ever | at, at)
                if price < found.get(state, 10**9):
                    found[state] = price
        states, last_slot = found or states, slot
    return max(
        (*_worth(work, done_at, cost), *_shares(work, used, ever))
        for ((_, used), done_at, ever, _), cost in states.items()
    )


def best_again(work: Work, told: Plan, enough: int) -> tuple[int, int, int]:
    """Value ready, spare slots up to enough, less the sessions of people that change, twice where somebody
    comes or stays away otherwise than told: of the best plan of all for people who know another one."""
    numbers = range(len(work.chains))
    return max(
        _best_again(work, told, enough, some)
        for count in range(len(work.chains) + 1)
        for some in combinations(numbers, count)
    )


def _best_again(work: Work, told: Plan, enough: int, some: tuple[int, ...]) -> tuple[int, int, int]:
    made = replace(work, chains=tuple(work.chains[number] for number in some))
    known: dict[int, set] = {}
    for (chain, job, slot), people in told.items():
        known.setdefault(slot, set()).update((chain, job, one) for one in people)
    ready = tuple(work.first if not chain.jobs else -1 for chain in made.chains)
    start = (tuple((0, _units(chain.jobs, 0)) for chain in made.chains), (0,) * len(work.workers))
    session = {
        (one, slot): next(first for first in range(slot, -1, -1) if first - 1 not in worker.slots)
        for one, worker in enumerate(work.workers)
        for slot in worker.slots
    }

    def sessions(at, slot: int) -> frozenset:
        return frozenset((one, session.get((one, slot), slot)) for *_, one in at)

    came = frozenset().union(*(sessions(at, slot) for slot, at in known.items()))
    gone = frozenset().union(*(sessions(at, slot) for slot, at in known.items() if slot not in work.times))
    states = {(start, ready, frozenset(), gone)}
    for slot in work.times:
        found = set()
        for (left, used), done_at, comes, other in states:
            for left_now, used_now, at in _steps(made, slot, left, used):
                now_ready = tuple(
                    was if was >= 0 or left_now[n][0] < len(made.chains[n].jobs) else slot + 1
                    for n, was in enumerate(done_at)
                )
                here = {(some[chain], job, one) for chain, job, one in at}
                unlike = sessions(here ^ known.get(slot, set()), slot)
                found.add(((left_now, used_now), now_ready, comes | sessions(here, slot), other | unlike))
        states = found or states
    ends = (
        (*_worth(made, at, 0)[:2], other, comes) for _, at, comes, other in states if min(at, default=0) >= 0
    )
    return max(
        ((value, min(spare, enough), -len(other) - len(comes ^ came)) for value, spare, other, comes in ends),
        default=(-1, -1, 0),
    )


def _shares(work: Work, used, ever) -> tuple[int, int]:
    learners = {
        one
        for chain, job, one in ever
        if work.chains[chain].jobs[job].skill == "beaming" and "beaming" not in work.workers[one].can
    }
    uneven = 0
    for worker, slots in zip(work.workers, used, strict=True):
        offered = len(worker.slots) if worker.most is None else min(worker.most, len(worker.slots))
        uneven += slots * slots * round(10_000 / offered) if offered else 0
    return len(learners), -uneven


def _units(jobs, job: int) -> int:
    return jobs[job].slots * 10 if job < len(jobs) else 0


def _worth(work: Work, done_at, cost: int) -> tuple[int, int, int]:
    value = sum(chain.value for chain, at in zip(work.chains, done_at, strict=True) if at >= 0)
    spare = min((sum(slot >= at for slot in work.helpful) for at in done_at if at >= 0), default=-1)
    return value, spare, -cost


def _steps(work: Work, slot: int, left, used):
    """Every way to spend a slot."""
    choices = []
    for number, worker in enumerate(work.workers):
        here = [None]
        if slot in worker.slots and (worker.most is None or used[number] < worker.most):
            for chain, (job, _units_left) in enumerate(left):
                jobs = work.chains[chain].jobs
                if job < len(jobs):
                    skill = jobs[job].skill
                    if skill in worker.can or (skill == "beaming" and skill in worker.learning):
                        here.append(chain)
        choices.append(here)
    for chosen in product(*choices):
        crews: dict[int, list[int]] = {}
        for number, chain in enumerate(chosen):
            if chain is not None:
                crews.setdefault(chain, []).append(number)
        if not all(_fits(work, left, chain, crew) for chain, crew in crews.items()):
            continue
        winding = sum(
            work.chains[chain].jobs[job].skill == "winding"
            and (
                chain in crews or units < _units(work.chains[chain].jobs, job) or work.chains[chain].on_board
            )
            for chain, (job, units) in enumerate(left)
            if job < len(work.chains[chain].jobs)
        )
        if winding > work.boards:
            continue
        now, at = list(left), set()
        for chain, crew in crews.items():
            job, units = left[chain]
            jobs = work.chains[chain].jobs
            units -= 18 if jobs[job].skill == "threading" and len(crew) == 2 else 10
            now[chain] = (job + 1, _units(jobs, job + 1)) if units <= 0 else (job, units)
            at |= {(chain, job, number) for number in crew}
        busy = tuple(count + (chosen[number] is not None) for number, count in enumerate(used))
        yield tuple(now), busy, frozenset(at)


def _fits(work: Work, left, chain: int, crew: list[int]) -> bool:
    skill = work.chains[chain].jobs[left[chain][0]].skill
    if skill == "beaming":
        return len(crew) == 2 and any(skill in work.workers[one].can for one in crew)
    return len(crew) <= (2 if skill == "threading" else 1)

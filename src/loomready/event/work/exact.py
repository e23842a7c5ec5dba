"""The work as a constraint model: what dispatching found is improved, and on small events proved.

A boolean for each job, person and slot says who is at work; some slots can be held as a plan has them. The
solver is OR-Tools CP-SAT with one worker, a fixed seed and limits of deterministic effort, so that it answers
the same on every machine.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from loomready.event.steady_solver import steady_solver
from loomready.event.work.bounds import alone
from loomready.event.work.problem import (
    ELSEWHERE,
    HANDOVER,
    ONE,
    PAIR,
    TWO,
    Plan,
    Work,
    cost_of,
    sessions_of,
)

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

_BROKEN = 1000  # a broken session against a slot of somebody's time
_PLACE = 5 * _BROKEN  # a slot in which somebody is elsewhere than told
_MOST_COST = 10**9
Goal = Literal["value", "last", "cost", "fair"]


@dataclass(frozen=True, slots=True)
class Answer:
    """A plan, or None where none was found within the effort; ``proved``: the best, or that there is none."""

    plan: dict[tuple[int, int, int], tuple[int, ...]] | None
    proved: bool


def variables(work: Work) -> int:
    """How many booleans the whole model has."""
    return sum(
        len(worker.slots)
        for chain in work.chains
        for job in chain.jobs
        for worker in work.workers
        if worker.may(job.skill)
    )


def improve(
    work: Work,
    plan: Plan,
    goal: Goal,
    effort: float,
    *,
    ready: Collection[int] | None = None,
    value: int = 0,
    last: int | None = None,
    free: Collection[int] | None = None,
    told: Plan | None = None,
    enough: int | None = None,
) -> Answer:
    """A plan at least as good for a goal.

    :param plan: what is known, as a hint; outside of the ``free`` slots it stands
    :param goal: the most value ready; the earliest slot at which all of it is ready; the least cost; the
        fairest shares at no more cost
    :param ready: exactly these warps are ready; None: any that are worth ``value``
    :param last: everything is ready by the start of this slot
    :param free: the slots that may change; None: all
    :param told: a plan that people know: for the least cost, few sessions change first, each of the two
        within the effort
    :param enough: that all is ready before this slot is no better
    """
    return _Model(work, plan, ready, value, last, free, told).solved(goal, effort, enough)


class _Model:
    def __init__(
        self,
        work: Work,
        plan: Plan,
        ready: Collection[int] | None,
        value: int,
        last: int | None,
        free: Collection[int] | None,
        told: Plan | None,
    ) -> None:
        from ortools.sat.python import cp_model  # 0.3 s to load: only when it is needed

        self.work, self.plan, self.told = work, plan, told
        self.last = work.last if last is None else last
        self.free = [slot for slot in work.times if slot < self.last and (free is None or slot in free)]
        self.fixed = {key: people for key, people in plan.items() if free is not None and key[2] not in free}
        self.model = model = cp_model.CpModel()
        self.at: dict[tuple[int, int, int, int], cp_model.IntVar] = {}  # warp, job, person, slot
        self.ready: list[Any] = []
        self.ends: list[Any] = []
        wound: list[Any] = []
        for number, chain in enumerate(work.chains):
            if ready is None:
                is_ready: Any = model.new_bool_var("")
                model.add_hint(is_ready, any(key[0] == number for key in plan) or not chain.jobs)
            else:
                is_ready = 1 if number in ready else 0
            self.ready.append(is_ready)
            end: Any = work.first
            for job in range(len(chain.jobs)) if ready is None or is_ready else ():
                begun, end = self._job(number, job, is_ready, end)
                if chain.jobs[job].skill == "winding":
                    if chain.on_board:
                        model.add(begun == work.first)
                    size = model.new_int_var(0, work.last + 1, "")
                    wound.append(model.new_optional_interval_var(begun, size, end, is_ready, ""))
            self.ends.append(end)
        if len(wound) > work.boards:
            model.add_cumulative(wound, [1] * len(wound), work.boards)
        if ready is None:
            model.add(
                sum(each.value * is_ready for each, is_ready in zip(work.chains, self.ready, strict=True))
                >= value
            )
        self._people()

    def _job(self, chain: int, job: int, is_ready: Any, after: Any) -> tuple[Any, Any]:
        """A job's variables and rules; its first slot and the slot at whose start it is done."""
        work, model = self.work, self.model
        each = work.chains[chain].jobs[job]
        held = {slot: people for (of, its, slot), people in self.fixed.items() if (of, its) == (chain, job)}
        low, high = min((work.first, *held)), self.last
        begun, end = model.new_int_var(low, high, ""), model.new_int_var(low, high, "")
        model.add(begun >= after)
        model.add(end >= begun)
        soonest = self._soonest(chain, job)
        units: Any = sum(each.done_by(len(people)) for people in held.values())
        for slot in held:
            model.add(begun <= slot)
            model.add(end >= slot + 1)
        for slot in self.free:
            if slot < soonest:
                continue
            people = [one for one, w in enumerate(work.workers) if slot in w.slots and w.may(each.skill)]
            able = [one for one in people if each.skill in work.workers[one].can]
            if len(people) < each.fewest_people or not able:
                continue
            now = self.plan.get((chain, job, slot), ())
            active = model.new_bool_var("")
            model.add_hint(active, bool(now))
            here = {one: model.new_bool_var("") for one in people}
            for one, var in here.items():
                model.add_hint(var, one in now)
                self.at[chain, job, one, slot] = var
            count: Any = sum(here.values())
            if each.skill == PAIR:
                model.add(count == 2 * active)
                model.add_bool_or([*(here[one] for one in able), ~active])
            elif each.skill == "threading" and len(people) > 1:
                two = model.new_bool_var("")
                model.add_hint(two, len(now) == 2)
                model.add(count == active + two)
                model.add_implication(two, active)
                units += (TWO - ONE) * two
            else:
                model.add(count == active)
            units += ONE * active
            if not isinstance(is_ready, int):
                model.add_implication(active, is_ready)
            model.add(begun <= slot).only_enforce_if(active)
            model.add(end >= slot + 1).only_enforce_if(active)
        if each.skill == "threading":
            model.add(units >= each.units * is_ready)
            model.add(units <= each.units + TWO - 1)
        else:
            model.add(units == each.units * is_ready)
        return begun, end

    def _soonest(self, chain: int, job: int) -> int:
        """A slot before which the job cannot begin; what stands has done part of it already."""
        if self.fixed or job == 0:
            return self.work.first
        done = alone(self.work, chain)[job - 1]
        return self.last if done is None else done

    def _people(self) -> None:
        """Nobody is at two jobs at once, or works more than offered."""
        by_slot: dict[tuple[int, int], list[Any]] = {}
        by_person: dict[int, list[Any]] = {}
        for (_chain, _job, person, slot), var in self.at.items():
            by_slot.setdefault((person, slot), []).append(var)
            by_person.setdefault(person, []).append(var)
        for several in by_slot.values():
            if len(several) > 1:
                self.model.add_at_most_one(several)
        for person, every in by_person.items():
            most = self.work.workers[person].most
            if most is not None:
                gone = sum(person in people for people in self.fixed.values())
                self.model.add(sum(every) <= max(0, most - gone))

    def _cost(self) -> list[Any]:
        """Handovers and broken sessions, then people's time; of a plan that is known, changes first."""
        terms, days = self._handovers()
        if self.told is None:
            return [sum((*terms, *self.at.values()))]
        before = _BROKEN * (cost_of(self.told) - cost_of(self.fixed))
        more = self.model.new_int_var(0, _MOST_COST, "")
        self.model.add(more >= sum(terms) - before)
        sessions, places = self._changes(days)
        return [
            sum(sessions),
            sum((*terms, *self.at.values(), *places, ELSEWHERE * _PLACE // _BROKEN * more)),
        ]

    def _fair(self) -> Any:
        """Turns of learners, then shares of work, with no more handovers and broken sessions than now."""
        terms, _days = self._handovers()
        model, work = self.model, self.work
        model.add(sum(terms) <= _BROKEN * cost_of(self.plan))
        slots: dict[int, list[Any]] = {}
        turns: dict[int, list[Any]] = {}
        for (chain, job, person, _slot), var in self.at.items():
            slots.setdefault(person, []).append(var)
            if work.chains[chain].jobs[job].skill == PAIR and work.learns(person):
                turns.setdefault(person, []).append(var)
        parts: list[Any] = []
        for person, several in slots.items():
            hours = model.new_int_var(0, len(several), "")
            model.add(hours == sum(several))
            square = model.new_int_var(0, len(several) ** 2, "")
            model.add_multiplication_equality(square, [hours, hours])
            parts.append(work.unfair(person, 1) * square)
        most = sum(work.unfair(person, len(several)) for person, several in slots.items())
        for several in turns.values():
            gets_one = model.new_bool_var("")
            model.add(gets_one <= sum(several))
            parts.append(-(most + 1) * gets_one)
        return sum(parts)

    def _handovers(self) -> tuple[list[Any], dict[tuple[int, int], list[Any]]]:
        """What handovers and broken sessions cost, and who works in which session."""
        model, terms = self.model, []
        helps: dict[tuple[int, int, int], list[Any]] = {}
        days: dict[tuple[int, int], list[Any]] = {}
        for (chain, job, person, slot), var in self.at.items():
            helps.setdefault((chain, job, person), []).append(var)
            days.setdefault((person, self.work.session_of(person, slot)), []).append(var)
            before = self.at.get((chain, job, person, slot - 1))
            if before is None:
                went_on = person in self.fixed.get((chain, job, slot - 1), ())
                if not went_on:
                    terms.append(_BROKEN * var)
            else:
                begins = model.new_bool_var("")
                model.add(begins >= var - before)
                terms.append(_BROKEN * begins)
            if person in self.fixed.get((chain, job, slot + 1), ()):  # that it goes on there costs nothing
                terms.append(-_BROKEN * var)
        there_already = {(c, j, one) for (c, j, _slot), people in self.fixed.items() for one in people}
        for key, several in helps.items():
            if key not in there_already:
                there = model.new_bool_var("")
                for var in several:
                    model.add_implication(var, there)
                terms.append(HANDOVER * _BROKEN * there)
        return terms, days

    def _changes(self, days: Mapping[tuple[int, int], list[Any]]) -> tuple[list[Any], list[Any]]:
        """What counts as a changed session, and slots in which somebody is elsewhere than told."""
        assert self.told is not None
        model, known = self.model, sessions_of(self.work, self.told)
        sessions: list[Any] = []
        places: list[Any] = []
        otherwise: dict[tuple[int, int], Any] = {}
        for key, several in days.items():
            comes = model.new_bool_var("")
            for var in several:
                model.add_implication(var, comes)
            model.add_bool_or([*several, ~comes])
            if key in known:
                otherwise[key] = model.new_bool_var("")
                sessions += [otherwise[key], 1 - comes]
            else:
                sessions.append(2 * comes)
        for (chain, job, person, slot), var in self.at.items():
            as_told = person in self.told.get((chain, job, slot), ())
            places.append(_PLACE * ((1 - var) if as_told else var))
            session = person, self.work.session_of(person, slot)
            if session in otherwise:
                model.add_implication(~var if as_told else var, otherwise[session])
        return sessions, places

    def solved(self, goal: Goal, effort: float, enough: int | None) -> Answer:
        """The best for a goal; where it has several parts, each after the one before."""
        from ortools.sat.python import cp_model

        best, proved = None, True
        for part in self._goal(goal, enough):
            self.model.minimize(part)
            solver = steady_solver(effort)
            status = solver.solve(self.model)
            if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                return Answer(best, best is None and status == cp_model.INFEASIBLE)
            self.model.add(part <= round(solver.objective_value))
            best, proved = self._plan_of(solver), proved and status == cp_model.OPTIMAL
            self._begin_with(solver)
        return Answer(best, proved)

    def _goal(self, goal: Goal, enough: int | None) -> list[Any]:
        """What is to be least, the first first."""
        if goal == "value":
            chains = zip(self.work.chains, self.ready, strict=True)
            return [-sum(each.value * ready for each, ready in chains)]
        if goal == "last":
            return [self._all_ready(enough)]
        return [self._fair()] if goal == "fair" else self._cost()

    def _plan_of(self, solver: cp_model.CpSolver) -> dict[tuple[int, int, int], tuple[int, ...]]:
        made: dict[tuple[int, int, int], tuple[int, ...]] = dict(self.fixed)
        for (chain, job, person, slot), var in self.at.items():
            if solver.boolean_value(var):
                made[chain, job, slot] = (*made.get((chain, job, slot), ()), person)
        return _sorted(made)

    def _begin_with(self, solver: cp_model.CpSolver) -> None:
        """What was found is where the next search begins."""
        self.model.clear_hints()  # type: ignore[no-untyped-call]  # OR-Tools gives no types here
        for var in self.at.values():
            self.model.add_hint(var, solver.boolean_value(var))

    def _all_ready(self, enough: int | None) -> Any:
        latest = self.model.new_int_var(self.work.first, self.last, "")
        if enough is not None:
            self.model.add(latest >= min(enough, self.last))
        for end in self.ends:
            self.model.add(latest >= end)
        return latest


def _sorted(
    made: Mapping[tuple[int, int, int], Iterable[int]],
) -> dict[tuple[int, int, int], tuple[int, ...]]:
    return {key: tuple(sorted(people)) for key, people in sorted(made.items())}

"""The rota as a constraint model.

All who can demonstrate can be at any stand, so the model says only who is at stands in a slot; which stand
that is comes after (:mod:`loomready.event.day.turns`), and changes nothing of what is open.

In order: fewest slots without somebody who can mend, fewest open slots, the evenest shares, fewest turns. The
solver has one worker, a fixed seed and a limit of deterministic effort.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from loomready.event.day.first_rota import FirstRota
from loomready.event.day.rota_problem import Rota
from loomready.event.steady_solver import steady_solver

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

EFFORT = 1.0  # deterministic, for each goal
MOST_SEARCHED = 20_000  # slots offered, of all people; a larger rota is the first one
Pair = tuple[int, int]
_SCALE = 2520  # of a share: whole for the usual numbers of slots


@dataclass(frozen=True, slots=True)
class Duties:
    """Numbers of helpers: ``at_stands`` and ``to_mend`` by slot, ``teaching`` by class; None: nobody.

    ``proved``: no rota has fewer slots without a mender, fewer open slots or evener shares.
    """

    at_stands: dict[int, tuple[int, ...]]
    to_mend: dict[int, tuple[int, ...]]
    teaching: dict[str, int | None]
    proved: bool


def unfairness(rota: Rota, on_duty: dict[int, int]) -> int:
    """The sum of slots on duty squared, over slots offered: least where all shares are the same."""
    return sum(_weight(rota, person) * slots**2 for person, slots in on_duty.items())


def _weight(rota: Rota, person: int) -> int:
    return _SCALE // max(1, len(rota.helpers[person].slots)) or 1


class _Model:
    def __init__(self, rota: Rota) -> None:
        from ortools.sat.python import cp_model

        self.rota = rota
        self.model: cp_model.CpModel = cp_model.CpModel()
        self.at: dict[tuple[int, int], Any] = {}
        self.mends: dict[tuple[int, int], Any] = {}
        self.teaches: dict[tuple[int, int], Any] = {}
        self.busy: dict[tuple[int, int], list[Any]] = {}
        self.in_class: dict[tuple[int, int], list[Any]] = {}
        self._variables()
        self.lack = [self._lack(slot) for slot in sorted(rota.mending)]
        self.open = self._open()
        for person in range(len(rota.helpers)):
            self._rests(person)

    def _variables(self) -> None:
        for number, helper in enumerate(self.rota.helpers):
            for slot in sorted(helper.slots):
                if helper.demonstrates and self.rota.wanted.get(slot, 0):
                    self.at[number, slot] = self.model.new_bool_var("")
                    self.busy.setdefault((number, slot), []).append(self.at[number, slot])
                if helper.mends and slot in self.rota.mending:
                    self.mends[number, slot] = self.model.new_bool_var("")
                    self.busy.setdefault((number, slot), []).append(self.mends[number, slot])
        for place, lesson in enumerate(self.rota.classes):
            for number in lesson.teachers:
                var = self.teaches[place, number] = self.model.new_bool_var("")
                for slot in lesson.slots:
                    self.busy.setdefault((number, slot), []).append(var)
                    self.in_class.setdefault((number, slot), []).append(var)
            self.model.add(sum(self.teaches[place, number] for number in lesson.teachers) <= 1)
        for several in self.busy.values():
            self.model.add(sum(several) <= 1)

    def _lack(self, slot: int) -> Any:
        menders = [number for number, each in enumerate(self.rota.helpers) if each.mends]
        there = [var for number in menders for var in self.busy.get((number, slot), ())]
        lack = self.model.new_bool_var("")
        self.model.add(lack + sum(there) >= 1)
        return lack

    def _open(self) -> list[Any]:
        """Terms of the number of open slots: of stands, and of classes whole."""
        terms: list[Any] = []
        for slot, people in self.rota.wanted.items():
            there = [self.at[number, slot] for number in self._numbers() if (number, slot) in self.at]
            self.model.add(sum(there) <= people)
            terms.append(people - sum(there))
        for place, lesson in enumerate(self.rota.classes):
            taught = sum(self.teaches[place, number] for number in lesson.teachers)
            terms.append(len(lesson.slots) * (1 - taught))
        return terms

    def _numbers(self) -> range:
        return range(len(self.rota.helpers))

    def _rests(self, person: int) -> None:
        """No longer in a row at stands than may be, and of some hours on duty one slot off. A class that is
        as long itself is excused."""
        for slot in sorted(slot for number, slot in self.busy if number == person):
            row = [self.at.get((person, each)) for each in range(slot, slot + self.rota.most_in_a_row + 1)]
            there = [var for var in row if var is not None]
            if len(there) == len(row):
                self.model.add(sum(there) <= self.rota.most_in_a_row)
            window = range(slot, slot + self.rota.off_in)
            every = [self.busy.get((person, each)) for each in window]
            if any(each is None for each in every):
                continue
            whole = [
                self.teaches[place, person]
                for place, lesson in enumerate(self.rota.classes)
                if (place, person) in self.teaches and set(window) <= set(lesson.slots)
            ]
            busy = sum(var for each in every if each for var in each)
            self.model.add(busy <= self.rota.off_in - 1 + sum(whole))

    def shares(self) -> list[Any]:
        terms: list[Any] = []
        for person in self._numbers():
            every = [
                var for (number, _slot), several in self.busy.items() if number == person for var in several
            ]
            if not every:
                continue
            hours = self.model.new_int_var(0, len(every), "")
            self.model.add(hours == sum(every))
            square = self.model.new_int_var(0, len(every) ** 2, "")
            self.model.add_multiplication_equality(square, [hours, hours])
            terms.append(_weight(self.rota, person) * square)
        return terms

    def turns(self) -> list[Any]:
        """One for each beginning of a stretch at stands, or of one only to mend."""
        terms: list[Any] = []
        for vars_at in (self.at, self.mends):
            for (person, slot), var in vars_at.items():
                begins = self.model.new_bool_var("")
                self.model.add(begins >= var - vars_at.get((person, slot - 1), 0))
                terms.append(begins)
        return terms


def find_duties(rota: Rota, effort: float = EFFORT) -> Duties:
    """The best rota within an effort."""
    from ortools.sat.python import cp_model

    first = FirstRota(rota)
    if sum(len(each.slots) for each in rota.helpers) > MOST_SEARCHED:
        return _duties(rota, first.at, first.mends, first.teaches, proved=False)
    made = _Model(rota)
    model = made.model
    for known, begun in ((made.at, first.at), (made.mends, first.mends), (made.teaches, first.teaches)):
        for key, var in known.items():
            model.add_hint(var, key in begun)
    proved, best = True, None
    for goal, counts in ((made.lack, True), (made.open, True), (made.shares(), True), (made.turns(), False)):
        if not goal:
            continue
        model.minimize(sum(goal))
        solver = steady_solver(effort)
        status = solver.solve(model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            proved = False
            break
        proved = proved and (status == cp_model.OPTIMAL or not counts)
        model.add(sum(goal) <= round(solver.objective_value))
        best = solver
        model.clear_hints()  # type: ignore[no-untyped-call]
        for var in (*made.at.values(), *made.mends.values(), *made.teaches.values()):
            model.add_hint(var, solver.value(var))
    if best is None:
        return _duties(rota, first.at, first.mends, first.teaches, proved=proved)
    at, mends, teaches = (_true(each, best) for each in (made.at, made.mends, made.teaches))
    return _duties(rota, at, mends, teaches, proved=proved)


def _true(variables: dict[Pair, Any], solver: cp_model.CpSolver) -> list[Pair]:
    return [pair for pair, var in variables.items() if solver.boolean_value(var)]


def _duties(
    rota: Rota, at: Iterable[Pair], mends: Iterable[Pair], teaches: Iterable[Pair], *, proved: bool
) -> Duties:
    """:param at, mends: helper and slot; :param teaches: class and helper"""
    teaching: dict[str, int | None] = dict.fromkeys(each.key for each in rota.classes)
    for place, number in teaches:
        teaching[rota.classes[place].key] = number
    return Duties(_by_slot(at), _by_slot(mends), teaching, proved)


def _by_slot(pairs: Iterable[Pair]) -> dict[int, tuple[int, ...]]:
    found: dict[int, list[int]] = {}
    for number, slot in pairs:
        found.setdefault(slot, []).append(number)
    return {slot: tuple(sorted(numbers)) for slot, numbers in sorted(found.items())}

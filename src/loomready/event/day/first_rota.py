"""A first rota, slot by slot without search: where the solver begins, and what there is if it finds none."""

from __future__ import annotations

from loomready.event.day.rota_problem import ClassTime, Rota


class FirstRota:
    """A rota that keeps every rule; another may leave less open, or share more evenly.

    ``at``, ``mends``: who is at stands, or on duty to mend only, by helper and slot; ``teaches``: by class
    and helper.
    """

    def __init__(self, rota: Rota) -> None:
        self.rota = rota
        self.at: set[tuple[int, int]] = set()
        self.mends: set[tuple[int, int]] = set()
        self.teaches: set[tuple[int, int]] = set()
        self._busy: list[set[int]] = [set() for _ in rota.helpers]
        self._lessons: list[list[frozenset[int]]] = [[] for _ in rota.helpers]
        for place, lesson in enumerate(rota.classes):
            self._teach(place, lesson)
        for slot in sorted({*rota.wanted, *rota.mending}):
            self._stands(slot)
            self._mend(slot)

    def _teach(self, place: int, lesson: ClassTime) -> None:
        slots = frozenset(lesson.slots)
        for person in sorted(lesson.teachers, key=lambda one: (self._load(one), one)):
            if slots & self._busy[person]:
                continue
            self._busy[person] |= slots
            self._lessons[person].append(slots)
            if all(self._rests(person, slot) for slot in slots):
                self.teaches.add((place, person))
                return
            self._busy[person] -= slots
            self._lessons[person].pop()

    def _stands(self, slot: int) -> None:
        """Those at stands already go on, then those with the least of what they offered; menders first until
        one is there."""
        free = [
            one
            for one, helper in enumerate(self.rota.helpers)
            if helper.demonstrates and self._may(one, slot) and self._may_stand(one, slot)
        ]
        for _each in range(min(self.rota.wanted.get(slot, 0), len(free))):
            lacks = slot in self.rota.mending and not self._has_mender(slot)
            ranks = {one: (lacks and not self._mends(one), *self._order(self.at, one, slot)) for one in free}
            best = min(free, key=ranks.__getitem__)
            free.remove(best)
            self._busy[best].add(slot)
            self.at.add((best, slot))

    def _mend(self, slot: int) -> None:
        if slot not in self.rota.mending or self._has_mender(slot):
            return
        free = [one for one in range(len(self._busy)) if self._mends(one) and self._may(one, slot)]
        if free:
            best = min(free, key=lambda one: self._order(self.mends, one, slot))
            self._busy[best].add(slot)
            self.mends.add((best, slot))

    def _order(self, there: set[tuple[int, int]], person: int, slot: int) -> tuple[bool, float, int]:
        return ((person, slot - 1) not in there, self._load(person), person)

    def _mends(self, person: int) -> bool:
        return self.rota.helpers[person].mends

    def _has_mender(self, slot: int) -> bool:
        return any(slot in busy and self._mends(one) for one, busy in enumerate(self._busy))

    def _load(self, person: int) -> float:
        """Share of the slots offered that is on duty."""
        return len(self._busy[person]) / max(1, len(self.rota.helpers[person].slots))

    def _may(self, person: int, slot: int) -> bool:
        """Whether this person is there, free, and has a slot off in every stretch that the slot lies in."""
        if slot not in self.rota.helpers[person].slots or slot in self._busy[person]:
            return False
        self._busy[person].add(slot)
        rests = self._rests(person, slot)
        self._busy[person].discard(slot)
        return rests

    def _may_stand(self, person: int, slot: int) -> bool:
        most = self.rota.most_in_a_row
        return not all((person, each) in self.at for each in range(slot - most, slot))

    def _rests(self, person: int, slot: int) -> bool:
        """A class that is as long as a stretch is excused."""
        busy, long = self._busy[person], self.rota.off_in
        before = next(back for back in range(long) if back == long - 1 or slot - back - 1 not in busy)
        after = next(on for on in range(long) if on == long - 1 or slot + on + 1 not in busy)
        windows = (range(first, first + long) for first in range(slot - before, slot + after - long + 2))
        return all(any(each.issuperset(window) for each in self._lessons[person]) for window in windows)

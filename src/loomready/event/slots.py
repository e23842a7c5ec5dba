"""Slots: the time before an event in equal parts, counted from midnight of the first day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from loomready.event.hours_text import times_of
from loomready.model.event import Event, Person

AHEAD = timedelta(days=800)  # nobody plans farther; what is later or longer is a slip of the pen


@dataclass(frozen=True, slots=True)
class Slots:
    """Slot 0 begins at midnight of ``day``; work lies in slots ``first`` to ``last - 1``."""

    day: date
    slot_h: float
    first: int
    last: int

    def start_of(self, slot: int) -> datetime:
        return datetime.combine(self.day, datetime.min.time()) + timedelta(
            minutes=round(slot * self.slot_h * 60)
        )

    def at(self, moment: datetime, *, up: bool) -> int:
        """The first slot that begins then or later (``up``), or the number of slots that end by then."""
        midnight = datetime.combine(self.day, datetime.min.time())
        seconds, each = (moment - midnight).total_seconds(), round(self.slot_h * 3600)
        return int(-(-seconds // each) if up else seconds // each)

    def day_of(self, slot: int) -> date:
        return self.start_of(slot).date()

    def whole(self, hours: float) -> int:
        """Slots that hold so many hours: rounded up."""
        return max(0, -int(-(hours - 1e-9) // self.slot_h))

    def of(self, person: Person) -> frozenset[int]:
        """The slots that some time of a person covers whole, less those in which the person is away."""
        last_day = self.day_of(max(self.first, self.last - 1))
        come, away = times_of(person.hours, self.day, last_day)
        there = {
            slot for start, end in come for slot in range(self.at(start, up=True), self.at(end, up=False))
        }
        gone = {
            slot for start, end in away for slot in range(self.at(start, up=False), self.at(end, up=True))
        }
        return frozenset(slot for slot in there - gone if self.first <= slot < self.last)


def ready_by(event: Event) -> datetime:
    """When all has to be ready: as said, or the first opening less the time for packing."""
    if event.ready_by_said is not None:
        return event.ready_by_said
    return min(day.start for day in event.days) - timedelta(hours=event.pack_time_h)


def slots_of(event: Event, now: datetime) -> Slots:
    """The slots from now on until all has to be ready; none where that is past."""
    made = Slots(now.date(), event.slot_h, 0, 0)
    first, last = made.at(now, up=True), made.at(ready_by(event), up=False)
    return Slots(made.day, event.slot_h, first, max(first, last))


def runs(slots: Iterable[int]) -> list[tuple[int, int]]:
    """Slots without a break, as (first, one after the last).

    >>> runs([5, 1, 2, 6])
    [(1, 3), (5, 7)]
    """
    made: list[tuple[int, int]] = []
    for slot in sorted(slots):
        if made and made[-1][1] == slot:
            made[-1] = (made[-1][0], slot + 1)
        else:
            made.append((slot, slot + 1))
    return made

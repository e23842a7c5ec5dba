"""The limit of new steps per device and hour: far more than anybody makes, too few to fill a disk."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable

from loomready.app.sharing.devices import Member

MOST_AN_HOUR = (
    50_000  # a weaver does some thousands; an older home that was put back asks for some ten thousands
)
HOUR = 3600.0  # seconds


class Reached(Exception):
    """This device has sent as many steps as one may in an hour. ``minutes``: until it may send more."""

    def __init__(self, minutes: int) -> None:
        super().__init__("too many steps in an hour")
        self.minutes = minutes


class Quota:
    """Counts in memory, by a clock that nobody sets back."""

    def __init__(self, most: int = MOST_AN_HOUR, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._clock = most, clock
        self._sent: dict[int, deque[tuple[float, int]]] = {}
        self._lock = threading.Lock()

    def spend(self, who: Member | None, steps: int) -> None:
        """Count new steps of a device. The owner's own computer always passes.

        :raises Reached: nothing was counted
        """
        if who is None or who.device is None or not steps:
            return
        with self._lock:
            now = self._clock()
            sent = self._sent.setdefault(who.device, deque())
            while sent and sent[0][0] <= now - HOUR:
                sent.popleft()
            if sum(count for _, count in sent) + steps > self._most:
                raise Reached(max(1, round((sent[0][0] + HOUR - now) / 60)) if sent else 60)
            sent.append((now, steps))


quota = Quota()

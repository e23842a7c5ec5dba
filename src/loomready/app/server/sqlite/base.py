"""SQLite lets one write at a time; whoever waits asks again and again, and may be passed over until it fails.

One process has a home, so its threads can take turns in the order in which they came: a save waits, and never
fails because others save too. SQLite's own lock stays, against other programs.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from typing import Any

from django.db import OperationalError
from django.db.backends.sqlite3 import base

LONGEST_S = 10.0  # that a request waits for one change that is being saved: its thread is needed by others
LONGEST_OF_WORK_S = 3600.0  # that work in the background waits for one
_waits = threading.local()


class StillSaving(OperationalError):
    """Something else that this program saves takes long: a large import."""

    def __init__(self) -> None:
        super().__init__("another change is still being saved")


def wait_long() -> None:
    """This thread answers no request: it may wait for its turn behind a long import."""
    _waits.longest_s = LONGEST_OF_WORK_S


class Turns:
    """A lock that is handed on in the order in which it was asked for."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._taken = False
        self._since = 0.0  # when the one who has it got it
        self._waiting: deque[threading.Event] = deque()

    def take(self, longest_s: float = LONGEST_S) -> bool:
        """Wait for one's turn, while it is handed on; False if somebody has had it for so long."""
        with self._guard:
            if not self._taken:
                self._taken, self._since = True, time.monotonic()
                return True
            mine = threading.Event()
            self._waiting.append(mine)
        while not mine.wait(max(0.0, self._since + longest_s - time.monotonic())):
            with self._guard:
                if mine.is_set():  # it came just now
                    return True
                if time.monotonic() >= self._since + longest_s:
                    self._waiting.remove(mine)
                    return False
        return True

    def give(self) -> None:
        with self._guard:
            self._since = time.monotonic()
            if self._waiting:
                self._waiting.popleft().set()
            else:
                self._taken = False


_turns: dict[str, Turns] = {}
_guard = threading.Lock()


class DatabaseWrapper(base.DatabaseWrapper):
    """A connection that waits for its turn before a transaction begins."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self._turn: Turns | None = None

    def _start_transaction_under_autocommit(self) -> None:
        with _guard:
            turns = _turns.setdefault(str(self.settings_dict["NAME"]), Turns())
        if self._turn is None:
            if not turns.take(getattr(_waits, "longest_s", LONGEST_S)):
                raise StillSaving
            self._turn = turns
        try:
            super()._start_transaction_under_autocommit()  # type: ignore[misc]
        except BaseException:
            self._over()
            raise

    def _commit(self) -> None:
        super()._commit()  # type: ignore[misc]
        self._over()  # where it fails, a rollback follows

    def _rollback(self) -> None:
        try:
            super()._rollback()  # type: ignore[misc]
        finally:
            self._over()

    def _close(self) -> None:
        try:
            super()._close()  # type: ignore[misc]
        finally:
            self._over()

    def _over(self) -> None:
        if self._turn is not None:
            self._turn.give()
            self._turn = None

"""Work that takes longer than a moment: it runs in a thread, reports its progress, and can be canceled."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from django.db import connections
from django.utils.translation import get_language, override

from loomready.app.server import storage_faults
from loomready.app.server.sqlite.base import wait_long
from loomready.phrases import phrase
from loomready.problems import BadInput, LoomreadyError

MOST_KEPT = 12


class Canceled(Exception):
    """The work was canceled."""


@dataclass(slots=True)
class Job:
    """``made`` holds the file once it is done; ``error`` the message if it failed.

    ``notes``: anything to know about it. Work that makes no file has a ``result`` and the page that
    shows it (``goes``).
    """

    says: str
    name: str
    kind: str
    back: str
    done: int = 0
    of: int = 1
    made: bytes | None = None
    result: Any = None
    goes: str = ""
    error: str = ""
    notes: list[str] = field(default_factory=list)
    finished: bool = False
    settled: bool = False
    stop: threading.Event = field(default_factory=threading.Event)
    guard: threading.Lock = field(default_factory=threading.Lock)

    @property
    def over(self) -> bool:
        return self.finished or bool(self.error) or self.stop.is_set()

    def seen(self) -> Job:
        """A copy as it stands now. A page is written from one copy, for the work goes on."""
        with self.guard:
            return replace(self)

    def tell(self, done: int, of: int) -> None:
        """:raises Canceled: the work was canceled and ends here"""
        self.done, self.of = done, of
        if self.stop.is_set():
            raise Canceled

    def settle(self) -> None:
        """From here on the work can no longer be canceled.

        :raises Canceled: it was canceled before
        """
        with self.guard:
            if self.stop.is_set():
                raise Canceled
            self.settled = True

    def cancel(self) -> bool:
        """Cancel; False if it is too late. What a canceled job makes is deleted."""
        with self.guard:
            if self.settled or self.over:
                return False
            self.stop.set()
            return True


_jobs: dict[str, Job] = {}
_guard = threading.Lock()


def start(job: Job, work: Callable[[Job], bytes | None]) -> str:
    """Start the work in a thread of its own; the token identifies it."""
    token = secrets.token_hex(12)
    with _guard:
        for old in [each for each, kept in _jobs.items() if kept.over][: max(0, len(_jobs) - MOST_KEPT)]:
            del _jobs[old]
        _jobs[token] = job
    threading.Thread(target=_run, args=(job, work, get_language()), daemon=True).start()
    return token


def _run(job: Job, work: Callable[[Job], bytes | None], language: str | None) -> None:
    """In the language of whoever started it."""
    wait_long()
    try:
        with override(language):
            made = work(job)
        if not job.settled:
            job.settle()
    except Canceled:
        return
    except LoomreadyError as error:
        job.error = error.line() if isinstance(error, BadInput) else error.args[0]
    except Exception as error:
        said = storage_faults.said_of(error)
        if said:
            job.error = said
            return
        job.error = phrase("an error in loomready itself: {name}", name=type(error).__name__)
        raise
    else:
        with job.guard:
            job.done, job.made, job.finished = job.of, made, True
    finally:
        connections.close_all()  # this thread's own


def find(token: str) -> Job | None:
    return _jobs.get(token)

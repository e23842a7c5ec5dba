"""Work that takes longer than a blink: it runs beside the pages, says how far it is, and can be canceled."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass, field

from loomready.problems import LoomreadyError

MOST_KEPT = 12


class Canceled(Exception):
    """The weaver does not want it any more."""


@dataclass(slots=True)
class Job:
    """``made`` holds the file once it is there; ``error`` the line that says why it never will be."""

    says: str
    name: str
    kind: str
    back: str
    done: int = 0
    of: int = 1
    made: bytes | None = None
    error: str = ""
    stop: threading.Event = field(default_factory=threading.Event)

    @property
    def over(self) -> bool:
        return self.made is not None or bool(self.error) or self.stop.is_set()

    def tell(self, done: int, of: int) -> None:
        """:raises Canceled: here work that is not wanted any more ends"""
        self.done, self.of = done, of
        if self.stop.is_set():
            raise Canceled


_jobs: dict[str, Job] = {}
_guard = threading.Lock()


def start(job: Job, work: Callable[[Job], bytes]) -> str:
    """Begin the work in a thread of its own; the token finds it again."""
    token = secrets.token_hex(12)
    with _guard:
        for old in [each for each, kept in _jobs.items() if kept.over][: max(0, len(_jobs) - MOST_KEPT)]:
            del _jobs[old]
        _jobs[token] = job
    threading.Thread(target=_run, args=(job, work), daemon=True).start()
    return token


def _run(job: Job, work: Callable[[Job], bytes]) -> None:
    try:
        made = work(job)
    except Canceled:
        return
    except LoomreadyError as error:
        job.error = str(error)
    except Exception as error:
        job.error = f"a fault in loomready itself: {type(error).__name__}"
        raise
    else:
        job.done, job.made = job.of, made


def find(token: str) -> Job | None:
    return _jobs.get(token)

"""The search for treadles in the background: started once for a draft and a wish, followed, canceled,
cached."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from loomready.app import background
from loomready.app.state.snapshot import parsed
from loomready.draft.shedding.fewest_treadles import Shed, Tieup, fewest_treadles
from loomready.draft.shedding.treadle_search import Watch
from loomready.problems import LoomreadyError

_MOST_KEPT = 200
_SOON = 0.35  # seconds that a page waits before it shows the search page

Asked = tuple[str, int, Shed]  # the draft's text, feet, shed
_found: OrderedDict[Asked, Tieup] = OrderedDict()
_searches: dict[Asked, Search] = {}
_guard = threading.Lock()


@dataclass(slots=True)
class Search(Watch):
    """A search under way. ``at_least`` and ``found``: the bounds so far, 0 at the start."""

    job: background.Job
    at_least: int = 0
    found: int = 0
    over: threading.Event = field(default_factory=threading.Event)
    _end: Callable[[], None] | None = None

    def go_on(self) -> None:
        self.job.tell(self.job.done, self.job.of)

    def between(self, at_least: int, found: int) -> None:
        self.at_least, self.found = at_least, found
        self.job.done, self.job.of = at_least, found
        if self.job.stop.is_set() and self._end is not None:
            self._end()

    def underway(self, stop: Callable[[], None]) -> None:
        self._end = stop

    def cancel(self) -> None:
        self.job.stop.set()
        if self._end is not None:
            self._end()


def find(text: str, feet: int, shed: Shed, back: str) -> Tieup | Search:
    """The tie-up with the fewest treadles, if it is known or found soon; else the search for it."""
    asked = (text, feet, shed)
    with _guard:
        if asked in _found:
            _found.move_to_end(asked)
            return _found[asked]
        search = _searches.get(asked)
        if search is None or search.over.is_set():
            job = background.Job(_("Searching for the fewest treadles"), "", "", back)
            search = _searches[asked] = Search(job)
            background.start(job, lambda _job: _work(asked, search))
    search.over.wait(_SOON)
    with _guard:
        return _found.get(asked, search)


def _work(asked: Asked, search: Search) -> bytes:
    text, feet, shed = asked
    try:
        made = fewest_treadles(parsed(text).draft, feet=feet, shed=shed, watch=search)
        with _guard:
            _found[asked] = made
            while len(_found) > _MOST_KEPT:
                _found.popitem(last=False)
        return b""
    except LoomreadyError as error:
        search.job.error = str(error)
        raise
    finally:
        with _guard:
            if _searches.get(asked) is search:
                del _searches[asked]
        search.over.set()


def cancel(text: str, feet: int, shed: Shed) -> None:
    """End the search for this, if there is one."""
    with _guard:
        search = _searches.get((text, feet, shed))
    if search is not None:
        search.cancel()

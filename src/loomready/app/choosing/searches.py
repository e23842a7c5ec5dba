"""Searches under way: started once for each query, read page by page, stopped."""

from __future__ import annotations

import hashlib
import threading
import time
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from loomready.app import background
from loomready.choose.drafts.columns import DraftOffer
from loomready.choose.drafts.finding import Nothing, Search, Wish, why_nothing
from loomready.draft.draft import Draft

PAGE = 12
ROUNDS = 36
_BEFORE_THE_FIRST = 3  # rounds, so that the first page has draws of many kinds to choose from
_BREATH = 0.004  # seconds between rounds that pages may use
_PAUSE = 0.25  # seconds in which the page with the first offers is made
_SOON = 1.8  # seconds that a page waits for its first offers
_MOST_KEPT = 6
_MOST_SHOWN = 240


@dataclass(slots=True)
class Running:
    """A search with the thread it runs in.

    query    the form's fields that asked for it
    lists    what was shown, by the column it is ordered by; offers: the same by their names
    nothing  why nothing was found; asking: this is being determined
    """

    token: str
    wish: Wish
    query: tuple[tuple[str, str], ...]
    search: Search
    job: background.Job
    lists: dict[str, list[DraftOffer]] = field(default_factory=dict)
    offers: dict[str, DraftOffer] = field(default_factory=dict)
    nothing: Nothing | None = None
    asking: bool = False
    first: threading.Event = field(default_factory=threading.Event)
    over: threading.Event = field(default_factory=threading.Event)
    guard: threading.Lock = field(default_factory=threading.Lock)

    def shown(self, column: str, until: int) -> list[DraftOffer]:
        """The offers up to that number: by one column, or each the farthest from those before it."""
        until = min(until, _MOST_SHOWN)
        with self.guard:
            if column:
                # While more comes in, what stands first may change; then the order is made again.
                kept = self.lists.get(column, [])
                if len(kept) < until or not self.is_done:
                    self.lists[column] = self.search.ranked(column, until)
                made = self.lists[column][:until]
            else:
                if self.first.is_set():
                    self.search.more(until - len(self.search.offers))
                made = self.search.offers[:until]
            self.offers.update({id_of(offer): offer for offer in made})
        return made

    @property
    def looked_at(self) -> str:
        return f"{self.search.searched:,}"

    @property
    def is_done(self) -> bool:
        """Whether the search has ended: all rounds are done, or it was stopped."""
        return self.over.is_set() or self.job.stop.is_set()

    def stop(self) -> None:
        """Stop searching; what was found stays."""
        self.job.cancel()


def id_of(offer: DraftOffer) -> str:
    """An offer's name inside its search."""
    content = offer.draft.threading.tobytes() + b"/" + offer.draft.lifts.tobytes()
    return hashlib.sha256(content).hexdigest()[:16]


_running: OrderedDict[str, Running] = OrderedDict()
_guard = threading.Lock()


def begin(
    wish: Wish, own: Mapping[str, Draft], like: Draft | None, query: tuple[tuple[str, str], ...]
) -> Running:
    """The search for this wish, started or found running; waits a moment for its first offers."""
    drafts = sorted((key, id(draft)) for key, draft in own.items())
    token = hashlib.sha256(repr((wish, drafts, None if like is None else id(like))).encode()).hexdigest()[:20]
    with _guard:
        found = _running.get(token)
        if found is None or (found.job.error and found.over.is_set()):
            job = background.Job(_("Searching drafts"), "", "", "/find-draft", of=ROUNDS)
            found = _running[token] = Running(token, wish, query, Search(wish, own, like), job)
            while len(_running) > _MOST_KEPT:
                _running.popitem(last=False)[1].stop()
            background.start(job, lambda job, running=found: _work(job, running))  # type: ignore[misc]
        _running.move_to_end(token)
    found.first.wait(_SOON)
    return found


def running(token: str) -> Running | None:
    with _guard:
        return _running.get(token)


def _work(job: background.Job, running: Running) -> None:
    try:
        for done in range(ROUNDS):
            job.tell(done, ROUNDS)
            with running.guard:
                running.search.step()
                if done + 1 == _BEFORE_THE_FIRST:
                    running.search.more(PAGE)
                    running.first.set()
            time.sleep(_BREATH if done + 1 != _BEFORE_THE_FIRST else _PAUSE)
        if not running.search.found:
            job.done, running.asking = ROUNDS, True
            running.nothing = why_nothing(running.wish)
    finally:
        running.over.set()
        running.first.set()

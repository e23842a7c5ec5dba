"""The plan of an event, made in the background: started once for a content, kept, canceled.

A plan holds for its content until one of its sessions is over or the day ends.
"""

from __future__ import annotations

import pickle
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from django.utils.translation import gettext as _

from loomready.app import background
from loomready.app.event.reported import Reported, reported
from loomready.app.loomside import project_record
from loomready.app.state import agreed_plan
from loomready.app.state.snapshot import Snapshot
from loomready.event.plan_event import EventPlan
from loomready.guildfile.schema import SECTIONS
from loomready.processes import answer

COMMAND = ("-m", "loomready.app.event.plan_process")
LONGEST_S = 900
SOON_S = 0.3  # that a page waits for a plan
_MOST_KEPT = 4
_KINDS = {*SECTIONS, "drafts", "order", "beam", "progress", project_record.KIND, agreed_plan.KIND}

Content = tuple[object, ...]


@dataclass(slots=True)
class Planning:
    """A plan under way, or made. ``name``: changes with what it was made from."""

    name: str
    now: datetime
    done: Reported
    job: background.Job
    plan: EventPlan | None = None
    over: threading.Event = field(default_factory=threading.Event)

    def holds(self, now: datetime) -> bool:
        """Whether it is still the plan for that time."""
        if self.plan is None:
            return True
        ended = any(each.end <= now for each in self.plan.sessions)
        return not ended and now.date() == self.now.date()

    @property
    def canceled(self) -> bool:
        return self.job.stop.is_set()


_kept: OrderedDict[Content, Planning] = OrderedDict()
_guard = threading.Lock()


def planning(snapshot: Snapshot, now: datetime) -> Planning:
    """The plan for the guild as it stands, made or under way; waits a moment for it."""
    done = reported(snapshot, now)
    content = _content(snapshot, done)
    with _guard:
        found = _kept.get(content)
        if found is None or not found.holds(now):
            job = background.Job(_("Planning the work"), "", "", "/event")
            found = _kept[content] = Planning(secrets.token_hex(8), now, done, job)
            _forget_old()
            data = pickle.dumps(_asked(snapshot, done, now))
            background.start(job, _work(found, data))
        _kept.move_to_end(content)
    found.over.wait(SOON_S)
    return found


def _asked(snapshot: Snapshot, done: Reported, now: datetime) -> dict[str, object]:
    """What :func:`plan_event` is given."""
    return {
        "guild": done.guild,
        "drafts": dict(snapshot.drafts),
        "now": now,
        "records": done.records,
        "told": done.told,
        "told_places": done.places,
        "begun": done.begun,
    }


def latest(but: Planning) -> EventPlan | None:
    """The last plan that was made of an earlier content."""
    with _guard:
        return next((each.plan for each in reversed(_kept.values()) if each is not but and each.plan), None)


def cancel(name: str) -> None:
    with _guard:
        for each in _kept.values():
            if each.name == name:
                each.job.cancel()


def again() -> None:
    """Forget what was canceled or failed, so that it is planned again."""
    with _guard:
        for content, each in [*_kept.items()]:
            if each.plan is None and each.job.over:
                del _kept[content]


def forget() -> None:
    """Forget every plan; what is under way ends."""
    with _guard:
        for each in _kept.values():
            each.job.cancel()
        _kept.clear()


def _content(snapshot: Snapshot, done: Reported) -> Content:
    """Changes with everything that a plan is made from."""
    entries = snapshot.entries.items()
    records = tuple((kind, key, entry.text) for (kind, key), entry in entries if kind in _KINDS)
    return (*records, *sorted(done.shares.items()))


def _forget_old() -> None:
    while len(_kept) > _MOST_KEPT:
        _kept.popitem(last=False)[1].job.cancel()


def _work(planned: Planning, data: bytes) -> Callable[[background.Job], None]:
    def work(job: background.Job) -> None:
        try:
            planned.plan = made_apart(data, lambda: job.tell(0, 1))
        finally:
            planned.over.set()

    return work


def made_apart(data: bytes, wanted: Callable[[], object]) -> EventPlan:
    """:raises BadInput: what cannot be planned"""
    made = answer(
        COMMAND,
        data,
        wanted,
        LONGEST_S,
        too_long=_("the plan took too long to make"),
        failed=_("the plan could not be made"),
    )
    plan: EventPlan = pickle.loads(made)
    return plan

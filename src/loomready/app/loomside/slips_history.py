"""What somebody decided about slips of a test weave, for the list of changes, with its undo.

Marks are facts and merged by union; the list of changes gets a line for each act that changes which slips are
kept, left or mended, or whether the web is right. Cells and answers that were tapped have no line.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from typing import Any

from django.db import transaction

from loomready.app.loomside import slips_marks
from loomready.app.models import Change
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.loomside.log.plan_diff import plan_name
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.slips import job
from loomready.slips.job import Job
from loomready.slips.marks import Marks
from loomready.warp.result import WarpPlan

KIND = "slips"
NAMES = ("kept", "left", "mended")
Fields = dict[str, Any]


@contextmanager
def noted(warp: str, who: str) -> Iterator[None]:
    """Note what changes of the warp's slips inside as one change."""
    before = _now(current_snapshot(), warp)
    yield
    after = _now(current_snapshot(), warp)
    if before is not None and after is not None and before != after and before["plan"] == after["plan"]:
        Change.objects.create(kind=KIND, key=warp, before=before, after=after, who=who, position=1)


@contextmanager
def noted_of(rows: Any, warp: str, who: str) -> Iterator[None]:
    """The same for rows of facts that are taken inside: of other jobs they change nothing here."""
    there = isinstance(rows, list) and any(
        isinstance(row, list) and row[:1] == [slips_marks.NAME] for row in rows
    )
    with noted(warp, who) if there else nullcontext():
        yield


def undo(change: Change, who: str) -> None:
    """Set and clear the marks as they were before.

    :raises BadInput: the warp's plan or these marks have changed since
    """
    snapshot = current_snapshot()
    there = _work(snapshot, change.key)
    if change.undone or there is None or _now(snapshot, change.key) != change.after:
        raise BadInput(
            phrase("the test weave of {warp} was changed again later; undo that first", warp=change.key)
        )
    plan, work = there
    before, after = change.before or {}, change.after or {}
    spans: list[tuple[str, int, int, bool]] = []
    for name in NAMES:
        was, now = ({code for code, *_slip in each[name]} for each in (before, after))
        spans += [(name, code, code, code in was) for code in sorted(was ^ now)]
    if before["right"] != after["right"]:
        spans.append(("tested", 0, work.layout.ends - 1, before["right"]))
    with transaction.atomic():
        slips_marks.write(plan, work, spans, who)
        Change.objects.filter(pk=change.pk).update(undone=True)
        Change.objects.create(
            kind=KIND, key=change.key, before=after, after=before, who=who, position=1, undoes=change
        )


def _work(snapshot: Snapshot, warp: str) -> tuple[WarpPlan, Job] | None:
    there = snapshot.plan_of(warp)
    if there is None or there.plan is None or not job.is_possible(there.plan):
        return None
    if not job.fits_marks(there.plan):
        return None
    work = job.job(there.plan)
    return None if work is None else (there.plan, work)


def _now(snapshot: Snapshot, warp: str) -> Fields | None:
    """Slips that are kept, left and mended by their places in the marks; a wrong lift has no end."""
    there = _work(snapshot, warp)
    if there is None:
        return None
    plan, work = there
    marks = slips_marks.marks_of(snapshot, plan, work)
    return {
        "plan": plan_name(slips_marks.NAME, job.signs(plan)),
        "right": bool(marks.block("tested").all()),
        **{name: _slips(work, marks, name) for name in NAMES},
    }


def _slips(work: Job, marks: Marks, name: str) -> list[list[Any]]:
    """The place, kind, end or pick, planned and found shaft of each."""
    return [
        [code, slip.kind, slip.end or slip.pick, slip.planned, slip.found]
        for code, slip in marks.slips(name, work.planned.threading)
    ]

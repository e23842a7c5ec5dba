"""Guards a warp in progress: how a change contradicts what is done, shown before anything is saved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.forms.fields import WORDS, NewName, as_key, free_key, numbered
from loomready.app.models import Change, Fact
from loomready.app.progress import overview
from loomready.app.progress.warp_progress import progress_of, step_of
from loomready.app.state import draft_texts
from loomready.app.state.snapshot import Entry, Snapshot
from loomready.model.dressing_order import CUT_OFF
from loomready.model.guild import DONE_SINCE_WOUND
from loomready.problems import BadInput
from loomready.warp.work_done import differences

LABELS = {
    "ends": gettext_lazy("Ends"),
    "yarns": gettext_lazy("Warp yarns"),
    "order": gettext_lazy("Ends of another yarn"),
    "length": gettext_lazy("Warp length"),
    "second": gettext_lazy("Second warp"),
    "bouts": gettext_lazy("Bouts"),
    "sley": gettext_lazy("Reed and ends per dent"),
    "dent": gettext_lazy("First dent"),
    "loom": gettext_lazy("Loom"),
    "side": gettext_lazy("Side of end 1"),
    "threading": gettext_lazy("Ends on another shaft"),
    "shafts": gettext_lazy("Shafts of the loom, in the draft's order"),
    "shaft_1": gettext_lazy("Shaft 1"),
    "dressing": gettext_lazy("Order of dressing"),
    "plan": gettext_lazy("Plan"),
    "warp": gettext_lazy("Warp"),
    "took": gettext_lazy("Yarn that it took"),
    "steps": gettext_lazy("Steps done at the loom"),
}

# Kinds of records whose forms ask before a change contradicts a warp in progress; weighings never do.
GUARDED = ("looms", "reeds", "yarns")


@dataclass(frozen=True, slots=True)
class Contradiction:
    label: Any
    done: str
    wanted: str


@dataclass(frozen=True, slots=True)
class Against:
    """What a change contradicts.

    ``step``: how far the warp is, in words; ``partly``: in the middle of a job; ``asked``: what else was
    posted with it; ``removed``: the warp itself would be gone.
    """

    step: Any
    day: date | None
    lines: tuple[Contradiction, ...]
    asked: tuple[tuple[str, str], ...] = ()
    remedy: bool = False
    partly: bool = False
    removed: bool = False


@dataclass(frozen=True, slots=True)
class Touched:
    """A warp in progress by its name, and how a change to something else contradicts it."""

    warp: str
    against: Against


def against(snapshot: Snapshot, key: str, made: dict[str, Any]) -> Against | None:
    """How a changed table contradicts a warp in progress; None if it does not."""
    return _between(snapshot, _with(snapshot, "warps", key, made), key)


class InProgress(Exception):
    """A change contradicts what is done of warps in progress and was not confirmed."""

    def __init__(self, touched: tuple[Touched, ...]) -> None:
        super().__init__("contradicts a warp in progress")
        self.touched = touched

    def says(self) -> str:
        """What would change, in one sentence for each warp."""
        each = _("%(warp)s is in progress (%(step)s); this would change: %(what)s.")
        told = (
            each
            % {
                "warp": one.warp,
                "step": one.against.step,
                "what": ", ".join(str(line.label) for line in one.against.lines),
            }
            for one in self.touched
        )
        return " ".join(told)


def touched(snapshot: Snapshot, kind: str, key: str, made: dict[str, Any]) -> tuple[Touched, ...]:
    """The warps in progress that a changed loom, reed, yarn, draft or guild contradicts."""
    return touched_by(snapshot, [(kind, key, made)])


def touched_by(
    snapshot: Snapshot, writes: Iterable[tuple[str, str, dict[str, Any] | None]]
) -> tuple[Touched, ...]:
    """The warps in progress that changes made together contradict; fields None: the record is removed."""
    entries = dict(snapshot.entries)
    for kind, key, fields in writes:
        if fields is None:
            entries.pop((kind, key), None)
        else:
            entries[kind, key] = Entry(kind, key, 0, fields)
    try:
        after = Snapshot(entries)
    except BadInput:
        return ()  # saving says what is wrong
    found = []
    for order in snapshot.guild.warps:
        if ("warps", order.key) not in entries:
            lost = _lost(snapshot, order.key)
            if lost is not None:
                found.append(Touched(order.name, lost))
        elif step_of(snapshot, order.key) != CUT_OFF:
            differs = _between(snapshot, after, order.key)
            if differs is not None:
                found.append(Touched(order.name, differs))
    return tuple(found)


def _lost(snapshot: Snapshot, key: str) -> Against | None:
    """What goes when a warp that is begun, or cut off, is removed."""
    planned = snapshot.plan_of(key)
    if planned is None:
        return None
    order, at = planned.order, progress_of(snapshot, planned)
    steps = Fact.objects.filter(warp=key).count()
    if not (at.begun or order.wound or order.off or steps):
        return None
    step = overview.label_of(at)
    lines = [Contradiction(LABELS["warp"], str(step), _("removed"))]
    if order.wound or order.off:
        took = ", ".join(snapshot.guild.yarn(each).name for each in order.warp_yarns)
        lines.append(Contradiction(LABELS["took"], took, _("counted as still on the shelf")))
    if steps:
        lines.append(Contradiction(LABELS["steps"], f"{steps:,}", _("set aside until the warp is put back")))
    return Against(step, order.wound, tuple(lines), removed=True)


def touched_by_undo(snapshot: Snapshot, number: int) -> tuple[Touched, ...]:
    """The warps in progress that undoing a change contradicts, with those that were made together with it."""
    change = Change.objects.filter(pk=number, undone=False).first()
    if change is None:
        return ()  # undoing reports the error
    together = [change]
    if change.batch is not None:
        together = list(Change.objects.filter(batch=change.batch, undone=False))
    return touched_by(snapshot, [(each.kind, each.key, draft_texts.whole(each.before)) for each in together])


def _with(snapshot: Snapshot, kind: str, key: str, made: dict[str, Any]) -> Snapshot:
    return Snapshot({**snapshot.entries, (kind, key): Entry(kind, key, 0, made)})


def _between(snapshot: Snapshot, wanted: Snapshot, key: str) -> Against | None:
    planned = snapshot.plan_of(key)
    if planned is None or planned.plan is None:
        return None
    at = progress_of(snapshot, planned)
    if not at.begun:
        return None
    after = wanted.plan_of(key)
    if after is None:
        return None
    found: tuple[Contradiction, ...]
    if after.plan is None:
        found = (Contradiction(LABELS["plan"], "", after.error.line() if after.error else ""),)
    else:
        found = tuple(
            Contradiction(LABELS[each.key], _word(each.done), _word(each.wanted))
            for each in differences(planned.plan, after.plan, at.begun)
        )
    if not found:
        return None
    partly = at.now is not None and at.now.partly
    return Against(overview.label_of(at), planned.order.wound, found, partly=partly)


def _word(text: str) -> str:
    """A choice of the guild's settings in words; everything else as it is."""
    return str(WORDS.get(text, text))


# Keys that a warp that is not begun does not have.
DONE = ("wound", "wound_length", "off", *DONE_SINCE_WOUND)


def another(snapshot: Snapshot, key: str, made: dict[str, Any]) -> dict[str, Any]:
    """The table as a warp of its own, not wound yet, under the next free name.

    Its key was never in use: it has no steps, records or history of a warp that is gone.
    """
    name = numbered(snapshot.name("warps", key), snapshot.names("warps").values())
    used = Change.objects.filter(kind="warps").values_list("key", flat=True).distinct()
    reported = Fact.objects.values_list("warp", flat=True).distinct()
    new = NewName(name, free_key(as_key(name), {*snapshot.names("warps"), *used, *reported}))
    return new.into({part: value for part, value in made.items() if part not in DONE})

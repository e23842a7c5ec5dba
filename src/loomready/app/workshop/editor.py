"""The draft editor: operations on a version of a draft, and its own undo and redo.

Operations that are saved together make another version of the draft's record, in the history of the guild;
warps on the draft follow it in the same change (one more color needs one more yarn). Undo here reverses the
changes to this draft one by one, back to its beginning; redo applies them again. The page undoes single
operations of its own: it undoes the version and saves all but the last of them again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import BooleanField, ExpressionWrapper, Q
from django.utils.translation import gettext as _

from loomready.app.changes import change_guard
from loomready.app.drafts import save_draft
from loomready.app.models import Change, Record
from loomready.app.progress import overview
from loomready.app.progress.warp_progress import progress_of
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot, current_snapshot, parsed
from loomready.app.workshop.editor_limits import MAX_CROSSINGS
from loomready.draft.draft import Draft
from loomready.draft.edit import operations as edit
from loomready.draft.edit.as_json import as_json, fingerprint
from loomready.model.dressing_order import CUT_OFF
from loomready.problems import BadInput

KIND = "drafts"


@dataclass(frozen=True, slots=True)
class Steps:
    """The change that undo would reverse and the one that redo would apply again, by number, or None."""

    undo: int | None
    redo: int | None


def editable(draft: Draft) -> bool:
    return draft.ends * draft.picks <= MAX_CROSSINGS


def draft_of(entry: Entry) -> Draft:
    return parsed(entry.fields["wif"]).draft


@dataclass(frozen=True, slots=True)
class Begun:
    """A warp in progress, and its progress in words."""

    key: str
    name: str
    label: Any


def begun_on(snapshot: Snapshot, key: str) -> list[Begun]:
    """Warps in progress on this draft: those that are begun and not cut off."""
    found = []
    for each in snapshot.planned:
        if key in each.order.drafts:
            at = progress_of(snapshot, each)
            if at.begun and at.step != CUT_OFF:
                found.append(Begun(each.order.key, each.order.name, overview.label_of(at)))
    return found


def change(
    key: str, version: int, operations: Sequence[edit.Operation], who: str, *, sure: bool = False
) -> Entry:
    """The draft's record after the operations.

    :param sure: change it also if it contradicts warps in progress
    :raises Conflict: the version is not the one that is there; :raises BadInput: an operation cannot be done
    :raises InProgress: the operations contradict what is done of a warp
    """
    with transaction.atomic():
        after = tried(key, version, operations)
        save_draft.version(current_snapshot(), key, after, version, who, sure=sure)
    return _now(key)


def tried(key: str, version: int, operations: Sequence[edit.Operation]) -> Draft:
    """The draft after the operations, not saved.

    :raises Conflict, BadInput: as :func:`change`
    """
    after = edit.apply(draft_of(_entry(key, version)), operations)
    if not editable(after):
        raise BadInput(_("that makes the cloth too large to edit here"))
    return after


def go_back(key: str, version: int, who: str, *, sure: bool = False) -> Entry:
    """:raises Conflict: as :func:`change`; :raises BadInput: there is nothing to undo"""
    with transaction.atomic():
        _entry(key, version)
        number = steps(key).undo
        if number is None:
            raise BadInput(_("there is nothing more to undo"))
        _undo(number, who, sure=sure)
    return _now(key)


def go_forth(key: str, version: int, who: str, *, sure: bool = False) -> Entry:
    """:raises Conflict: as :func:`change`; :raises BadInput: there is nothing to redo"""
    with transaction.atomic():
        _entry(key, version)
        number = steps(key).redo
        if number is None:
            raise BadInput(_("there is nothing to redo"))
        _undo(number, who, sure=sure)
    return _now(key)


def _undo(number: int, who: str, *, sure: bool) -> None:
    """:raises InProgress: as :func:`change`"""
    if not sure and (touched := change_guard.touched_by_undo(current_snapshot(), number)):
        raise change_guard.InProgress(touched)
    store.undo(number, who=who)


def steps(key: str) -> Steps:
    """The changes of this draft that undo and redo would act on, read in order."""
    changes = Change.objects.filter(kind=KIND, key=key).order_by("pk")
    begins = ExpressionWrapper(Q(before__isnull=True), BooleanField())
    rows = list(changes.annotate(begins=begins).values_list("pk", "undoes_id", "batch", "begins"))
    batches = {batch for _, _, batch, _ in rows if batch is not None}
    others = Change.objects.filter(batch__in=batches).exclude(kind="warps").exclude(kind=KIND, key=key)
    wide = set(others.values_list("batch", flat=True))
    back: list[int] = []
    forth: list[int] = []
    source: dict[int, int] = {}  # the change of this draft that a later one repeats or reverses
    for number, undoes, batch, made in rows:
        if made or batch in wide:  # the draft's first version, or a change of other records too
            back, forth = [], []
        elif undoes is None:
            back.append(number)
            forth = []
        else:
            of = source.get(undoes, undoes)
            source[number] = of
            if back and back[-1] == of:
                back.pop()
                forth.append(number)
            elif forth and source[forth[-1]] == of:
                forth.pop()
                back.append(of)
            else:
                back.append(number)
                forth = []
    return Steps(back[-1] if back else None, forth[-1] if forth else None)


def shown(entry: Entry) -> dict[str, Any]:
    """The record for the page's script."""
    draft = draft_of(entry)
    return state(entry) | {"draft": as_json(draft)}


def state(entry: Entry) -> dict[str, Any]:
    """What changes with every operation besides the draft itself."""
    found = steps(entry.key)
    return {
        "version": entry.version,
        "fingerprint": fingerprint(draft_of(entry)),
        "can_undo": found.undo is not None,
        "can_redo": found.redo is not None,
    }


def _entry(key: str, version: int) -> Entry:
    record = Record.objects.filter(kind=KIND, key=key).first()
    if record is None or record.version != version:
        raise store.Conflict(record)
    return _now(key)


def _now(key: str) -> Entry:
    entry = current_snapshot().entry(KIND, key)
    if entry is None:
        raise store.Conflict(None)
    return entry

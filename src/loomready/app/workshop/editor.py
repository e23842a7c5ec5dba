"""The draft editor: operations on a version of a draft, and its own undo and redo.

Each operation makes another version of the draft's record, in the history of the guild; warps on the draft
follow it in the same change (one more color needs one more yarn). Undo here reverses the changes to this
draft one by one, back to its beginning; redo applies them again.
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
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot, current_snapshot, parsed
from loomready.app.workshop.editor_limits import MAX_CROSSINGS
from loomready.draft.draft import Draft
from loomready.draft.edit import operations as edit
from loomready.draft.edit.as_json import as_json, fingerprint
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


def wound_from(snapshot: Snapshot, key: str) -> list[str]:
    """Warps on this draft that are wound: a warp on a loom does not follow."""
    return [
        order.name
        for order in snapshot.guild.warps
        if key in order.drafts and overview.is_wound(snapshot, order.key)
    ]


def change(
    key: str, version: int, operations: Sequence[edit.Operation], who: str, *, sure: bool = False
) -> Entry:
    """The draft's record after the operations.

    :param sure: change it also if it contradicts warps in progress
    :raises Conflict: the version is not the one that is there; :raises BadInput: an operation cannot be done
    :raises InProgress: the operations contradict what is done of a warp
    """
    with transaction.atomic():
        entry = _entry(key, version)
        before = draft_of(entry)
        after = edit.apply(before, operations)
        if not editable(after):
            raise BadInput(_("that makes the cloth too large to edit here"))
        save_draft.version(current_snapshot(), key, after, version, who, sure=sure)
    return _now(key)


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

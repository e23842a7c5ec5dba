"""Every change goes through here: checked against the version it was made to, kept, undoable.

The store holds a whole guild at any moment: a change that would leave a name without its thing (a cone
without its yarn, a warp without its draft) is refused and nothing is written.
"""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models import Max

from loomready.app.models import Change, Record
from loomready.app.room import open_room
from loomready.problems import BadInput

Fields = dict[str, Any]


class Conflict(Exception):
    """Somebody else changed the record since it was read. ``current`` None: it is gone."""

    def __init__(self, current: Record | None) -> None:
        super().__init__("changed by somebody else")
        self.current = current


def write(kind: str, key: str, fields: Fields, *, version: int | None, who: str) -> Change | None:
    """Make a record (``version`` None) or change the one of that version; None if nothing differs.

    :raises Conflict: it has another version now; :raises BadInput: the guild would mean nothing
    """
    with transaction.atomic():
        record = Record.objects.filter(kind=kind, key=key).first()
        if version is None and record is not None:
            raise BadInput(f'there is already one called "{key}"; expected another name', where="key")
        if version is not None and (record is None or record.version != version):
            raise Conflict(record)
        if record is not None and record.fields == fields:
            return None
        return _put(kind, key, fields, record, who)


def remove(kind: str, key: str, *, version: int, who: str) -> Change:
    """:raises Conflict, BadInput: as :func:`write`; something else still needs it"""
    with transaction.atomic():
        record = Record.objects.filter(kind=kind, key=key).first()
        if record is None or record.version != version:
            raise Conflict(record)
        return _put(kind, key, None, record, who)


def undo(number: int, *, who: str) -> Change:
    """Take one change back, as a new change.

    :raises BadInput: no such change, taken back already, or changed again since (undo that first)
    """
    with transaction.atomic():
        change = Change.objects.filter(pk=number, undone=False).first()
        if change is None:
            raise BadInput("this change is taken back already")
        record = Record.objects.filter(kind=change.kind, key=change.key).first()
        now = None if record is None else record.fields
        if now != change.after:
            raise BadInput("it was changed again since; take the later change back first")
        made = _put(change.kind, change.key, change.before, record, who, position=change.position)
        Change.objects.filter(pk=change.pk).update(undone=True)
        Change.objects.filter(pk=made.pk).update(undoes=change)
        if change.undoes_id is not None:
            Change.objects.filter(pk=change.undoes_id).update(undone=False)
        return made


def load(things: list[tuple[str, str, Fields]], *, who: str) -> None:
    """Write many records at once, new or over the old: all of them or none."""
    with transaction.atomic():
        for kind, key, fields in things:
            record = Record.objects.filter(kind=kind, key=key).first()
            if record is None or record.fields != fields:
                _put(kind, key, fields, record, who, check=False)
        open_room()


def _put(
    kind: str,
    key: str,
    fields: Fields | None,
    record: Record | None,
    who: str,
    *,
    position: int | None = None,
    check: bool = True,
) -> Change:
    before = None if record is None else record.fields
    if record is not None:
        position = record.position
    elif position is None:
        highest = Record.objects.filter(kind=kind).aggregate(Max("position"))["position__max"]
        position = 1 if highest is None else highest + 1
    change = Change.objects.create(
        kind=kind, key=key, before=before, after=fields, who=who, position=position
    )
    if fields is None:
        if record is not None:
            record.delete()
    elif record is None:
        # A record that comes back must not look like a version that somebody still has before her.
        version = Change.objects.filter(kind=kind, key=key).count()
        Record.objects.create(kind=kind, key=key, fields=fields, position=position, version=version)
    else:
        record.fields, record.version = fields, record.version + 1
        record.save()
    if check:
        open_room()
    return change

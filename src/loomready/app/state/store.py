"""Writes every change: checked against the version it was made from, kept in the history, undoable.

The store always holds a valid guild: a change that would leave a reference without its record (a cone without
its yarn, a warp without its draft) is refused and nothing is written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import PurePosixPath
from typing import Any

from django.db import transaction
from django.db.models import Max

from loomready.app.models import Change, Record
from loomready.app.state import draft_texts, facts
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.model.guild import WarpOrder
from loomready.phrases import phrase
from loomready.problems import BadInput

Fields = dict[str, Any]
Write = tuple[str, str, Fields, int | None]  # kind, key, fields, version as in write
MAX_PATH = 200
PHOTOS = "photos"  # of a thing that their fields name
# Nothing refers to these: a second one is the same one.
MADE_ONCE = ("day", "progress", "order", "happened", "mistakes", "beam", "tested", PHOTOS)


_noted: ContextVar[list[int] | None] = ContextVar("changes made in this request", default=None)


@contextmanager
def noting() -> Iterator[list[int]]:
    """The numbers of the changes that are made inside, first to last."""
    made: list[int] = []
    before = _noted.set(made)
    try:
        yield made
    finally:
        _noted.reset(before)


def fit_path(key: str) -> None:
    """Whether a draft's key is a path that a page's address can hold.

    :raises BadInput: it is not
    """
    path = PurePosixPath(key)
    fit = (
        str(path) == key
        and key.isprintable()
        and len(key) <= MAX_PATH
        and not path.is_absolute()
        and not {"..", "."} & set(path.parts)
        and not set(key) & set(':\\"*<>|?')
        and path.suffix.lower() == ".wif"
    )
    if not fit:
        raise BadInput(
            phrase("{key!a} is not a name for a draft; expected one like drafts/towels.wif", key=key[:60])
        )


class Conflict(Exception):
    """Somebody else changed the record since it was read. ``current`` None: it was removed."""

    def __init__(self, current: Record | None) -> None:
        super().__init__("changed by somebody else")
        self.current = current


def write(kind: str, key: str, fields: Fields, *, version: int | None, who: str) -> Change | None:
    """Make a record (``version`` None) or change the one of that version; None if nothing differs.

    :raises Conflict: it has another version now; :raises BadInput: the guild would not be valid
    """
    with transaction.atomic():
        record = Record.objects.filter(kind=kind, key=key).first()
        if version is None and record is not None:
            if kind in MADE_ONCE:
                raise Conflict(record)
            raise BadInput(
                phrase('there is already one called "{key}"; expected another name', key=key), where="key"
            )
        if version is not None and (record is None or record.version != version):
            raise Conflict(record)
        if record is not None and record.fields == fields:
            return None
        return _put(kind, key, fields, record, who)


def write_together(writes: Iterable[Write], *, who: str) -> None:
    """Several changes that mean one thing: all of them or none, and undone together.

    :raises Conflict, BadInput: as :func:`write`
    """
    with transaction.atomic():
        made = [write(kind, key, fields, version=version, who=who) for kind, key, fields, version in writes]
        _one_batch([change for change in made if change is not None])


def _one_batch(made: list[Change]) -> None:
    if len(made) > 1:
        Change.objects.filter(pk__in=[each.pk for each in made]).update(batch=made[0].pk)


def needs(snapshot: Snapshot, kind: str, key: str) -> list[str]:
    """What a record is still needed by: warps by their names, cones by theirs."""
    warps = snapshot.guild.warps
    if kind == "looms":
        return [order.name for order in warps if order.loom == key]
    if kind == "reeds":
        return [order.name for order in warps if key in (order.reed, order.wound_reed)]
    if kind == "drafts":
        return [order.name for order in warps if key in order.drafts]
    if kind == "yarns":
        cones = [snapshot.name("cones", cone.key) for cone in snapshot.guild.cones if cone.yarn == key]
        return cones + [order.name for order in warps if key in _yarns_of(order)]
    if kind == "warps":
        return [order.name for order in warps if order.tied_to == key]
    return []


def _yarns_of(order: WarpOrder) -> set[str]:
    return {*order.warp_yarns, *order.all_weft_yarns}


def remove(kind: str, key: str, *, version: int, who: str) -> Change:
    """Remove a record, and its photographs with it.

    :raises Conflict, BadInput: as :func:`write`; something else still needs it
    """
    with transaction.atomic():
        record = Record.objects.filter(kind=kind, key=key).first()
        if record is None or record.version != version:
            raise Conflict(record)
        change = _put(kind, key, None, record, who)
        photos = list(Record.objects.filter(kind=PHOTOS, fields__of=kind, fields__thing=key))
        _one_batch([change, *(_put(PHOTOS, each.key, None, each, who) for each in photos)])
        return change


def undo(number: int, *, who: str) -> None:
    """Undo a change, with those that were made together with it, as new changes.

    :raises BadInput: no such change, undone already, or changed again since (undo that first)
    """
    with transaction.atomic():
        change = Change.objects.filter(pk=number, undone=False).first()
        if change is None:
            raise BadInput(phrase("this change is already undone"))
        together = [change]
        if change.batch is not None:
            together = list(Change.objects.filter(batch=change.batch, undone=False))
        backs = [_take_back(each, who) for each in together]
        _one_batch(backs)
        current_snapshot()


def _take_back(change: Change, who: str) -> Change:
    if change.kind == "guild" and change.before is None:
        raise BadInput(phrase("the start of a guild cannot be undone"))
    record = Record.objects.filter(kind=change.kind, key=change.key).first()
    if (None if record is None else record.fields) != draft_texts.whole(change.after):
        raise BadInput(
            phrase("{change} was changed again later; undo the later change first", change=change.key)
        )
    before = draft_texts.whole(change.before)
    made = _put(change.kind, change.key, before, record, who, position=change.position, check=False)
    Change.objects.filter(pk=made.pk).update(undoes=change)
    done, back = _to_and_fro(change)
    Change.objects.filter(pk__in=done).update(undone=True)
    Change.objects.filter(pk__in=back).update(undone=False)
    return made


def _to_and_fro(change: Change) -> tuple[list[int], list[int]]:
    """All changes with the same effect as this one (redone after an undo), and all that undid it.

    Undoing any one of them undoes all that have the same effect.
    """
    level = [change.pk]
    while (earlier := Change.objects.values_list("undoes", flat=True).get(pk=level[0])) is not None:
        level = [earlier]
    kinds: list[list[int]] = []
    while level:
        kinds.append(level)
        level = list(Change.objects.filter(undoes__in=level).values_list("pk", flat=True))
    ours = next(depth for depth, each in enumerate(kinds) if change.pk in each) % 2
    same = [pk for each in kinds[ours::2] for pk in each]
    return same, [pk for each in kinds[1 - ours :: 2] for pk in each]


def load(
    things: list[tuple[str, str, Fields]],
    *,
    who: str,
    all_new: bool = False,
    tell: Callable[[int, int], None] = lambda done, of: None,
    settle: Callable[[], None] = lambda: None,
) -> None:
    """Write many records at once, new ones or replacements: all of them or none.

    :param all_new: none of them may be there
    :param tell: called with how much is done, and of how much; an exception from it rolls everything back
    :param settle: called last; an exception from it rolls everything back
    :raises BadInput: the guild would not be valid, or a record that should be new exists
    """
    with transaction.atomic():
        made = []
        for number, (kind, key, fields) in enumerate(things):
            tell(number, len(things))
            if kind == "facts":  # these are only ever added and cannot be undone
                facts.bring(key, fields, who)
                continue
            record = Record.objects.filter(kind=kind, key=key).first()
            if all_new and record is not None:
                raise BadInput(
                    phrase("{key} was changed by somebody else in the meantime; import it again", key=key)
                )
            if record is None or record.fields != fields:
                made.append(_put(kind, key, fields, record, who, check=False))
        _one_batch(made)
        current_snapshot()
        settle()


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
    if kind == "drafts" and record is None:
        fit_path(key)
    before, after = (None if record is None else record.fields), fields
    if kind == "drafts":
        before, after = draft_texts.kept(before), draft_texts.kept(after, before)
    if record is not None:
        position = record.position
    elif position is None:
        highest = Record.objects.filter(kind=kind).aggregate(Max("position"))["position__max"]
        position = 1 if highest is None else highest + 1
    change = Change.objects.create(kind=kind, key=key, before=before, after=after, who=who, position=position)
    noted = _noted.get()
    if noted is not None:
        noted.append(change.pk)
    if fields is None:
        if record is not None:
            record.delete()
    elif record is None:
        # A restored record must not look like a version that is still open on somebody's page.
        version = Change.objects.filter(kind=kind, key=key).count()
        Record.objects.create(kind=kind, key=key, fields=fields, position=position, version=version)
    else:
        record.fields, record.version = fields, record.version + 1
        record.save()
    if check:
        current_snapshot()
    return change

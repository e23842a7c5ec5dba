"""The versions of a draft, from its changes: which one a plan uses, and which one a warp was wound from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from django.db.models import BooleanField, ExpressionWrapper, Q

from loomready.app.models import Change
from loomready.app.state import draft_texts
from loomready.app.state.snapshot import Snapshot, parsed
from loomready.draft.wif import writer


@dataclass(frozen=True, slots=True)
class Version:
    """One of a draft's versions, counted from 1; each change to it made the next."""

    number: int
    wif: str
    at: datetime
    who: str


@dataclass(frozen=True, slots=True)
class VersionLine:
    """A version without its file: a draft edited for an evening has hundreds."""

    number: int
    at: datetime
    who: str


def of_draft(key: str, most: int | None = None) -> tuple[list[VersionLine], int]:
    """The last versions there were (``most`` of them, or all), the last first; and how many there are."""
    found = Change.objects.filter(kind="drafts", key=key).order_by("pk")
    gone = ExpressionWrapper(Q(after__isnull=True), BooleanField())
    rows = found.annotate(gone=gone).values_list("at", "who", "gone")
    made = [VersionLine(number, at, who) for number, (at, who, gone) in enumerate(rows, 1) if not gone]
    return made[: -most - 1 : -1] if most is not None else made[::-1], len(made)


def one(key: str, number: int) -> Version | None:
    """The version of that number."""
    changes = Change.objects.filter(kind="drafts", key=key).order_by("pk")
    change = changes[number - 1] if 1 <= number <= changes.count() else None
    after = None if change is None else draft_texts.whole(change.after)
    if change is None or after is None:
        return None
    return Version(number, after["wif"], change.at, change.who)


def wound_from(snapshot: Snapshot, warp: str) -> Version | None:
    """The version that the draft of a wound warp had when it was wound, if another one is here now."""
    order = next(each for each in snapshot.guild.warps if each.key == warp)
    entry = snapshot.entry("drafts", order.draft)
    if order.wound is None or entry is None:
        return None
    last = _when_wound(warp)
    if last is None:
        return None
    number = Change.objects.filter(kind="drafts", key=order.draft, pk__lte=last).count()
    if number == entry.version:
        return None
    found = one(order.draft, number)
    now = entry.fields["wif"]
    if found is None or found.wif == now or _weave(found.wif) == _weave(now):
        return None
    return found


def _weave(wif: str) -> bytes:
    """All of a draft's file but what its draft is called and its notes."""
    return writer.dumps(replace(parsed(wif).draft, title=None, notes=None))


def _when_wound(warp: str) -> int | None:
    """The number of the change (or the last that was made with it) since which the warp is wound."""
    for change in Change.objects.filter(kind="warps", key=warp, undone=False):
        if (change.after or {}).get("wound") and not (change.before or {}).get("wound"):
            if change.batch is None:
                return change.pk
            return Change.objects.filter(batch=change.batch).values_list("pk", flat=True).first()
    return None

"""The list of changes: what was changed, when and by whom, in words for the page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import PurePosixPath
from typing import Any

from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from loomready.app.changes import draft_change
from loomready.app.changes.by_name import by_name, name_then
from loomready.app.forms import bands_form
from loomready.app.forms.fields import LABELS, as_text, label_of
from loomready.app.i18n.words import translated
from loomready.app.models import Change
from loomready.app.server.storage_faults import DamagedText
from loomready.app.state import draft_texts, photo_files, photos, places
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.slips import slip_words
from loomready.slips.result import Slip

KINDS = {
    "guild": gettext_lazy("guild"),
    "yarns": gettext_lazy("yarn"),
    "cones": gettext_lazy("cone"),
    "looms": gettext_lazy("loom"),
    "reeds": gettext_lazy("reed"),
    "boards": gettext_lazy("warping board"),
    "warps": gettext_lazy("warp"),
    "event": gettext_lazy("event"),
    "people": gettext_lazy("person"),
    "pace": gettext_lazy("pace"),
    "shop": gettext_lazy("cone to buy"),
    "stands": gettext_lazy("stand"),
    "classes": gettext_lazy("class"),
    "packing": gettext_lazy("thing to pack"),
    "agreed": gettext_lazy("plan that people were told"),
    "drafts": gettext_lazy("draft"),
    "progress": gettext_lazy("progress of warp"),
    "day": gettext_lazy("date"),
    "order": gettext_lazy("order of"),
    "weighings": gettext_lazy("past weighings of cone"),
    "mistakes": gettext_lazy("mistakes in weighing cone"),
    "happened": gettext_lazy("project record of warp"),
    "beam": gettext_lazy("beam of loom"),
    "tested": gettext_lazy("test weave of warp"),
    "slips": gettext_lazy("test weave of warp"),
    "facts": gettext_lazy("steps at the loom of warp"),
    photos.KIND: gettext_lazy("photograph of"),
}
MOST_SHOWN = 60
MOST_COMPARED = 400_000  # characters of two versions of a draft
MOST_TOLD = 3  # of what was changed together


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One act in the history: an undo of it is told on its line.

    ``can_undo``: nothing has changed the record since; ``undone``: it was undone, by ``back_who`` at
    ``back_at``; ``again``: the undo, which can itself be undone; 0: it can't
    """

    number: int
    at: datetime
    who: str
    says: str
    can_undo: bool
    undone: bool
    undoes: bool = False
    again: int = 0
    back_who: str = ""
    back_at: datetime | None = None


def latest(most: int = MOST_SHOWN) -> list[HistoryLine]:
    firsts = Change.objects.filter(Q(batch=None) | Q(batch=F("pk")), undoes=None)
    return _lines(firsts[:most], whole=True)


def of_record(kind: str, key: str, most: int = 12) -> list[HistoryLine]:
    return _lines(Change.objects.filter(kind=kind, key=key, undoes=None)[:most])


def of_change(number: int) -> HistoryLine | None:
    """The line of one change, with all that was made together with it; an undo is not undone by its line."""
    change = Change.objects.filter(pk=number, undone=False).first()
    if change is None:
        return None
    (line,) = _lines([change], whole=True)
    undoes = change.undoes_id is not None
    return replace(line, can_undo=line.can_undo and not undoes, undoes=undoes)


def _lines(changes: Iterable[Change], *, whole: bool = False) -> list[HistoryLine]:
    snapshot = current_snapshot()
    return [_line(change, _batch(change), snapshot, whole) for change in changes]


def _line(change: Change, batch: list[Change], snapshot: Snapshot, whole: bool) -> HistoryLine:
    offered = (whole or _is_one_step(batch)) and not _begins(change)
    together = len(batch) > 1 and (whole or _is_one_step(batch))
    line = HistoryLine(
        change.pk,
        change.at,
        change.who,
        _together(batch, snapshot) if together else says(change, snapshot),
        can_undo=offered and not change.undone and all(map(_stands, batch)),
        undone=change.undone,
    )
    if not change.undone:
        return line
    undo = Change.objects.filter(undoes=change, undone=False).first()
    if undo is None:  # what undid it was undone and made again
        return line
    again = undo.pk if offered and all(map(_stands, _batch(undo))) else 0
    return replace(line, again=again, back_who=undo.who, back_at=undo.at)


def _stands(change: Change) -> bool:
    """Whether the record is still as this change left it."""
    last = Change.objects.filter(kind=change.kind, key=change.key).first()
    stands = last is not None and last.after == change.after
    if stands and change.kind == photos.KIND and change.before:
        return photo_files.there(change.before["picture"])  # its room may have been needed
    return stands


def _batch(change: Change) -> list[Change]:
    """What was changed with it, first to last; of many only the first few."""
    if change.batch is None:
        return [change]
    return list(Change.objects.filter(batch=change.batch).order_by("pk")[: MOST_TOLD + 1])


def _is_one_step(batch: list[Change]) -> bool:
    """Whether it is a single change, or a few that belong together, shown in full."""
    return len(batch) <= MOST_TOLD


def _begins(change: Change) -> bool:
    """Whether the guild began with this change, which cannot be undone."""
    first = Change.objects.filter(kind="guild", before__isnull=True).order_by("pk").first()
    return first is not None and first.pk == change.pk


def _together(batch: list[Change], snapshot: Snapshot) -> str:
    if len(batch) > 1 and all(each.kind == photos.KIND for each in batch):
        return _of_several_photos(batch[0], Change.objects.filter(batch=batch[0].batch).count(), snapshot)
    if _is_one_step(batch):
        ticked = {each.key for each in batch if each.kind == "progress"}
        left = [each for each in batch if each.kind != "warps" or each.key not in ticked]
        left = [each for each in left if each.kind != photos.KIND] or left[:1]
        return "; ".join(says(each, snapshot) for each in left)
    changed = Change.objects.filter(batch=batch[0].batch)
    if not changed.exclude(pk=batch[0].pk).exclude(kind=photos.KIND).exists():
        return says(batch[0], snapshot)  # its photographs went with it, or came back
    count = changed.count()
    told = changed.filter(kind="agreed").first()
    if told is not None:
        on_looms = ngettext("%d warp on its loom", "%d warps on their looms", count - 1) % (count - 1)
        return f"{says(told, snapshot)}; {on_looms}"
    return _("%(count)d entries imported together") % {"count": count}


def _of_several_photos(first: Change, count: int, snapshot: Snapshot) -> str:
    of = {"count": count, "name": _name(first, snapshot)}
    back = _("undone: ") if first.undoes_id else ""
    if first.after is None:
        return back + _("%(count)d photographs of %(name)s: removed") % of
    return back + _("%(count)d photographs of %(name)s: new") % of


_MOMENT = re.compile(r"(\d{4}-\d\d-\d\d)T(\d\d:\d\d)")


def says(change: Change, snapshot: Snapshot | None = None) -> str:
    """The change in words, with the names that records have now."""
    snapshot = snapshot or current_snapshot()
    what = _("the guild")
    if change.kind == change.key and change.kind != "guild":  # there is one of it
        what = str(KINDS.get(change.kind, change.kind))
    elif change.kind != "guild":
        what = f"{KINDS.get(change.kind, change.kind)} {_name(change, snapshot)}"
    back = _("undone: ") if change.undoes_id else ""
    if change.before is None and change.kind not in _OF_NEW:
        return f"{back}{what}: {_('new')}"
    if change.after is None:
        return f"{back}{what}: {_('removed')}"
    if (own := _OF.get(change.kind)) is not None and (told := own(change.before, change.after, snapshot)):
        return f"{back}{what}: {told}"
    if change.kind == "tested":
        return f"{back}{what}: {', '.join(_of_test_weave(change.before, change.after))}"
    if change.kind == "slips":
        return f"{back}{what}: {', '.join(_of_slips(change.before, change.after))}"
    if change.kind == "drafts":
        return f"{back}{what}: {_of_draft(change.before, change.after)}"
    parts = changed(snapshot, change.kind, change.key, change.before, change.after)
    return f"{back}{what}: {', '.join(parts)}"


def changed(
    snapshot: Snapshot, kind: str, key: str, before: dict[str, Any], after: dict[str, Any]
) -> list[str]:
    """What differs between two tables of a record: "finished width 9.5 in → 12 in"."""
    names = [name for name in dict.fromkeys((*before, *after)) if before.get(name) != after.get(name)]
    was, now = (by_name(snapshot, each) for each in (before, after))
    if "name" in names:  # left out where it is the usual one
        usual = snapshot.usual_name(kind, key)
        was, now = ({"name": usual} | each for each in (was, now))
    return [_part(name, was.get(name), now.get(name)) for name in names]


def _of_progress(before: dict[str, Any] | None, after: dict[str, Any], snapshot: Snapshot) -> str:
    return str(_(after.get("step", "")))


def _of_order(before: dict[str, Any] | None, after: dict[str, Any], snapshot: Snapshot) -> str:
    """Which one moved, and where to; "" where several did."""
    was, now = ((each or {}).get("keys", []) for each in (before, after))
    for place, key in enumerate(now, 1):
        rest = [each for each in now if each != key]
        if was and was != now and rest == [each for each in was if each != key]:
            name = next((snapshot.name(kind, key) for kind in places.KINDS if snapshot.entry(kind, key)), key)
            return _("%(name)s in place %(place)d of %(of)d") % {
                "name": name,
                "place": place,
                "of": len(now),
            }
    return _("another order")


def _of_weighing(before: dict[str, Any] | None, after: dict[str, Any], snapshot: Snapshot) -> str:
    """A weighing, where nothing but a weighing changed."""
    before = before or {}
    names = {name for name in (*before, *after) if before.get(name) != after.get(name)}
    if "weighed" not in names or not names <= {"gross", "weighed"}:
        return ""
    return _("weighed %(gross)s, %(day)s") % {"gross": after["gross"], "day": _value(after["weighed"])}


def _of_sessions(before: dict[str, Any] | None, after: dict[str, Any], snapshot: Snapshot) -> str:
    counts = {"was": len((before or {})["sessions"]), "now": len(after["sessions"])}
    return _("sessions %(was)d → %(now)d") % counts


_OF_NEW = ("progress", "order")  # the first of these is told as those after it
_OF: dict[str, Callable[[dict[str, Any] | None, dict[str, Any], Snapshot], str]] = {
    "progress": _of_progress,
    "order": _of_order,
    "cones": _of_weighing,
    "agreed": _of_sessions,
}
"""How a change of a kind is told; "" where it is told by what differs."""


def _of_draft(before: dict[str, Any], after: dict[str, Any]) -> str:
    """What is different in a version of a draft, where its file is not too long to be compared."""
    try:
        was, now = (str((draft_texts.whole(each) or {}).get("wif", "")) for each in (before, after))
    except DamagedText:  # the page of the version says so
        was, now = "", ""
    told = draft_change.told(was, now) if len(was) + len(now) < MOST_COMPARED else ""
    return told or _("another version of the draft")


def _name(change: Change, snapshot: Snapshot) -> str:
    """What the record is called; of one that is gone what it was called then. A photograph: whose it is."""
    if change.kind == photos.KIND:
        told = change.after or change.before or {}
        return name_then(snapshot, told.get("of", ""), told.get("thing", ""))
    if (change.kind, change.key) in snapshot.entries:
        return snapshot.name(change.kind, change.key)
    named = (change.after or change.before or {}).get("name")
    if isinstance(named, str):
        return named
    if change.kind == "drafts":
        return PurePosixPath(change.key).stem
    return snapshot.name(change.kind, change.key)


def _part(name: str, before: Any, after: Any) -> str:
    label = str(LABELS.get(name, name.replace("_", " "))).lower()
    if name == "notes":
        return _("other notes")
    if name == "items" and len(before or ()) == len(after or ()):
        return ", ".join(_of_pieces(before, after))
    if isinstance(before or after, list) and isinstance((before or after)[0], dict):
        return f"{label} {_items(before)} → {_items(after)}"
    return f"{label} {_value(before)} → {_value(after)}"


def _value(value: Any) -> str:
    """A value as the list of changes shows it: times to the minute, parts with their names."""
    if isinstance(value, dict):
        return ", ".join(f"{name} {_value(part)}" for name, part in value.items()) or "—"
    text = as_text(value)
    moment = _MOMENT.match(text)
    return " ".join(moment.groups()) if moment else text or "—"


def _of_test_weave(before: dict[str, Any], after: dict[str, Any]) -> Iterator[str]:
    """What changed of a test weave, as counts: single cells do not help a reader."""
    if before["picks"] != after["picks"]:
        yield _("other picks")
    if before["cells"] != after["cells"]:
        compared = (sum(len(rows[0]) for _first, rows in each["cells"] if rows) for each in (before, after))
        yield _("ends compared %(was)d → %(now)d") % dict(zip(("was", "now"), compared, strict=True))
    if before["kept"] != after["kept"]:
        counts = {"was": len(before["kept"]), "now": len(after["kept"])}
        yield _("slips from questions %(was)d → %(now)d") % counts
    if before["done"] != after["done"]:
        counts = {"was": len(before["done"]), "now": len(after["done"])}
        yield _("steps of mending done %(was)d → %(now)d") % counts
    if before["way"] != after["way"]:
        yield _("another way to mend")


def _of_slips(before: dict[str, Any], after: dict[str, Any]) -> Iterator[str]:
    """What somebody decided about slips; of many only the first few are named."""
    told = {
        "kept": (_("found %(slips)s"), _("not so: %(slips)s")),
        "left": (_("stays as it is: %(slips)s"), _("is to be mended after all: %(slips)s")),
        "mended": (_("mended: %(slips)s"), _("not mended: %(slips)s")),
    }
    for name, (added, gone) in told.items():
        was, now = ([tuple(slip) for slip in each[name]] for each in (before, after))
        for text, slips in (
            (added, [slip for slip in now if slip not in was]),
            (gone, [slip for slip in was if slip not in now]),
        ):
            if slips:
                more = " …" if len(slips) > MOST_TOLD else ""
                yield text % {"slips": "; ".join(map(_slip, slips[:MOST_TOLD])) + more}
    if before["right"] != after["right"]:
        yield _("the web is right") if after["right"] else _("the web is to be looked at again")


def _slip(noted: tuple[Any, ...]) -> str:
    _place, kind, at, planned, found = noted
    if kind == "wrong lift":
        return _("wrong lift in pick %(pick)s") % {"pick": at}
    slip = Slip(kind, at, None, planned, found, 1.0)
    return f"{translated(slip_words.where(slip))} {translated(slip_words.what(slip))}"


def _of_pieces(before: list[dict[str, Any]], after: list[dict[str, Any]]) -> Iterator[str]:
    """What changed of each piece: "piece 2: hem: draft — → drafts/plain.wif"."""
    for number, (old, new) in enumerate(zip(before, after, strict=True), 1):
        for name in dict.fromkeys((*old, *new)):
            if old.get(name) != new.get(name):
                label = str(label_of("items", name)).replace(" %d", "").lower()
                told = _TOLD.get(name, _value)
                was, now = (told(each.get(name)) or "—" for each in (old, new))
                yield f"{_('piece %d') % number}: {label} {was} → {now}"


def _bands(bands: list[dict[str, Any]] | None) -> str:
    return bands_form.as_text(bands or [])


def _items(items: list[dict[str, Any]] | None) -> str:
    return " + ".join(map(_item, items or [])) or "—"


def _item(item: dict[str, Any]) -> str:
    if "yarn" in item:
        sley = f" ({'-'.join(map(str, item['sley']))})" if item.get("sley") else ""
        return f"{item.get('ends') or item.get('picks')} {item['yarn']}{sley}"
    if "length" in item and "cone" not in item:
        weft = f" {item['weft_yarns']}" if item.get("weft_yarns") else ""
        return f"{item['length']}{weft}"
    if "dents" in item:
        return _("%(dents)s dents empty") % {"dents": item["dents"]}
    if "cone" in item:
        return f"{item['cone']} {item.get('ends') or item.get('length')}"
    return f"{item.get('count', 1)} × {item.get('finished_length', '')}"


_TOLD: dict[str, Callable[[Any], str]] = {"weft_stripes": _items, "painted": _bands}
"""How a list inside a piece is told."""

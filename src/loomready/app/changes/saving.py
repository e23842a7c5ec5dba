"""What the views share: who makes a change, to which version, and the answer if it cannot be made."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.html import escape
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.changes import change_guard
from loomready.app.changes.by_name import by_name
from loomready.app.forms.fields import LABELS, Form, as_text, name_trouble, one_line
from loomready.app.i18n import words
from loomready.app.sharing import devices
from loomready.app.sharing.auth import member
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot, current_snapshot
from loomready.problems import BadInput


def who(request: HttpRequest) -> str:
    """Who makes this change: a device by its name, else the owner."""
    found = member(request)
    return found.name if found else devices.owner().name


def entry_or_404(snapshot: Snapshot, kind: str, key: str) -> Entry:
    entry = snapshot.entry(kind, key)
    if entry is None:
        raise Http404
    return entry


def name_answer(request: HttpRequest, others: Mapping[str, str]) -> HttpResponse:
    """Why a record cannot have the name typed, while it is typed; nothing if it can.

    :param others: the names of all records of this kind, by their keys
    """
    name = one_line(request.GET.get("key", ""))
    says = name_trouble(name, others) if name else ""
    return HttpResponse(escape(says), content_type="text/html; charset=utf-8")


def version_of(request: HttpRequest) -> int | None:
    text = request.POST.get("version", "")
    return int(text) if text.isdecimal() and len(text) < 10 else None


def seen(request: HttpRequest, snapshot: Snapshot, kind: str, key: str) -> None:
    """Refuse what a page sent that showed an older version of the record.

    :raises store.Conflict: the page was made from another version
    """
    entry = snapshot.entry(kind, key)
    if version_of(request) != (entry.version if entry else None):
        raise store.Conflict(None)


def stale(request: HttpRequest, back: str) -> HttpResponse:
    """The message on a page that shows what somebody else has changed since."""
    said = _("Somebody changed this after the page was opened. Nothing was saved; check it again first.")
    return refuse(request, said, back)


@dataclass(frozen=True, slots=True)
class Difference:
    label: Any
    theirs: str
    yours: str


def save(
    request: HttpRequest,
    form: Form,
    kind: str,
    key: str,
    fields: dict[str, Any],
    after: Callable[[], HttpResponse],
    more: Iterable[store.Write] = (),
) -> HttpResponse | None:
    """Write a form's record: the answer, or None if the form has to be shown again.

    :param more: what changes with it
    """
    if form.wrong:
        return None
    try:
        writes = [(kind, key, fields, version_of(request)), *more]
        store.write_together(writes, who=who(request))
    except store.Conflict as conflict:
        return clash(request, kind, key, fields, conflict)
    except BadInput as error:
        form.blame(error)
        return None
    return after()


def clash(
    request: HttpRequest, kind: str, key: str, fields: dict[str, Any], conflict: store.Conflict
) -> HttpResponse:
    """Both versions, for the second of two who edited the same thing."""
    current = conflict.current
    snapshot = current_snapshot()
    theirs = by_name(snapshot, current.fields if current is not None else {})
    fields = by_name(snapshot, fields)
    names = [name for name in dict.fromkeys((*theirs, *fields)) if theirs.get(name) != fields.get(name)]
    shown = {
        "title": _("Two versions"),
        "name": snapshot.name(kind, key),
        "gone": current is None,
        "version": "" if current is None else current.version,
        "differences": [
            Difference(LABELS.get(name, name), said(theirs.get(name)), said(fields.get(name)))
            for name in names
        ],
        "posted": [
            (name, value)
            for name in request.POST
            for value in request.POST.getlist(name)
            if name not in ("version", "csrfmiddlewaretoken")
        ],
        "path": request.path,
    }
    response = render(request, "app/edit_conflict.html", shown, status=200 if request.htmx else 409)  # type: ignore[attr-defined]
    response["HX-Retarget"] = "main"
    response["HX-Reswap"] = "innerHTML show:window:top"
    return response


def said(value: Any) -> str:
    """A value of a record in one line."""
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return "; ".join(
            ", ".join(f"{LABELS.get(k, k)} {as_text(v)}" for k, v in each.items()) for each in value
        )
    if isinstance(value, dict):
        return ", ".join(f"{LABELS.get(k, k)} {as_text(v)}" for k, v in value.items())
    return as_text(value) or "—"


def remove(request: HttpRequest, kind: str, key: str, then: str) -> HttpResponse:
    """Remove a record, or show what still needs it."""
    entry = entry_or_404(current_snapshot(), kind, key)
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    snapshot = current_snapshot()
    needed = store.needs(snapshot, kind, key)
    if needed:
        return refuse(request, _still_needed(kind, entry, needed), then)
    if not request.POST.get("sure") and (touched := change_guard.touched_by(snapshot, [(kind, key, None)])):
        return in_progress(request, touched, reverse(then))
    try:
        store.remove(kind, key, version=version_of(request) or 0, who=who(request))
    except store.Conflict:
        return refuse(request, _("Somebody changed it in the meantime; check it before you remove it."), then)
    except BadInput as error:
        return refuse(
            request,
            _("“%(name)s” is still needed: %(why)s")
            % {"name": snapshot.name(kind, key), "why": words.translated(error.line())},
            then,
        )
    return redirect(then)


def _still_needed(kind: str, entry: Entry, needed: list[str]) -> str:
    """Why a record is still needed, and how to change that."""
    most = 6
    names = ", ".join(needed[:most]) + (_(" and others") if len(needed) > most else "")
    words = {
        "looms": ngettext(
            "The warp %(names)s is planned on “%(name)s”. Move it to another loom first, or remove it.",
            "The warps %(names)s are planned on “%(name)s”. Move them to another loom first, or remove them.",
            len(needed),
        ),
        "drafts": ngettext(
            "The warp %(names)s weaves “%(name)s”. Choose another draft for it first, or remove it.",
            "The warps %(names)s weave “%(name)s”. Choose another draft for them first, or remove them.",
            len(needed),
        ),
        "reeds": ngettext(
            "The warp %(names)s is in the reed “%(name)s”, or is to be. Choose another reed there first.",
            "The warps %(names)s are in the reed “%(name)s”, or are to be. Choose another reed there first.",
            len(needed),
        ),
        "warps": ngettext(
            "The warp %(names)s is tied on to “%(name)s”. Tie it on to no warp first, or remove it.",
            "The warps %(names)s are tied on to “%(name)s”. Tie them on to no warp first, or remove them.",
            len(needed),
        ),
        "yarns": ngettext(
            "“%(name)s” is still needed: %(names)s. Use another yarn there first, or remove it.",
            "“%(name)s” is still needed: %(names)s. Use another yarn there first, or remove them.",
            len(needed),
        ),
    }
    return words[kind] % {"name": current_snapshot().name(kind, entry.key), "names": names}


def in_progress(request: HttpRequest, touched: tuple[change_guard.Touched, ...], back: str) -> HttpResponse:
    """How a change contradicts warps in progress, with a button to make it anyway."""
    shown = {
        "title": _("Not saved yet"),
        "hanging": touched,
        "posted": [
            (name, value)
            for name in request.POST
            for value in request.POST.getlist(name)
            if name not in ("sure", "csrfmiddlewaretoken")
        ],
        "path": request.path,
        "back": back,
    }
    return render(request, "app/in_progress.html", shown, status=422)


def refuse(request: HttpRequest, message: str, back: str, status: int = 409) -> HttpResponse:
    return render(
        request,
        "app/refused.html",
        {"title": _("Not done"), "message": words.translated(message), "back": back},
        status=status,
    )

"""What the views share: who changes, in which version, and what to answer when it cannot be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from loomready.app import store
from loomready.app.fields import LABELS, Form, as_text
from loomready.app.room import Entry, Room, open_room
from loomready.problems import BadInput


def who(request: HttpRequest) -> str:
    """Who makes this change: the person at this machine."""
    return "here"


def entry_or_404(room: Room, kind: str, key: str) -> Entry:
    entry = room.entry(kind, key)
    if entry is None:
        raise Http404
    return entry


def version_of(request: HttpRequest) -> int | None:
    text = request.POST.get("version", "")
    return int(text) if text.isdecimal() and len(text) < 10 else None


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
) -> HttpResponse | None:
    """Write a form's record: the answer, or None if the form has to be shown again."""
    if form.wrong:
        return None
    try:
        store.write(kind, key, fields, version=version_of(request), who=who(request))
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
    theirs = current.fields if current is not None else {}
    names = [name for name in dict.fromkeys((*theirs, *fields)) if theirs.get(name) != fields.get(name)]
    shown = {
        "title": _("Two versions"),
        "key": key,
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
    response = render(request, "app/clash.html", shown, status=200 if request.htmx else 409)  # type: ignore[attr-defined]
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
    """Take a record out, or say what still needs it."""
    entry = entry_or_404(open_room(), kind, key)
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    try:
        store.remove(kind, key, version=version_of(request) or 0, who=who(request))
    except store.Conflict:
        return refuse(request, _("Somebody changed it meanwhile; look at it again before it goes."), then)
    except BadInput as error:
        return refuse(
            request,
            _("“%(name)s” is still needed: %(why)s")
            % {"name": entry.fields.get("name", key), "why": error.line()},
            then,
        )
    return redirect(then)


def refuse(request: HttpRequest, message: str, back: str, status: int = 409) -> HttpResponse:
    return render(
        request, "app/refused.html", {"title": _("Not done"), "message": message, "back": back}, status=status
    )

"""The editor's page, and the requests of its script."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from loomready.app.changes import change_guard
from loomready.app.changes.saving import entry_or_404, refuse, who
from loomready.app.i18n.words import sentence
from loomready.app.sharing.auth import member
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, current_snapshot
from loomready.app.workshop import editor, editor_mark_words, editor_new, editor_script_words
from loomready.app.workshop.editor_limits import LIMITS
from loomready.draft.draft import Draft
from loomready.draft.edit.as_json import fingerprint, operations
from loomready.phrases import phrase
from loomready.problems import BadInput


@cache
def _modules() -> tuple[str, ...]:
    """All that the editor's script imports, fetched at once and not one after the other."""
    folder = Path(__file__).parents[1] / "static"
    found = [folder / "workshop" / "operations.js", folder / "workshop" / "drawdown.js"]
    found += folder.glob("workshop/editor_*.js")
    return tuple(sorted(path.relative_to(folder).as_posix() for path in found))


@require_GET
def page(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "drafts", key)
    draft = editor.draft_of(entry)
    found = member(request)
    if found is None or not found.edits:
        return redirect("drafts-look", key=key)
    if not editor.editable(draft):
        return refuse(request, _("This draft is too large to be edited here."), f"/drafts/{key}/look", 422)
    begun, sure = editor.begun_on(snapshot, key), request.GET.get("sure") == "yes"
    if begun and not sure:
        asks = {"title": draft.title or key, "entry": entry, "begun": begun, "here": "drafts"}
        return render(request, "workshop/edit_asks.html", asks)
    shown = {
        "title": draft.title or key,
        "key": key,
        "snapshot": snapshot,
        "us": snapshot.show.us,
        "limit": editor_mark_words.DEFAULT_LIMIT,
        "begun": begun,
        "here": "drafts",
        "words": editor_script_words.words(),
        "limits": LIMITS,
        "keys": editor_script_words.KEYS,
        "modules": _modules(),
    }
    return render(request, "workshop/edit.html", shown)


@require_GET
def whole(request: HttpRequest, key: str) -> HttpResponse:
    """The draft with its marks."""
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "drafts", key)
    found = _looked_at(editor.draft_of(entry), request.GET.dict())
    response = JsonResponse(editor.shown(entry) | found)
    response["Cache-Control"] = "no-store"
    return response


@require_http_methods(["GET", "POST"])
def looked_at(request: HttpRequest, key: str) -> HttpResponse:
    """The marks alone: of the draft as it is, or as operations that are not saved yet would make it."""
    if request.method == "POST":
        return _tried(request, key)
    entry = entry_or_404(current_snapshot(), "drafts", key)
    found = _looked_at(editor.draft_of(entry), request.GET.dict())
    response = JsonResponse({"version": entry.version} | found)
    response["Cache-Control"] = "no-store"
    return response


@require_POST
def do(request: HttpRequest, key: str) -> HttpResponse:
    """Operations on a version of the draft."""

    def work(typed: dict[str, Any]) -> Entry:
        asked = operations(typed.get("operations"))
        return editor.change(key, _version(typed), asked, who(request), sure=_sure(typed))

    return _answer(request, work, whole=False)


@require_POST
def back(request: HttpRequest, key: str) -> HttpResponse:
    def work(typed: dict[str, Any]) -> Entry:
        return editor.go_back(key, _version(typed), who(request), sure=_sure(typed))

    return _answer(request, work, whole=True)


@require_POST
def forth(request: HttpRequest, key: str) -> HttpResponse:
    def work(typed: dict[str, Any]) -> Entry:
        return editor.go_forth(key, _version(typed), who(request), sure=_sure(typed))

    return _answer(request, work, whole=True)


def _tried(request: HttpRequest, key: str) -> HttpResponse:
    def answer(typed: dict[str, Any]) -> dict[str, Any]:
        draft = editor.tried(key, _version(typed), operations(typed.get("operations")))
        return {"version": _version(typed), "fingerprint": fingerprint(draft)} | _looked_at(
            draft, typed.get("asked")
        )

    return _answered(request, answer)


def _answer(request: HttpRequest, work: Callable[[dict[str, Any]], Entry], *, whole: bool) -> HttpResponse:
    def answer(typed: dict[str, Any]) -> dict[str, Any]:
        entry = work(typed)
        made = editor.shown(entry) if whole else editor.state(entry)
        return made | _looked_at(editor.draft_of(entry), typed.get("asked"))

    return _answered(request, answer)


def _answered(request: HttpRequest, answer: Callable[[dict[str, Any]], dict[str, Any]]) -> HttpResponse:
    """An answer as JSON, or what stands against it."""
    try:
        return JsonResponse(answer(_typed(request.body)))
    except store.Conflict as conflict:
        gone = conflict.current is None
        says = (
            _("Somebody removed this draft while you were editing it. Your changes are not saved.")
            if gone
            else _(
                "Somebody changed this draft while you were editing it. Your last changes are not saved yet."
            )
        )
        return JsonResponse({"gone": gone, "says": says}, status=409)
    except change_guard.InProgress as found:
        says = _("Your last changes are not saved yet. %(what)s") % {"what": found.says()}
        return JsonResponse({"says": says, "in_progress": True}, status=422)
    except BadInput as error:
        return JsonResponse({"says": f"{sentence(error.what)}."}, status=422)


def _looked_at(draft: Draft, typed: Any) -> dict[str, Any]:
    asked = editor_mark_words.asked(typed if isinstance(typed, dict) else {})
    system = current_snapshot().guild.units
    return {"found": editor_mark_words.looked_at(draft, asked, system)}


def _typed(body: bytes) -> dict[str, Any]:
    try:
        typed = json.loads(body)
    except (ValueError, RecursionError):
        typed = None
    if not isinstance(typed, dict):
        raise BadInput(phrase("that is no step; expected JSON"))
    return typed


def _version(typed: dict[str, Any]) -> int:
    version = typed.get("version")
    if not isinstance(version, int) or isinstance(version, bool):
        raise BadInput(phrase("the step names no version of the draft"))
    return version


def _sure(typed: dict[str, Any]) -> bool:
    """Whether a change that contradicts a warp in progress was confirmed."""
    return typed.get("sure") is True


def new(request: HttpRequest) -> HttpResponse:
    """A new draft: the form for its counts, then the editor."""
    form = editor_new.form()
    if request.method == "POST":
        key = editor_new.make(form, request.POST.dict(), who(request))
        if key is not None:
            return redirect("workshop-edit", key=key)
    status = 422 if form.wrong else 200
    return render(
        request,
        "workshop/edit_new.html",
        {"title": _("New draft"), "form": form, "here": "drafts"},
        status=status,
    )

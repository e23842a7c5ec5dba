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
from django.views.decorators.http import require_GET, require_POST

from loomready.app.changes import change_guard
from loomready.app.changes.saving import entry_or_404, refuse, who
from loomready.app.i18n.words import sentence
from loomready.app.sharing.auth import member
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, current_snapshot
from loomready.app.workshop import editor, editor_mark_words, editor_new, editor_script_words
from loomready.app.workshop.editor_limits import LIMITS
from loomready.draft.edit.as_json import operations
from loomready.phrases import phrase
from loomready.problems import BadInput


@cache
def _modules() -> tuple[str, ...]:
    """All that the editor's script imports, fetched at once and not one after the other."""
    folder = Path(__file__).parents[1] / "static"
    found = [folder / "workshop" / "operations.js", folder / "workshop" / "drawdown.js"]
    found += folder.glob("workshop/editor-*.js")
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
    shown = {
        "title": draft.title or key,
        "key": key,
        "snapshot": snapshot,
        "us": snapshot.show.us,
        "limit": editor_mark_words.DEFAULT_LIMIT,
        "wound": editor.wound_from(snapshot, key),
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
    response = JsonResponse(editor.shown(entry) | _looked_at(entry, request.GET.dict()))
    response["Cache-Control"] = "no-store"
    return response


@require_GET
def looked_at(request: HttpRequest, key: str) -> HttpResponse:
    """The marks alone, for another limit of floats."""
    entry = entry_or_404(current_snapshot(), "drafts", key)
    response = JsonResponse({"version": entry.version} | _looked_at(entry, request.GET.dict()))
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


def _answer(request: HttpRequest, work: Callable[[dict[str, Any]], Entry], *, whole: bool) -> HttpResponse:
    try:
        typed = _typed(request.body)
        entry = work(typed)
    except store.Conflict as conflict:
        gone = conflict.current is None
        says = (
            _("Somebody removed this draft while you were editing it. Your changes are not saved.")
            if gone
            else _(
                "Somebody changed this draft while you were editing it. Your last change is not saved yet."
            )
        )
        return JsonResponse({"gone": gone, "says": says}, status=409)
    except change_guard.InProgress as found:
        says = _("Not saved. %(what)s To change it anyway, check “Change it anyway” above.")
        return JsonResponse({"says": says % {"what": found.says()}}, status=422)
    except BadInput as error:
        return JsonResponse({"says": f"{sentence(error.what)}."}, status=422)
    made = editor.shown(entry) if whole else editor.state(entry)
    return JsonResponse(made | _looked_at(entry, typed.get("asked")))


def _looked_at(entry: Entry, typed: Any) -> dict[str, Any]:
    asked = editor_mark_words.asked(typed if isinstance(typed, dict) else {})
    system = current_snapshot().guild.units
    return {"found": editor_mark_words.looked_at(editor.draft_of(entry), asked, system)}


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

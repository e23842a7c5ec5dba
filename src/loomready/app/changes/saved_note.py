"""After a save the next page says what was changed, with a button that undoes it; then the note goes away."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.functional import SimpleLazyObject

from loomready.app.changes import history
from loomready.app.state import store

COOKIE = "saved"
_LASTS_S = 30  # until the next page has to be asked for


class SavedNoteMiddleware:
    """Notes which change a post made, for the page that it leads to."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.method != "POST":
            return self._with_note(request)
        with store.noting() as made:
            request.saved_changes = made  # type: ignore[attr-defined]
            response = self.get_response(request)
        if made and response.status_code == 302:
            response.set_cookie(COOKIE, str(made[0]), max_age=_LASTS_S, httponly=True, samesite="Strict")
        return response

    def _with_note(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        is_page = response.status_code == 200 and response.headers.get("Content-Type", "").startswith(
            "text/html"
        )
        if COOKIE in request.COOKIES and is_page:
            response.delete_cookie(COOKIE, samesite="Strict")
        return response


def context(request: HttpRequest) -> dict[str, Any]:
    """``saved``: the line of the history for what was just changed; None: nothing was."""
    return {"saved": SimpleLazyObject(lambda: _line(request))}


def _line(request: HttpRequest) -> history.HistoryLine | None:
    made = getattr(request, "saved_changes", None)
    if made is not None:
        return history.of_change(made[0]) if made else None
    number = request.COOKIES.get(COOKIE, "")
    return history.of_change(int(number)) if number.isdecimal() and len(number) < 12 else None

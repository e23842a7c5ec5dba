"""What the server itself refuses before the app is asked, in the app's own words and look."""

from __future__ import annotations

from typing import Any

from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from waitress.channel import HTTPChannel  # type: ignore[import-untyped]
from waitress.task import ErrorTask  # type: ignore[import-untyped]

from loomready.app.guard import POLICY


def page(code: int) -> bytes:
    """The page for an HTTP status that the server answers by itself."""
    words = {
        413: _("That is more than comes in at once. Bring in fewer or smaller files. Nothing was changed."),
        431: _("The browser sent more than a page of this guild needs. Nothing was changed."),
        500: _("loomready failed at this: its own mistake, not yours. What was saved before is still there."),
    }
    other = _("This page was asked for in a way that cannot be answered. Nothing was changed.")
    shown = {"title": _("Not done"), "message": words.get(code, other), "back": "/"}
    return render_to_string("app/refused.html", shown).encode()


class _Refusal(ErrorTask):
    def execute(self) -> None:
        error: Any = self.request.error
        body = page(error.code)
        self.status = f"{error.code} {error.reason}"
        self.response_headers += [
            ("Content-Type", "text/html; charset=utf-8"),
            ("Content-Security-Policy", POLICY),
            ("Cache-Control", "no-store"),
        ]
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)


class Channel(HTTPChannel):
    """A connection whose refusals are pages of ours."""

    error_task_class = _Refusal

"""The server's own refusals, before the app is called, with the app's words and styles."""

from __future__ import annotations

from http.cookies import CookieError, SimpleCookie
from types import SimpleNamespace
from typing import Any

from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from waitress.channel import HTTPChannel  # type: ignore[import-untyped]
from waitress.parser import HTTPRequestParser  # type: ignore[import-untyped]
from waitress.task import ErrorTask  # type: ignore[import-untyped]

from loomready.app.server.middleware import POLICY
from loomready.app.sharing import devices
from loomready.app.sharing.ip_addresses import is_loopback

STRANGERS_BODY = 16 * 1024  # bytes: a code and a name, many times over


def page(code: int) -> bytes:
    """The page for an HTTP status that the server answers without the app."""
    words = {
        413: _("That is too much at a time. Import fewer or smaller files. Nothing was changed."),
        431: _("The browser sent too much data. Nothing was changed."),
        500: _("An error in loomready. Everything saved before is still there."),
    }
    other = _("This request can't be answered. Nothing was changed.")
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


class _FromTheRoom(HTTPRequestParser):
    """A request from another device: a long one must come from a device that joined.

    The app would refuse it too, but only after its body is on this disk.
    """

    def parse_header(self, header_plus: bytes) -> None:
        super().parse_header(header_plus)
        long = self.chunked or self.content_length > STRANGERS_BODY
        if long and not _joined(self.headers.get("COOKIE", "")):
            self.adj = SimpleNamespace(max_request_body_size=STRANGERS_BODY)


def _joined(cookies: str) -> bool:
    try:
        token = SimpleCookie(cookies).get(devices.cookie_name())
    except CookieError:
        return False
    return token is not None and devices.known(token.value) is not None


class Channel(HTTPChannel):
    """A connection whose refusals use these pages."""

    error_task_class = _Refusal

    def __init__(self, server: Any, sock: Any, addr: Any, adj: Any, map: Any = None) -> None:
        if not is_loopback(addr[0]):
            self.parser_class = _FromTheRoom
        super().__init__(server, sock, addr, adj, map)

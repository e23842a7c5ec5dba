"""What every answer carries, and what every request must pass."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from loomready.app.models import Record

Answer = Callable[[HttpRequest], HttpResponse]

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


class HeadersMiddleware:
    """A content security policy without inline script or style, on every page."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        if response.headers.get("Content-Type", "").startswith("text/html"):
            response.headers.setdefault("Cache-Control", "no-store")
        return response


class FirstStartMiddleware:
    """Until there is a guild, every page leads to the start."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path != "/start" and not Record.objects.filter(kind="guild").exists():
            return redirect("start")
        return self.get_response(request)

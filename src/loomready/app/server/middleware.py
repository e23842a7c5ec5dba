"""What every answer carries, and what every request must pass."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

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
    """Until there is a guild, every page leads to the start, and to work that was begun there."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        begins = request.path == "/start" or request.path.startswith("/work/")
        if not begins and not Record.objects.filter(kind="guild").exists():
            return redirect("start")
        return self.get_response(request)


class OtherSitesMiddleware:
    """Pages of other sites may lead here by a link, and make a browser ask for nothing else.

    Browsers say where a request comes from (Sec-Fetch-Site) and whether it opens a page (Sec-Fetch-Mode);
    programs that say neither are let through.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        site, mode = (request.headers.get(f"Sec-Fetch-{name}", "") for name in ("Site", "Mode"))
        opens = mode == "navigate" and request.method in ("GET", "HEAD")
        if site in ("cross-site", "same-site") and not opens:
            says = _("This request came from a page of another site. Nothing was changed.")
            return HttpResponse(f"{says}\n", content_type="text/plain; charset=utf-8", status=403)
        return self.get_response(request)

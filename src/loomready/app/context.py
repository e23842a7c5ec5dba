"""What every page knows."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

PAGES = (
    ("home", "Home"),
    ("shelf", "Shelf"),
    ("looms", "Looms"),
    ("drafts", "Drafts"),
    ("warps", "Warps"),
    ("guild", "Guild"),
)


def page(request: HttpRequest) -> dict[str, Any]:
    match = request.resolver_match
    here = match.url_name.split("-")[0] if match and match.url_name else ""
    return {"pages": PAGES, "here": here, "request": request}

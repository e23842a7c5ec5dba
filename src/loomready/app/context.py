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
    # A form that is shown again keeps the version it was typed over: what others saved since is not hers.
    posted = request.POST.get("version", "")
    version = posted if posted.isdecimal() else ""
    return {"posted_version": version, "pages": PAGES, "here": here, "request": request}

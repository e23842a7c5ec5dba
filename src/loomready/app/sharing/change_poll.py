"""Whether something changed: a short answer, so that fifty phones may ask every few seconds."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from loomready.app.models import Change, Fact
from loomready.app.sharing.devices import Member

HEADER = "Loomready-Pulse"


def beat() -> str:
    """The number of the latest change, the day, and after a dot the number of the latest step at a loom.

    The day is included because "in 3 days" changes at midnight. Steps are frequent, so only pages that show
    them compare that number.
    """
    change, fact = (
        kept.objects.order_by("-pk").values_list("pk", flat=True).first() or 0 for kept in (Change, Fact)
    )
    return f"{change}-{date.today().isoformat()}.{fact}"


def is_wanted(who: Member | None) -> bool:
    """Only where others change things too."""
    return who is not None and (bool(settings.ROOM) or not who.owns)


def of(request: HttpRequest) -> str:
    """The beat at the time a page is made."""
    if not hasattr(request, "pulse"):
        request.pulse = beat()  # type: ignore[attr-defined]
    return str(request.pulse)  # type: ignore[attr-defined]


def carried(request: HttpRequest, answer: Callable[[HttpRequest], HttpResponse]) -> HttpResponse:
    """An answer with its beat.

    A page's beat is read before the page is made, so at worst a change that it already shows is
    announced. The beat of a post is read after it, so that it includes the post's own change.
    """
    looking = request.method in ("GET", "HEAD")
    before = of(request) if looking else ""
    response = answer(request)
    response[HEADER] = before or beat()
    return response

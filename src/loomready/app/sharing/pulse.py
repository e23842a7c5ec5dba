"""Whether something changed: one short answer, so that fifty phones may ask every few seconds."""

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

    What is "in 3 days" turns at midnight. Steps come by the pick: only pages that show them look at them.
    """
    change, fact = (
        kept.objects.order_by("-pk").values_list("pk", flat=True).first() or 0 for kept in (Change, Fact)
    )
    return f"{change}-{date.today().isoformat()}.{fact}"


def is_wanted(who: Member | None) -> bool:
    """Only where others change things too."""
    return who is not None and (bool(settings.ROOM) or not who.owns)


def of(request: HttpRequest) -> str:
    """The beat that a page, being looked at, is made at."""
    if not hasattr(request, "pulse"):
        request.pulse = beat()  # type: ignore[attr-defined]
    return str(request.pulse)  # type: ignore[attr-defined]


def carried(request: HttpRequest, answer: Callable[[HttpRequest], HttpResponse]) -> HttpResponse:
    """An answer with the beat it was made at.

    A page's is taken before the page is: at worst it is told of a change that it shows already. That of
    what was sent is taken after: it holds one's own change.
    """
    looking = request.method in ("GET", "HEAD")
    before = of(request) if looking else ""
    response = answer(request)
    response[HEADER] = before or beat()
    return response

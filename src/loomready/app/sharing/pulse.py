"""Whether something changed: one short answer, so that fifty phones may ask every few seconds."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from loomready.app.models import Change
from loomready.app.sharing.devices import Member

HEADER = "Loomready-Pulse"


def beat() -> str:
    """The number of the latest change, and the day: what is "in 3 days" turns at midnight."""
    latest = Change.objects.order_by("-pk").values_list("pk", flat=True).first()
    return f"{latest or 0}-{date.today().isoformat()}"


def is_wanted(who: Member | None) -> bool:
    """Only where others change things too."""
    return who is not None and (bool(settings.ROOM) or not who.owns)


def carried(request: HttpRequest, answer: Callable[[HttpRequest], HttpResponse]) -> HttpResponse:
    """An answer with the beat it was made at.

    A page's is taken before the page is: at worst it is told of a change that it shows already. That of
    what was sent is taken after: it holds one's own change.
    """
    looking = request.method in ("GET", "HEAD")
    if looking:
        request.pulse = beat()  # type: ignore[attr-defined]
    response = answer(request)
    response[HEADER] = request.pulse if looking else beat()  # type: ignore[attr-defined]
    return response

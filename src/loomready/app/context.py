"""Context for every page."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext_lazy as _

from loomready.app.models import Record
from loomready.app.server import storage_faults
from loomready.app.state.snapshot import current_snapshot

# The main menu: the first part of the names of its addresses, the page that it leads to, its label.
PAGES = (
    ("home", "home", _("Home")),
    ("loomside", "loomside-jobs", _("At the loom")),
    ("warps", "warps", _("Warps")),
    ("drafts", "drafts", _("Drafts")),
    ("shelf", "shelf", _("Shelf")),
    ("looms", "looms", _("Looms")),
    ("guild", "guild", _("Guild")),
)
EVENT = ("event", "event", _("Event"))  # after home, once the guild has one


def page(request: HttpRequest) -> dict[str, Any]:
    match = request.resolver_match
    here = match.url_name.split("-")[0] if match and match.url_name else ""
    # A form shown again keeps the version it was filled in against, not one that others saved since.
    posted = request.POST.get("version", "")
    version = posted if posted.isdecimal() else ""
    return {
        "posted_version": version,
        "pages": (PAGES[0], EVENT, *PAGES[1:]) if _has_event() else PAGES,
        "here": here,
        "looking": storage_faults.looking() if settings.LOOKING else "",
        "request": request,
        "units": SimpleLazyObject(_units),
        "snapshot_now": SimpleLazyObject(current_snapshot),
    }


def _has_event() -> bool:
    return Record.objects.filter(kind="event").exists()


def _units() -> str:
    """The guild's units and date format."""
    guild = Record.objects.filter(kind="guild").first()
    return str(guild.fields.get("units", "us")) if guild else "us"

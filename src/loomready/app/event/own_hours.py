"""Whose hours a device may fill in: keepers everybody's, a helper those of the person with its name."""

from __future__ import annotations

from django.http import HttpRequest
from django.utils.translation import gettext as _

from loomready.app.forms import fields
from loomready.app.sharing.auth import member
from loomready.app.state.snapshot import Snapshot


def own_key(request: HttpRequest, snapshot: Snapshot) -> str:
    """The key of the person who has the name of this device; "" if there is none."""
    found = member(request)
    if found is None:
        return ""
    return next(
        (each.key for each in snapshot.guild.people if fields.equal(found.name, [each.name, each.key])), ""
    )


def may_fill_in(request: HttpRequest, snapshot: Snapshot, key: str) -> bool:
    found = member(request)
    return found is not None and (found.edits or own_key(request, snapshot) == key)


def not_own(request: HttpRequest) -> str:
    """Why this device may not fill in the hours, and what would help."""
    found = member(request)
    name = found.name if found else ""
    return _(
        "This device joined as “%(name)s”. Hours are filled in on a device that joined under the person's "
        "own name, or by a keeper."
    ) % {"name": name}

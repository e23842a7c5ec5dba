"""Context for every page: who views it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from loomready.app.sharing import change_poll, devices
from loomready.app.sharing.auth import member


def who(request: HttpRequest) -> dict[str, Any]:
    found = member(request)
    return {
        "member": found,
        "shared": bool(settings.ROOM),
        "members": devices.listed,
        "owner_name": lambda: devices.owner().name,
        "pulse": change_poll.of(request) if change_poll.is_wanted(found) else "",
    }

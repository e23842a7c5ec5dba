"""Checks every request: identifies the member and refuses what that member may not do.

The owner is at this machine: the socket's peer is loopback. Headers are ignored, since anybody can send any
header. Everybody else needs the token of a device;
a calendar that is subscribed to has its token in its address.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from loomready.app.sharing import change_poll, devices
from loomready.app.sharing.devices import Member
from loomready.app.sharing.ip_addresses import is_loopback
from loomready.app.sharing.roles import LOOKING, Role, needed

JOIN = "/join"
CALENDARS = "/calendars/"


class GateMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        who: Member | None = _find(request)
        request.member = who  # type: ignore[attr-defined]
        reads_calendar = request.method in LOOKING and request.path.startswith(CALENDARS)
        if who is None and request.path != JOIN and not reads_calendar:
            return _to_the_door(request)
        if change_poll.is_wanted(who):
            return change_poll.carried(request, self.get_response)
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: object, args: list[Any], kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        match = request.resolver_match
        name = (match.url_name or "") if match else ""
        who = member(request)
        least = needed(name, request.method or "")
        return None if (who.role if who else Role.NOBODY) >= least else _refused(request, least)


def member(request: HttpRequest) -> Member | None:
    """Who sends the request; None: a device that has not joined."""
    found: Member | None = getattr(request, "member", None)
    return found


def _find(request: HttpRequest) -> Member | None:
    """Who sends the request. Viewing writes nothing; a post also writes when all devices were last seen."""
    sends = request.method not in LOOKING
    if is_loopback(request.META.get("REMOTE_ADDR", "")):
        if sends:
            devices.write_seen()
        return devices.owner()
    device = devices.known(request.COOKIES.get(devices.cookie_name(), ""))
    if device is None:
        return None
    devices.saw(device, write=sends)
    return Member(device.name, Role.of(device.role), device.pk)


def _to_the_door(request: HttpRequest) -> HttpResponse:
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponse(headers={"HX-Redirect": JOIN})
    return redirect("sharing-join")


def _refused(request: HttpRequest, least: Role) -> HttpResponse:
    message = (
        _("This can be done only on the computer that runs loomready.")
        if least >= Role.OWNER
        else _(
            "As a helper you can view, weigh cones and update progress. "
            "To change this, join with a keeper's code."
        )
    )
    shown = {"title": _("Not done"), "message": message}
    response = render(request, "sharing/refused.html", shown, status=403)
    response["HX-Retarget"] = "main"
    response["HX-Reswap"] = "innerHTML show:window:top"
    return response

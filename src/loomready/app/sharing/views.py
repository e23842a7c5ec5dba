"""Sharing: the page for the owner, the page to join, and the beat that pages poll."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import etag, require_GET, require_POST

from loomready.app.models import Code, Device
from loomready.app.sharing import change_poll, devices, ip_addresses, qr
from loomready.app.sharing.auth import JOIN, member
from loomready.app.sharing.roles import Role
from loomready.problems import BadInput

_KEPT_FOR = timedelta(days=400)  # as long as browsers keep any cookie


@require_GET
def share(request: HttpRequest) -> HttpResponse:
    return _show(request, {})


@require_POST
def code(request: HttpRequest) -> HttpResponse:
    """A new code, shown once: only its hash is kept."""
    typed = {"name": request.POST.get("name", ""), "role": request.POST.get("role", "")}
    try:
        text, invited = devices.invite(Role.of(typed["role"]), typed["name"])
    except BadInput as error:
        return _show(request, {"typed": typed, "wrong": error}, 422)
    return _show(request, {"code": text, "invited": invited})


def _show(request: HttpRequest, more: dict[str, Any], status: int = 200) -> HttpResponse:
    there = _addresses(request)
    asked = request.GET.get("at", request.POST.get("at", ""))
    address = asked if asked in there else next(iter(there), "")
    shown = {
        "title": _("Share on this network"),
        "addresses": there,
        "address": address,
        "codes": devices.open_codes(),
        "closed": devices.closed_until(),
        "lasts": devices.LASTS // timedelta(minutes=1),
        "most_wrong": devices.MOST_WRONG,
    } | more
    if shown["closed"]:
        shown["closed_minutes"] = devices.minutes_until(shown["closed"])
    if address:
        fragment = f"{JOIN[1:]}#{more['code']}" if "code" in more else ""
        shown["qr"] = qr.svg(f"{address}{fragment}")
    return render(request, "sharing/share.html", shown, status=status)


def _addresses(request: HttpRequest) -> list[str]:
    """The addresses of the pages on this network, looked up again each time: the machine may have changed
    networks."""
    if not settings.ROOM:
        return []
    here = ip_addresses.of_this_machine()
    settings.ALLOWED_HOSTS.extend(each for each in here if each not in settings.ALLOWED_HOSTS)
    return [f"http://{each}:{request.META['SERVER_PORT']}/" for each in here]


@require_POST
def withdraw_code(request: HttpRequest, number: int) -> HttpResponse:
    Code.objects.filter(pk=number).delete()
    return redirect("sharing-share")


@require_POST
def withdraw(request: HttpRequest, number: int) -> HttpResponse:
    get_object_or_404(devices.devices(), pk=number).delete()
    return redirect("sharing-share")


@require_POST
def open_again(request: HttpRequest) -> HttpResponse:
    devices.open_again()
    return redirect("sharing-share")


@require_POST
def name(request: HttpRequest) -> HttpResponse:
    """The owner's name in the history."""
    typed = request.POST.get("name", "")
    try:
        devices.name_owner(typed)
    except BadInput as error:
        return _show(request, {"owner_typed": typed, "owner_wrong": error}, 422)
    return redirect("sharing-share")


def join(request: HttpRequest) -> HttpResponse:
    """The only page for a device that has not joined. The code comes in a form, never in the address."""
    shown: dict[str, Any] = {"title": _("Join")}
    if member(request) is None and request.META["REMOTE_ADDR"] in ip_addresses.of_this_machine():
        shown["own"] = f"http://127.0.0.1:{request.META['SERVER_PORT']}/"
    status = 200
    if request.method == "POST":
        shown |= {"code": request.POST.get("code", ""), "name": request.POST.get("name", "")}
        try:
            who = member(request)
            _device, token = devices.join(shown["code"], shown["name"], who.device if who else None)
        except devices.Closed as closed:
            shown["closed_minutes"], status = closed.minutes, 429
        except BadInput as error:
            shown["wrong"], status = error, 422
        else:
            return _let_in(token)
    else:
        closed_at = devices.closed_until()
        if closed_at is not None:
            shown["closed_minutes"] = devices.minutes_until(closed_at)
    return render(request, "sharing/join.html", shown, status=status)


def _let_in(token: str) -> HttpResponse:
    response = redirect("home")
    response.set_cookie(
        devices.cookie_name(), token, max_age=_KEPT_FOR, path="/", httponly=True, samesite="Strict"
    )
    return response


@require_POST
def leave(request: HttpRequest) -> HttpResponse:
    """A device disconnects."""
    who = member(request)
    if who is not None and who.device is not None:
        Device.objects.filter(pk=who.device).delete()
    response = redirect("sharing-join")
    response.delete_cookie(devices.cookie_name(), path="/", samesite="Strict")
    return response


@require_GET
@etag(lambda request: f'"{change_poll.of(request)}"')
def beat(request: HttpRequest) -> HttpResponseBase:
    """The latest change; 304 to a device that has it."""
    response = JsonResponse({"pulse": change_poll.of(request)})
    response["Cache-Control"] = "no-cache"
    return response

"""Pages for what is not there or not allowed."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _


def missing(request: HttpRequest, exception: Exception) -> HttpResponse:
    words = {"title": _("Not here"), "message": _("There is nothing under this address."), "back": "/"}
    return render(request, "app/refused.html", words, status=404)


def forged(request: HttpRequest, reason: str = "") -> HttpResponse:
    words = {
        "title": _("Not done"),
        "message": _("This form did not come from a page of this guild. Open the page again and repeat."),
        "back": "/",
    }
    return render(request, "app/refused.html", words, status=403)

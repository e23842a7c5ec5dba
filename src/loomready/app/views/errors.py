"""Pages for what is not there or not allowed."""

from __future__ import annotations

import sys

from django.conf import settings
from django.core.exceptions import DisallowedHost, TooManyFilesSent
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from loomready.app.server import storage_faults


def missing(request: HttpRequest, exception: Exception) -> HttpResponse:
    words = {"title": _("Not found"), "message": _("There is no page at this address."), "back": "/"}
    return render(request, "app/refused.html", words, status=404)


def forged(request: HttpRequest, reason: str = "") -> HttpResponse:
    words = {
        "title": _("Not done"),
        "message": _("This form did not come from a page of this guild. Open the page again and repeat."),
        "back": "/",
    }
    return render(request, "app/refused.html", words, status=403)


def wrong(request: HttpRequest, exception: Exception) -> HttpResponse:
    if isinstance(exception, DisallowedHost):
        says = _("This server answers only under its own address.")
        return HttpResponse(f"{says}\n", content_type="text/plain; charset=utf-8", status=400)
    if isinstance(exception, TooManyFilesSent):
        says = _("More than %d files at a time. Import fewer. Nothing was changed.")
        return _bare(says % settings.DATA_UPLOAD_MAX_NUMBER_FILES, 400)
    return _bare(_("This request can't be answered. Nothing was changed."), 400)


def broken(request: HttpRequest) -> HttpResponse:
    error = sys.exc_info()[1]
    said, status = storage_faults.said_of(error), storage_faults.status_of(error)
    if said and request.content_type == "application/json":  # a page at the loom shows the word
        return JsonResponse({"word": said}, status=status)
    if said:
        return _bare(said, status)
    return _bare(_("An error in loomready. Everything saved before is still there."), 500)


def _bare(message: str, status: int) -> HttpResponse:
    """A page without the request, which may itself be what fails."""
    words = {"title": _("Not done"), "message": message, "back": "/"}
    return HttpResponse(render_to_string("app/refused.html", words), status=status)

"""The first page of an empty home."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from loomready.app.archive.beginnings import begin_with
from loomready.app.changes.saving import refuse
from loomready.problems import BadInput


def start(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        try:
            begin_with("demo" if request.POST.get("begin") == "demo" else "empty")
        except BadInput as error:
            return refuse(request, error.line(), "start")
        return redirect("home")
    return render(request, "app/start.html", {"title": _("Welcome")})

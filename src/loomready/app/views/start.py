"""The first page of an empty home."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from loomready.app import background
from loomready.app.archive import restore
from loomready.app.archive.new_guild import UNITS, begin_with
from loomready.app.changes.saving import refuse, who
from loomready.app.forms.fields import WORDS
from loomready.problems import BadInput


def start(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        if request.POST.get("begin") == "restore":
            return _restore(request)
        try:
            begin_with(
                "demo" if request.POST.get("begin") == "demo" else "empty", request.POST.get("units", "")
            )
        except BadInput as error:
            return refuse(request, error.line(), "start")
        return redirect("home")
    shown = {"title": _("Welcome"), "units": _units(), "likely": _likely_units(request)}
    return render(request, "app/start.html", shown)


def _units() -> list[tuple[str, object]]:
    return [(system, WORDS[system]) for system in UNITS]


def _likely_units(request: HttpRequest) -> str:
    """The units of the country that the browser's first language names; without a country US units for
    English, metric ones else."""
    first = request.headers.get("Accept-Language", "en").split(",")[0].split(";")[0].strip().lower()
    return "us" if first.partition("-")[2].upper() == "US" or first == "en" else "metric"


def _restore(request: HttpRequest) -> HttpResponse:
    file = request.FILES.get("file")
    if file is None:
        return refuse(request, _("Choose a backup (zip) or a guild file (toml) first."), "start", 422)
    data, name, by_whom = file.read(), file.name or "file", who(request)
    second = "second" in request.POST

    def work(job: background.Job) -> None:
        restore.restore(
            data,
            name,
            who=by_whom,
            tell=job.tell,
            settle=job.settle,
            note=job.notes.append,
            second=second,
        )

    job = background.Job(_("Restoring %s") % name, "", "", "/start", goes="/")
    return redirect("work", token=background.start(job, work))

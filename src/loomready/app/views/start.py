"""The first page of an empty home."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from loomready.app import background
from loomready.app.archive import restore
from loomready.app.archive.new_guild import begin_with
from loomready.app.changes.saving import refuse, who
from loomready.problems import BadInput


def start(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        if request.POST.get("begin") == "restore":
            return _restore(request)
        try:
            begin_with("demo" if request.POST.get("begin") == "demo" else "empty")
        except BadInput as error:
            return refuse(request, error.line(), "start")
        return redirect("home")
    return render(request, "app/start.html", {"title": _("Welcome")})


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

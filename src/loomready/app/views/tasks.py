"""Work in the background: its progress, its end, and canceling it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST
from django_htmx.http import HttpResponseClientRedirect

from loomready.app import background, printing
from loomready.app.archive import backup_extras, backup_writer
from loomready.app.changes.saving import refuse, who
from loomready.app.forms import fields
from loomready.app.state.snapshot import current_snapshot
from loomready.app.views.drafts import download
from loomready.packet.packet import name_of
from loomready.phrases import phrase
from loomready.problems import BadInput


@require_POST
def packet(request: HttpRequest, key: str) -> HttpResponse:
    snapshot, by_whom = current_snapshot(), who(request)
    planned = snapshot.plan_of(key)
    if planned is None or planned.plan is None:
        raise Http404
    plan, version = planned.plan, snapshot.entries["drafts", planned.order.draft].version
    options = printing.options_of(request.POST.dict(), request.POST.getlist("sheet"))
    try:
        printing.enter(by_whom)
    except BadInput as error:
        return refuse(request, phrase("{message}.", message=error.line()), f"/warps/{key}", 429)

    asked = [
        (name, value)
        for name in request.POST
        for value in request.POST.getlist(name)
        if name not in ("look", "csrfmiddlewaretoken")
    ]

    def work(job: background.Job) -> bytes | None:
        try:
            made = printing.packet(plan, version, lambda: job.tell(0, 1), options)
        finally:
            printing.leave(by_whom)
        if not options.preview:
            return made
        job.result = _Sheets(key, tuple(printing.pages(made)), tuple(asked))
        return None

    job = background.Job(
        _("Laying out the packet of %s") % snapshot.name("warps", key),
        name_of(plan, options),
        "application/pdf",
        f"/warps/{key}",
    )
    token = background.start(job, work)
    if options.preview:
        job.goes = reverse("work-sheets", args=[token])
    return redirect("work", token=token)


@dataclass(frozen=True, slots=True)
class _Sheets:
    """The pages of a packet as pictures, and what was asked for, to print the same."""

    warp: str
    pages: tuple[bytes, ...]
    asked: tuple[tuple[str, str], ...]


@require_GET
def sheets(request: HttpRequest, token: str) -> HttpResponse:
    """The pages of a packet, before they are printed."""
    found = _sheets(token)
    shown = {
        "title": _("Sheets to print"),
        "token": token,
        "sheets": found,
        "numbers": range(1, len(found.pages) + 1),
    }
    return render(request, "app/sheets.html", shown)


@require_GET
def sheet(request: HttpRequest, token: str, number: int) -> HttpResponse:
    found = _sheets(token)
    if not 1 <= number <= len(found.pages):
        raise Http404
    response = HttpResponse(found.pages[number - 1], "image/png")
    response["Cache-Control"] = "private, max-age=3600"
    return response


def _sheets(token: str) -> _Sheets:
    job = _job(token)
    if not isinstance(job.result, _Sheets):
        raise Http404
    return job.result


@require_POST
def backup(request: HttpRequest) -> HttpResponse:
    snapshot, database = current_snapshot(), Path(settings.DATABASES["default"]["NAME"])
    name = f"{fields.slug(snapshot.guild.name, set())}.zip"
    job = background.Job(_("Packing a backup"), name, "application/zip", "/guild")
    kept = backup_extras.kept(snapshot)

    def work(job: background.Job) -> bytes:
        made = backup_writer.pack(snapshot, kept.text, database, job.tell, job.notes.append)
        if kept.left_out:
            says = _("Too large, or saved wrongly by an older version; only a restored backup has it: %s.")
            job.notes.append(says % ", ".join(kept.left_out))
        if len(made) > settings.MAX_BODY:
            says = _("This backup is larger than a page accepts. To restore it, see the documentation.")
            job.notes.append(says)
        return made

    return redirect("work", token=background.start(job, work))


@require_GET
def look(request: HttpRequest, token: str) -> HttpResponse:
    job = _job(token).seen()
    goes = job.back if job.stop.is_set() else job.goes if job.finished and not job.notes else ""
    if goes:
        return HttpResponseClientRedirect(goes) if request.htmx else redirect(goes)  # type: ignore[attr-defined]
    return render(request, "app/task.html", {"title": job.says, "job": job, "token": token})


@require_POST
def cancel(request: HttpRequest, token: str) -> HttpResponse:
    job = _job(token)
    return redirect(job.back) if job.cancel() else redirect("work", token=token)


@require_GET
def file(request: HttpRequest, token: str) -> HttpResponse:
    job = _job(token)
    if job.made is None:
        raise Http404
    return download(job.made, job.name, job.kind)


def _job(token: str) -> background.Job:
    job = background.find(token)
    if job is None:
        raise Http404
    return job

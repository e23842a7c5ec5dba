"""The guild: its name and settings, its history, its backups."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from loomready.app import background
from loomready.app.archive import guild_files, import_review, photo_archive
from loomready.app.archive.restore import Tell
from loomready.app.changes import change_guard, history
from loomready.app.changes.saving import entry_or_404, in_progress, refuse, save, version_of, who
from loomready.app.forms import fields, form_check
from loomready.app.loomside import slips_history
from loomready.app.models import Change
from loomready.app.progress import overview
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot, current_snapshot
from loomready.app.views.drafts import download
from loomready.problems import BadInput

_FEW, _SMALL = 100, 300_000  # records and bytes that come in within a blink
GUILD = ("name", "units", "end_1", "shaft_1", "dressing", "currency", "bobbin", "rack")


def guild_page(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "guild", "guild")
    form = _guild_form(snapshot, entry)
    if request.method == "POST":
        fields.take(form, request.POST)
        made = fields.table("guild", form, entry.fields)
        if form_check.check("guild", made, form):
            if not request.POST.get("sure") and (
                touched := change_guard.touched(snapshot, "guild", "guild", made)
            ):
                return in_progress(request, touched, "/guild")
            answer = save(request, form, "guild", "guild", made, lambda: redirect("guild"))
            if answer is not None:
                return answer
    return _show(request, snapshot, form, version_of(request))


def _guild_form(snapshot: Snapshot, entry: Entry) -> fields.Form:
    defaults = {"units": "us", "end_1": "right", "shaft_1": "front", "dressing": "back to front"}
    return fields.make("guild", GUILD, defaults | entry.fields, snapshot.guild.units)


def _show(
    request: HttpRequest, snapshot: Snapshot, form: fields.Form, version: int | None = None
) -> HttpResponse:
    """The guild's page.

    :param version: the one that stands in the fields of a form shown again
    """
    day = snapshot.entry("day", "next")
    shown = {
        "title": _("Guild"),
        "form": form,
        "guild_version": version or entry_or_404(snapshot, "guild", "guild").version,
        "event": snapshot.guild.event,
        "coming": overview.coming_event(snapshot),
        "day": day.fields if day else None,
        "changes": history.latest(),
    }
    return render(request, "app/guild.html", shown, status=422 if form.wrong else 200)


@require_POST
def undo(request: HttpRequest, number: int) -> HttpResponse:
    back = request.POST.get("back", "")
    back = (
        back
        if back.startswith("/") and url_has_allowed_host_and_scheme(back, {request.get_host()})
        else "guild"
    )
    if Change.objects.filter(pk=number, undone=True).exists():
        return redirect(back)  # a second tap: it is done
    if not request.POST.get("sure") and (touched := change_guard.touched_by_undo(current_snapshot(), number)):
        return in_progress(request, touched, "/guild")
    change = Change.objects.filter(pk=number, kind=slips_history.KIND).first()
    try:
        if change is not None:
            slips_history.undo(change, who(request))
        else:
            store.undo(number, who=who(request))
    except BadInput as error:
        return refuse(request, error.line(), "guild")
    return redirect(back)


@require_GET
def guild_file(request: HttpRequest) -> HttpResponse:
    return download(
        guild_files.guild_file(current_snapshot()).encode(), "guild.toml", "application/octet-stream"
    )


@require_POST
def bring(request: HttpRequest) -> HttpResponse:
    """Show first what an import would change; nothing is written before it is confirmed."""
    file = request.FILES.get("file")
    if file is None:
        return refuse(request, _("Choose a backup (zip) or a guild file (toml) first."), "guild", 422)
    data, name = file.read(guild_files.MAX_UNPACKED), file.name or "file"
    if len(data) > _SMALL:
        return redirect("work", token=_read_beside(data, name))
    try:
        token = _read(data, name)
    except BadInput as error:
        return refuse(request, error.line(), "guild", 422)
    return bring_compare(request, token)


def _read(data: bytes, name: str, tell: Tell = lambda done, of: None) -> str:
    """Keep what a file holds until the import is confirmed; its photographs lie in the home from now on.

    :raises BadInput: the file is not valid
    """
    things = guild_files.unpack(data, name, tell)
    photo_archive.take_out(data)
    return import_review.keep(things, name)


def _read_beside(data: bytes, name: str) -> str:
    """Read a large file in the background and show the progress."""

    def work(job: background.Job) -> None:
        token = _read(data, name, job.tell)
        job.goes = f"/guild/bring/{token}"

    return background.start(background.Job(_("Reading %s") % name, "", "", "/guild"), work)


def bring_compare(request: HttpRequest, token: str) -> HttpResponse:
    """What would be new, and what is here with another content."""
    try:
        name, things = import_review.look(token)
    except BadInput as error:
        return refuse(request, error.line(), "guild", 422)
    snapshot = current_snapshot()
    compared = import_review.compare(snapshot, things)
    hanging = change_guard.touched_by(snapshot, import_review.clashing(snapshot, things))
    shown = {"title": _("Import"), "name": name, "token": token, "compared": compared, "hanging": hanging}
    return render(request, "app/import.html", shown)


@require_POST
def bring_confirmed(request: HttpRequest) -> HttpResponse:
    token, theirs, by_whom = (
        request.POST.get("token", ""),
        request.POST.get("clashes") == "theirs",
        who(request),
    )
    try:
        name, things = import_review.look(token)
        if len(things) > _FEW:
            return redirect("work", token=_bring_beside(token, name, theirs, by_whom))
        store.load(import_review.choose(current_snapshot(), things, theirs=theirs), who=by_whom)
        import_review.forget(token)
    except BadInput as error:
        return refuse(request, error.line(), "guild", 422)
    return redirect("guild")


def _bring_beside(token: str, name: str, theirs: bool, by_whom: str) -> str:
    """Write a large import in the background and show the progress: all of it or, if canceled, nothing."""

    def work(job: background.Job) -> None:
        chosen = import_review.choose(current_snapshot(), import_review.look(token)[1], theirs=theirs)
        store.load(chosen, who=by_whom, tell=job.tell, settle=job.settle)
        import_review.forget(token)
        job.goes = "/guild"

    back = f"/guild/bring/{token}"
    return background.start(background.Job(_("Importing %s") % name, "", "", back), work)

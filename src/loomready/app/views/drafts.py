"""The gallery of drafts: import, download, versions."""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePosixPath

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_POST

from loomready.app import background
from loomready.app.archive.guild_files import MAX_WIF
from loomready.app.changes import change_guard, history, versions
from loomready.app.changes.saving import entry_or_404, refuse, remove, version_of, who
from loomready.app.drafts import draft_cloth, gallery
from loomready.app.drafts.draft_list import draft_list
from loomready.app.i18n.words import READERS
from loomready.app.media.pictures import thumbnail
from loomready.app.progress import overview
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, current_snapshot, parsed
from loomready.cloth.render import render as draw
from loomready.phrases import joined
from loomready.problems import BadInput

_AT_ONCE = 200
_FEW, _SMALL = 12, 100_000  # files and bytes that are imported at once
_FEW_VERSIONS = 8  # listed on the draft's page; the rest on request
_TYPES = {"png": "image/png", "svg": "image/svg+xml", "wif": "application/octet-stream"}


def drafts_page(request: HttpRequest) -> HttpResponse:
    arrivals: list[gallery.Arrival] = []
    if request.method == "POST":
        given = request.FILES.getlist("files")
        files = [(file.name or "draft", file.read(MAX_WIF + 1)) for file in given[:_AT_ONCE]]
        rest = gallery.not_taken([file.name or "draft" for file in given[_AT_ONCE:]], _AT_ONCE)
        if len(files) > _FEW or sum(len(data) for _name, data in files) > _SMALL:
            return redirect("work", token=_bring_in_beside(files, rest, who(request)))
        arrivals = rest + gallery.bring_in(files, who(request))
    elif (job := background.find(request.GET.get("came", ""))) is not None and isinstance(job.result, list):
        arrivals = job.result
    snapshot = current_snapshot()
    shown = {
        "title": _("Drafts"),
        "list": draft_list(snapshot, request.GET.dict()),
        "arrivals": arrivals,
        "onward": overview.onward(snapshot, request.path),
    }
    return render(request, "app/drafts.html", shown)


def _bring_in_beside(files: list[tuple[str, bytes]], rest: list[gallery.Arrival], by_whom: str) -> str:
    """Import many drafts, or large ones, in the background and show the progress."""
    says = ngettext("Importing %d draft", "Importing %d drafts", len(files)) % len(files)
    job = background.Job(says, "", "", "/drafts")

    def work(job: background.Job) -> None:
        job.result = rest + gallery.bring_in(files, by_whom, job.tell, job.settle)

    token = background.start(job, work)
    job.goes = f"/drafts?came={token}"
    return token


@require_GET
def draft(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "drafts", key)
    asked = request.GET.get("version", "")
    earlier = _version(entry, int(asked)) if asked.isdecimal() and len(asked) < 10 else entry
    card = gallery.card(snapshot, earlier)
    listed, versions_there = versions.of_draft(key, None if "versions" in request.GET else _FEW_VERSIONS)
    shown = {
        "title": card.title,
        "card": card,
        "entry": entry,
        "is_earlier": earlier.version != entry.version,
        "versions": listed,
        "versions_there": versions_there,
        "wound": [snapshot.name("warps", each) for each in card.warps if overview.is_wound(snapshot, each)],
        "changes": history.of_record("drafts", key),
        "sett": draft_cloth.sett_of(snapshot, key),
        "open": "versions" in request.GET or earlier.version != entry.version,
        "onward": overview.onward(snapshot, request.path),
    }
    return render(request, "app/draft.html", shown)


def _version(entry: Entry, number: int) -> Entry:
    """The draft as it was in that version."""
    if number == entry.version:
        return entry
    found = versions.one(entry.key, number)
    if found is None:
        raise Http404
    return replace(entry, version=number, fields={"wif": found.wif})


@require_POST
def new_version(request: HttpRequest, key: str) -> HttpResponse:
    file = request.FILES.get("file")
    if file is None:
        return refuse(request, _("Choose a WIF file first."), f"/drafts/{key}/look", 422)
    sure = bool(request.POST.get("sure"))
    try:
        gallery.new_version(key, file.read(MAX_WIF + 1), version_of(request), who(request), sure=sure)
    except change_guard.InProgress as found:
        says = _("%(what)s Nothing is saved. To replace the draft anyway, check “Change it anyway”.")
        return refuse(request, says % {"what": found.says()}, f"/drafts/{key}/look", 422)
    except store.Conflict:
        return refuse(
            request, _("Somebody changed it in the meantime; check it again."), f"/drafts/{key}/look"
        )
    except BadInput as error:
        return refuse(request, joined(": ", (file.name or "", error.line())), f"/drafts/{key}/look", 422)
    return redirect("drafts-look", key=key)


def remove_draft(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "drafts", key, "drafts")


@require_GET
def thumb(request: HttpRequest, key: str, version: int) -> HttpResponse:
    snapshot = current_snapshot()
    entry = _version(entry_or_404(snapshot, "drafts", key), version)
    response = HttpResponse(thumbnail(parsed(entry.fields["wif"]).draft, snapshot.guild.end_1), "image/png")
    response["Cache-Control"] = "private, max-age=604800"
    return response


@require_GET
def cloth(request: HttpRequest, key: str, version: int, seen: str) -> HttpResponse:
    """The cloth on the draft's page: close by, or as it looks from a distance."""
    snapshot = current_snapshot()
    made = parsed(_version(entry_or_404(snapshot, "drafts", key), version).fields["wif"]).draft
    if seen == "near":
        response = HttpResponse(draft_cloth.near(made, snapshot.guild.end_1), "image/png")
        response["Cache-Control"] = "private, max-age=604800"
        return response
    if seen != "far":
        raise Http404
    sett = draft_cloth.sett_of(snapshot, key)
    return HttpResponse(draft_cloth.far(made, sett, snapshot.guild.end_1), "image/jpeg")


@require_GET
def export(request: HttpRequest, key: str, what: str, kind: str) -> HttpResponse:
    """A draft as a file: always a download, never a page."""
    snapshot = current_snapshot()
    asked = request.GET.get("version", "")
    entry = entry_or_404(snapshot, "drafts", key)
    entry = _version(entry, int(asked)) if asked.isdecimal() and len(asked) < 10 else entry
    if kind not in _TYPES or (what, kind) not in {(w, k) for w in ("draft", "cloth") for k in _TYPES}:
        raise Http404
    made = parsed(entry.fields["wif"]).draft
    try:
        data = (
            entry.fields["wif"].encode()
            if kind == "wif"
            else draw(
                made,
                kind=kind,
                cloth=what == "cloth",
                end_1=snapshot.guild.end_1,
                shaft_1=snapshot.guild.shaft_1,
                catalog=READERS,
            )
        )
    except BadInput as error:
        return refuse(request, error.line(), f"/drafts/{key}/look", 422)
    return download(data, f"{PurePosixPath(key).stem}.{kind}", _TYPES[kind])


def download(data: bytes, name: str, kind: str) -> HttpResponse:
    response = HttpResponse(data, kind)
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


@require_GET
def diagram(request: HttpRequest, key: str, version: int) -> HttpResponse:
    """The draft with its drawdown, as a picture inside the page."""
    snapshot = current_snapshot()
    entry = _version(entry_or_404(snapshot, "drafts", key), version)
    made = parsed(entry.fields["wif"]).draft
    try:
        data = draw(
            made, kind="png", end_1=snapshot.guild.end_1, shaft_1=snapshot.guild.shaft_1, catalog=READERS
        )
    except BadInput as error:
        raise Http404 from error
    response = HttpResponse(data, "image/png")
    response["Cache-Control"] = "private, max-age=604800"
    return response

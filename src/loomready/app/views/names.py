"""What a warp and a draft are called, what is noted of them, and copies of them.

Only names change: keys, addresses and all that refers to them stay.
"""

from __future__ import annotations

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from loomready.app.changes import change_guard
from loomready.app.changes.saving import entry_or_404, refuse, save, seen, stale, who
from loomready.app.drafts import save_draft
from loomready.app.forms import fields
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot, current_snapshot
from loomready.guildfile.texts import Note
from loomready.problems import BadInput

_LONGEST = 100_000  # letters of a draft's notes: files bring long ones


def warp(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    form = _form(snapshot, entry)
    form.fields.update(fields.make("warps", ("notes",), entry.fields, snapshot.guild.units).fields)
    if request.method == "POST":
        fields.take(form, request.POST)
        noted = fields.Form({"notes": form["notes"]})
        made = fields.with_name(fields.table("warps", noted, entry.fields), _typed(form))
        form.fields.update(noted.fields)
        form.change("name", error=fields.name_trouble(_typed(form), snapshot.names("warps"), key))
        answer = save(request, form, "warps", key, made, lambda: redirect("warps-plan", key=key))
        if answer is not None:
            return answer
    return _show(request, entry, form, "warps-plan")


def draft(request: HttpRequest, key: str) -> HttpResponse:
    """Name and notes are the title and the notes in the draft's file; drafts may share a name."""
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "drafts", key)
    form = _form(snapshot, entry)
    form.fields["notes"] = fields.Field(
        "notes", fields.LABELS["notes"], snapshot.drafts[key].notes or "", "lines"
    )
    if request.method == "POST":
        fields.take(form, request.POST)
        form.change("name", error=fields.name_trouble(_typed(form), {}))
        form.change("notes", error=fields.trouble(Note(_LONGEST), form["notes"].text))
        if not form.wrong:
            noted = replace(snapshot.drafts[key], title=_typed(form), notes=form["notes"].text or None)
            made = {"wif": save_draft.text_of(noted)}
            answer = save(request, form, "drafts", key, made, lambda: redirect("drafts-look", key=key))
            if answer is not None:
                return answer
    return _show(request, entry, form, "drafts-look")


@require_POST
def copy_warp(request: HttpRequest, key: str) -> HttpResponse:
    """The warp once more, planned from the start: nothing of it is done, and it has no records."""
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    try:
        seen(request, snapshot, "warps", key)
        made = change_guard.another(snapshot, key, entry.fields)
        store.write("warps", made["key"], made, version=None, who=who(request))
    except store.Conflict:
        return stale(request, f"/warps/{key}")
    except BadInput as error:
        return refuse(request, error.line(), f"/warps/{key}", 422)
    return redirect("warps-plan", key=made["key"])


@require_POST
def copy_draft(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry_or_404(snapshot, "drafts", key)
    try:
        seen(request, snapshot, "drafts", key)
        made = save_draft.copied(snapshot, key, who(request))
    except store.Conflict:
        return stale(request, f"/drafts/{key}/look")
    except BadInput as error:
        return refuse(request, error.line(), f"/drafts/{key}/look", 422)
    return redirect("workshop-edit" if request.POST.get("then") == "edit" else "drafts-look", key=made)


def _form(snapshot: Snapshot, entry: Entry) -> fields.Form:
    name = snapshot.name(entry.kind, entry.key)
    return fields.Form({"name": fields.Field("name", fields.LABELS["name"], name, needed=True)})


def _typed(form: fields.Form) -> str:
    return fields.one_line(form["name"].text)


def _show(request: HttpRequest, entry: Entry, form: fields.Form, back: str) -> HttpResponse:
    shown = {"title": _("Name and notes"), "form": form, "entry": entry, "back": back}
    return render(request, "app/name.html", shown, status=422 if form.wrong else 200)

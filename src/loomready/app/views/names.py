"""What a warp and a draft are called. Only names change: keys, addresses and all that refers to them stay."""

from __future__ import annotations

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from loomready.app.changes.saving import entry_or_404, save
from loomready.app.drafts.save_draft import text_of
from loomready.app.forms import fields
from loomready.app.state.snapshot import Entry, Snapshot, current_snapshot


def warp(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    form = _form(snapshot, entry)
    if request.method == "POST":
        fields.take(form, request.POST)
        form.change("name", error=fields.name_trouble(_typed(form), snapshot.names("warps"), key))
        made = fields.with_name(entry.fields, _typed(form))
        answer = save(request, form, "warps", key, made, lambda: redirect("warps-plan", key=key))
        if answer is not None:
            return answer
    return _show(request, entry, form, "warps-plan")


def draft(request: HttpRequest, key: str) -> HttpResponse:
    """A draft's name is the title in its file; drafts of one name are told apart by their files."""
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "drafts", key)
    form = _form(snapshot, entry)
    if request.method == "POST":
        fields.take(form, request.POST)
        form.change("name", error=fields.name_trouble(_typed(form), {}))
        if not form.wrong:
            made = {"wif": text_of(replace(snapshot.drafts[key], title=_typed(form)))}
            answer = save(request, form, "drafts", key, made, lambda: redirect("drafts-look", key=key))
            if answer is not None:
                return answer
    return _show(request, entry, form, "drafts-look")


def _form(snapshot: Snapshot, entry: Entry) -> fields.Form:
    name = snapshot.name(entry.kind, entry.key)
    return fields.Form({"name": fields.Field("name", fields.LABELS["name"], name, needed=True)})


def _typed(form: fields.Form) -> str:
    return fields.one_line(form["name"].text)


def _show(request: HttpRequest, entry: Entry, form: fields.Form, back: str) -> HttpResponse:
    shown = {"title": _("Rename"), "form": form, "entry": entry, "back": back}
    return render(request, "app/name.html", shown, status=422 if form.wrong else 200)

"""Balancing a draft: where it is not symmetrical, each offer before and after, webs whose edges match."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from loomready.app.changes.saving import refuse
from loomready.app.state.snapshot import current_snapshot
from loomready.app.workshop import balance, draft_version
from loomready.draft.draft import Draft
from loomready.problems import BadInput


def page(request: HttpRequest, key: str) -> HttpResponse:
    """The draft and its offers; POST takes one, or begins the draft so that both edges match."""
    snapshot = current_snapshot()
    found = draft_version.seen(request, snapshot, key)
    if request.method == "POST":
        ends = _number(request.POST.get("ends"))
        if ends is not None:
            return _begin(request, key, ends)
        number = _number(request.POST.get("offer"))
        return draft_version.kept(
            request,
            snapshot,
            found,
            lambda draft: balance.taken(draft, -1 if number is None else number),
            request.path,
        )
    about = request.GET.get("about", "").strip()
    wrong = ""
    wanted = _number(about)
    if about and (wanted is None or not 1 <= wanted <= balance.MOST_ABOUT):
        wrong = _("Expected a whole number of ends from 1 to %d.") % balance.MOST_ABOUT
        wanted = None
    try:
        made = balance.page(snapshot, found, wanted)
    except BadInput as error:
        return refuse(request, error.line(), f"/drafts/{key}/look", 422)
    if isinstance(made, str):
        return redirect("work", token=made)
    told = {
        "title": _("Balance"),
        "seen": found,
        "page": made,
        "about": about or str(made.about),
        "wrong": wrong,
    }
    return render(request, "workshop/balance.html", told, status=422 if wrong else 200)


def _begin(request: HttpRequest, key: str, ends: int) -> HttpResponse:
    snapshot = current_snapshot()
    found = draft_version.seen(request, snapshot, key)
    start = _number(request.POST.get("start")) or 1

    def work(draft: Draft) -> Draft:
        return balance.begun(draft, start, ends)

    return draft_version.kept(
        request,
        snapshot,
        found,
        work,
        request.path,
        lambda made: balance.with_repeats(snapshot, key, made, balance.repeat_of(found.draft)),
    )


def _number(text: str | None) -> int | None:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 7 else None

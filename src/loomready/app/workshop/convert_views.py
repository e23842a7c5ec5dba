"""Conversions of a draft: all of them with their answers, each before and after, and treadles."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST
from django_htmx.http import HttpResponseClientRefresh

from loomready.app.changes.saving import refuse
from loomready.app.i18n.words import sentence
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.app.workshop import convert, convert_search, draft_version
from loomready.draft.draft import Draft
from loomready.draft.shedding.fewest_treadles import SHEDS, fewest_treadles, on_treadles
from loomready.problems import BadInput


@require_GET
def overview(request: HttpRequest, key: str) -> HttpResponse:
    """Every conversion with its answer in a line; treadles have a form."""
    snapshot = current_snapshot()
    found = draft_version.seen(request, snapshot, key)
    try:
        page = _page(request, snapshot, found) | {"title": _("Convert tie-up / lift plan"), "ways": ()}
        page["ways"] = convert.ways(found.draft, page["loom"])
    except BadInput as error:
        return refuse(request, error.line(), f"/drafts/{key}/look", 422)
    return render(request, "workshop/turn.html", page)


def way(request: HttpRequest, key: str, name: str) -> HttpResponse:
    """One conversion, before and after; POST saves it."""
    if name not in convert.WAYS:
        raise Http404
    snapshot = current_snapshot()
    found = draft_version.seen(request, snapshot, key)
    if request.method == "POST":
        return draft_version.kept(request, snapshot, found, convert.work_of(name), request.path)
    page = _page(request, snapshot, found) | {
        "title": _("Convert tie-up / lift plan"),
        "result": None,
        "error": "",
    }
    try:
        page["result"] = convert.result(snapshot, found, name)
    except BadInput as error:
        page["error"] = sentence(error.what)
    return render(request, "workshop/turn_way.html", page)


def treadles(request: HttpRequest, key: str) -> HttpResponse:
    """The fewest treadles: shown at once if found quickly, else the page waits; POST keeps what was found."""
    snapshot = current_snapshot()
    found = draft_version.seen(request, snapshot, key)
    sent = request.POST if request.method == "POST" else request.GET
    page = _page(request, snapshot, found, sent.dict()) | {"title": _("Convert to tie-up")}
    asked: convert.Wish = page["wish"]
    text = str(found.entry.fields["wif"])
    if request.method == "POST":

        def work(draft: Draft) -> Draft:
            made = convert_search.find(text, asked.feet, asked.shed, request.path)
            if isinstance(made, convert_search.Search) or found.version != found.entry.version:
                made = fewest_treadles(draft, feet=asked.feet, shed=asked.shed)
            return on_treadles(draft, made)

        return draft_version.kept(request, snapshot, found, work, request.path)
    try:
        made = convert_search.find(text, asked.feet, asked.shed, request.path)
    except BadInput as error:
        return refuse(request, error.line(), f"/drafts/{key}/turn", 422)
    page |= {"query": urlencode(asked.query | _loom_query(page)), "search": None, "told": None}
    if isinstance(made, convert_search.Search):
        if made.job.error:
            return refuse(request, made.job.error, f"/drafts/{key}/turn", 422)
        page["search"] = made
    elif request.htmx:  # type: ignore[attr-defined]
        return HttpResponseClientRefresh()  # the page that waited shows the complete result
    else:
        page["told"] = convert.treadled(snapshot, found, made, asked)
    return render(request, "workshop/turn_treadles.html", page)


@require_POST
def cancel(request: HttpRequest, key: str) -> HttpResponse:
    """Stop searching for treadles."""
    snapshot = current_snapshot()
    found = draft_version.seen(request, snapshot, key)
    asked = convert.wish(request.POST.dict(), None)
    convert_search.cancel(str(found.entry.fields["wif"]), asked.feet, asked.shed)
    return redirect("workshop-turn", key=key)


def _loom_query(page: dict[str, Any]) -> dict[str, str]:
    return {name: page[value] for name, value in (("warp", "warp"), ("loom", "loom_key")) if page[value]}


def _page(
    request: HttpRequest, snapshot: Snapshot, found: draft_version.Seen, asked: dict[str, str] | None = None
) -> dict[str, Any]:
    asked = request.GET.dict() if asked is None else asked
    loom = convert.loom_of(snapshot, asked.get("warp", ""), asked.get("loom", ""))
    return {
        "seen": found,
        "loom": loom,
        "looms": snapshot.guild.looms,
        "warp": asked.get("warp", ""),
        "loom_key": loom.key if loom else "",
        "wish": convert.wish(asked, loom),
        "sheds": tuple(zip(SHEDS, (_("rising"), _("sinking"), _("countermarche")), strict=True)),
        "feet": ((1, _("one")), (2, _("two")), (3, _("three"))),
    }

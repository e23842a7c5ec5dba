"""Search for drafts: the form, a gallery of cloths that grows, a larger view, and using one."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST
from django_htmx.http import HttpResponseClientRedirect

from loomready.app.changes.saving import clash, refuse, version_of, who
from loomready.app.choosing import find_form, find_results, searches, use_found_draft
from loomready.app.drafts import draft_preview
from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.choose.drafts.columns import COLUMNS
from loomready.choose.drafts.finding import as_file
from loomready.problems import BadInput


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """The form, and once it is sent the first cloths."""
    snapshot = current_snapshot()
    asked = find_form.asked(snapshot, request.GET.dict())
    shown_page: dict[str, Any] = {"title": _("Search drafts"), "asked": asked, "form": asked.form}
    if asked.wish is not None:
        like = asked.liked if asked.like else None
        running = searches.begin(asked.wish, snapshot.drafts, like, asked.query)
        shown_page |= _gallery(request, snapshot, running, asked)
    return render(request, "choosing/find.html", shown_page, status=422 if asked.form.wrong else 200)


@require_GET
def more(request: HttpRequest) -> HttpResponse:
    """The next cloths, loaded while scrolling."""
    snapshot = current_snapshot()
    asked = find_form.asked(snapshot, request.GET.dict())
    if asked.wish is None:
        raise Http404
    running = searches.begin(asked.wish, snapshot.drafts, asked.liked if asked.like else None, asked.query)
    return render(request, "choosing/_find_cards.html", _gallery(request, snapshot, running, asked))


@require_GET
def state(request: HttpRequest, token: str) -> HttpResponse:
    """How far the search is."""
    running = _running(token)
    shown_state = {"running": running, "why": find_results.why(running, current_snapshot().show.us)}
    response = render(request, "choosing/_find_state.html", shown_state)
    if running.is_done:
        response["HX-Trigger"] = "found-all"  # what is ordered by a column is put in order once more
    return response


@require_POST
def stop(request: HttpRequest, token: str) -> HttpResponse:
    """Stop searching; what was found stays."""
    running = _running(token)
    running.stop()
    if request.htmx:  # type: ignore[attr-defined]
        response = render(request, "choosing/_find_state.html", {"running": running})
        response["HX-Trigger"] = "found-all"
        return response
    return redirect(f"{reverse('choosing-find')}?{request.POST.get('query', '')}")


@require_GET
def look(request: HttpRequest, token: str, offer: str) -> HttpResponse:
    """One draft in a larger view: more of its cloth, its draft, its columns."""
    snapshot = current_snapshot()
    asked = find_form.asked(snapshot, request.GET.dict())
    running = searches.running(token)
    found = None if running is None else running.offers.get(offer)
    if running is None or found is None:
        return _gone(request)
    on_treadles = asked.loom is not None and asked.loom.free_treadles > 0
    draft = as_file(found, on_treadles=on_treadles, tabby=asked.plain_weave)
    shown_offer = {
        "title": find_results.name_of(found),
        "running": running,
        "asked": asked,
        "id": offer,
        "offer": found,
        "card": find_results.cards([found], 1, snapshot.guild.end_1, snapshot.show.us)[0],
        "cloth": draft_preview.cloth(found.draft, snapshot.guild.end_1, ends=150, picks=100, cell=6),
        "diagram": draft_preview.diagram(draft, snapshot.guild.end_1, snapshot.guild.shaft_1),
        "query": urlencode(asked.query),
        "entry": snapshot.entry("warps", asked.warp),
        "meanings": find_results.meanings(),
    }
    return render(request, "choosing/find_look.html", shown_offer)


@require_GET
def far(request: HttpRequest, token: str, offer: str) -> HttpResponse:
    """The cloth of a card as the eye sees it from the distance of the search."""
    found = _running(token).offers.get(offer)
    if found is None:
        raise Http404
    response = HttpResponse(find_results.far(found, current_snapshot().guild.end_1), "image/jpeg")
    response["Cache-Control"] = "private, max-age=3600"
    return response


@require_POST
def take(request: HttpRequest, token: str, offer: str) -> HttpResponse:
    """Save the draft, and use it for the warp it was found for, or else for a new warp."""
    snapshot = current_snapshot()
    asked = find_form.asked(snapshot, request.POST.dict())
    running = searches.running(token)
    found = None if running is None else running.offers.get(offer)
    if found is None:
        return _gone(request)
    back = f"{reverse('choosing-find')}?{urlencode(asked.query)}"
    try:
        writes = use_found_draft.writes(
            snapshot, found, asked.loom, asked.warp, version_of(request), tabby=asked.plain_weave
        )
        against = use_found_draft.against_wound(snapshot, writes, asked.warp)
        if against:
            return refuse(request, against, back)
        store.write_together(writes.all, who=who(request))
    except store.Conflict as conflict:
        return clash(request, "warps", asked.warp, {"draft": writes.key}, conflict)
    except BadInput as error:
        return refuse(request, error.line(), back, 422)
    if asked.warp:
        there = reverse("warps-plan", args=[asked.warp])
    else:
        loom = {"loom": asked.loom.key} if asked.loom else {}
        there = f"{reverse('warps-new')}?{urlencode({'draft': writes.key, **loom})}"
    return HttpResponseClientRedirect(there) if request.htmx else redirect(there)  # type: ignore[attr-defined]


def _gallery(
    request: HttpRequest, snapshot: Snapshot, running: searches.Running, asked: find_form.SentForm
) -> dict[str, Any]:
    """Cards from one number on, and the address of the next ones."""
    column = request.GET.get("order", "")
    column = column if column in COLUMNS else ""
    first, until = _number(request, "from", 0), _number(request, "until", searches.PAGE)
    offers = running.shown(column, until)[first:]
    query = [*asked.query, *((("order", column),) if column else ())]
    next_from = first + len(offers)
    return {
        "running": running,
        "asked": asked,
        "cards": find_results.cards(offers, first + 1, snapshot.guild.end_1, snapshot.show.us),
        "meanings": find_results.meanings(),
        "order": column,
        "base": urlencode(asked.query),
        "next": urlencode([*query, ("from", str(next_from)), ("until", str(next_from + searches.PAGE))]),
        "plain_next": urlencode([*query, ("until", str(next_from + searches.PAGE))]),
        "anew": urlencode([*query, ("until", str(max(next_from, searches.PAGE)))]),
        "is_more": len(offers) >= until - first or not running.is_done,
        "is_empty": not offers,
        "entry": snapshot.entry("warps", asked.warp),
        "why": find_results.why(running, snapshot.show.us),
        "distance": asked.form["distance"].text,
    }


def _number(request: HttpRequest, name: str, otherwise: int) -> int:
    text = request.GET.get(name, "")
    return min(int(text), 400) if text.isdecimal() and len(text) < 5 else otherwise


def _running(token: str) -> searches.Running:
    running = searches.running(token)
    if running is None:
        raise Http404
    return running


def _gone(request: HttpRequest) -> HttpResponse:
    says = _("The results of this search are gone; search again.")
    return refuse(request, says, reverse("choosing-find"), 404)

"""The search: a page for all results, and the few that are offered while somebody types."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from loomready.app.search import ranking
from loomready.app.search.things import KINDS, Thing, things
from loomready.app.sharing.auth import member
from loomready.app.sharing.roles import Role
from loomready.app.state.snapshot import current_snapshot


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    found = _found(request)
    groups = [(word, [each for each in found if each.kind == kind]) for kind, (_one, word) in KINDS.items()]
    shown = {
        "title": _("Search"),
        "words": _words(request),
        "least": ranking.LEAST,
        "count": len(found),
        "groups": [(word, of_kind) for word, of_kind in groups if of_kind],
    }
    return render(request, "search/search.html", shown)


@require_GET
def offers(request: HttpRequest) -> HttpResponse:
    """The list under the field, as a part of a page."""
    found = _found(request)
    shown = {"words": _words(request), "count": len(found), "offers": ranking.offered(found)}
    response = render(request, "search/_offers.html", shown)
    response["Cache-Control"] = "no-store"
    return response


def _words(request: HttpRequest) -> str:
    return ranking.words_of(request.GET.get("q", ""))


def _found(request: HttpRequest) -> list[Thing]:
    who = member(request)
    role = who.role if who else Role.NOBODY
    return ranking.ranked(things(current_snapshot(), role), _words(request))

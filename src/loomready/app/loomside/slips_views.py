"""The page of a warp's test weave: its picks, what is seen of them, the slips, and how to mend them.

The questions of a search are in the page's address, so that going back takes an answer back; what was found
and what was looked at is a record of the warp.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from loomready.app.changes import history
from loomready.app.changes.saving import refuse, stale, version_of, who
from loomready.app.i18n import words
from loomready.app.loomside import jobs_miscount, slips_ask, slips_page, slips_plan, woven_record
from loomready.app.loomside.slips_ask import Asking
from loomready.app.state import store
from loomready.app.state import tested as records
from loomready.app.state.snapshot import open_room
from loomready.app.state.tested import KIND, WeaveSeen
from loomready.problems import BadInput
from loomready.slips import at_loom, said
from loomready.slips.answer import Planned
from loomready.slips.at_loom import WINDOW, Window


@require_http_methods(["GET", "POST"])
def test_weave(request: HttpRequest, key: str) -> HttpResponse:
    room = open_room()
    there = room.plan_of(key)
    if there is None:
        raise Http404
    if there.plan is None:
        return refuse(request, _("This warp has no plan yet; plan it first."), f"/warps/{key}", 422)
    planned = at_loom.on_loom(there.plan)
    if not (planned.threading >= 0).any():
        return refuse(request, _("No end of this warp goes through a heddle."), f"/warps/{key}", 422)
    tested, entry = records.of(room, key)
    here = reverse("loomside-slips", args=[key])
    if request.method == "POST":
        try:
            made, part = _changed(request, planned, _with_picks(planned, tested))
            store.write(KIND, key, made.fields(), version=version_of(request), who=who(request))
        except store.Conflict:
            return stale(request, here)
        except BadInput as error:
            return refuse(request, error.line(), here, 422)
        return redirect(f"{here}{part}")
    query = request.GET.copy()
    try:
        if query.get("words", "").strip():
            return redirect(_heard(query, planned, there.plan.guild.end_1, here))
        shown = slips_page.page(
            there.plan, planned, _with_picks(planned, tested), query, here, woven_record.results(room)
        )
    except BadInput as error:
        return refuse(request, error.line(), here, 422)
    shown |= {
        "title": _("Test weave of %(warp)s") % {"warp": key},
        "warp": key,
        "here": here,
        "version": entry.version if entry else "",
        "changes": history.of_record(KIND, key, 6),
    }
    return render(request, "loomside/slips.html", shown)


@require_http_methods(["GET", "POST"])
def plan_it_so(request: HttpRequest, key: str) -> HttpResponse:
    """The slips that are left become the plan: what that means, and the change itself."""
    room = open_room()
    there = room.plan_of(key)
    entry = room.entry("warps", key)
    if there is None or there.plan is None or entry is None:
        raise Http404
    planned = at_loom.on_loom(there.plan)
    here = reverse("loomside-slips", args=[key])
    tested, known = records.of(room, key)
    tested = _with_picks(planned, tested)
    choice = slips_plan.offer(room, there, planned, tested)
    if request.method == "POST":
        if choice is None:
            return refuse(request, _("There is nothing left to change."), here, 422)
        try:
            begun = (KIND, key, WeaveSeen(tested.picks).fields(), known.version if known else None)
            jobs_miscount.follow(room, there, choice, version_of(request) or 0, who(request), [begun])
        except store.Conflict:
            return stale(request, here)
        except BadInput as error:
            return refuse(request, error.line(), here, 422)
        return redirect(f"{here}#found")
    shown = {
        "title": _("Plan it as it stands"),
        "warp": key,
        "here": here,
        "choice": choice,
        "version": entry.version,
    }
    return render(request, "loomside/slips_plan.html", shown)


test_weave.__test__ = False  # type: ignore[attr-defined]  # a name that begins with test is not a case for pytest


def _with_picks(planned: Planned, tested: WeaveSeen) -> WeaveSeen:
    """The record with picks to weave: the draft's own where they are enough."""
    if tested.picks:
        return tested
    own = at_loom.own_are_enough(planned)
    lifts = at_loom.own_picks(planned) if own else at_loom.picks_apart(planned)
    return replace(tested, picks=at_loom.shafts_of(lifts))


def _heard(query: QueryDict, planned: Planned, end_1: Literal["left", "right"], here: str) -> str:
    """The address with what was typed as one more answer, or with what is wrong with it."""
    pairs = [("said", each) for each in query.getlist("said")]
    try:
        heard = said.read(query.get("words", ""), len(planned.threading), planned.lifts.shape[1], end_1)
        pairs += [("said", text) for text in slips_ask.texts_of(heard)]
    except BadInput as error:
        pairs.append(("word", words.said(error.line())))
    return f"{here}?{urlencode(pairs)}#ask"


def _changed(request: HttpRequest, planned: Planned, tested: WeaveSeen) -> tuple[WeaveSeen, str]:
    """The record as this post leaves it, and the part of the page to go to.

    :raises BadInput: a post that no page sends
    """
    post = request.POST
    do = post.get("do", "")
    if do == "picks":
        lifts = at_loom.own_picks(planned) if post.get("which") == "own" else at_loom.picks_apart(planned)
        return WeaveSeen(at_loom.shafts_of(lifts), kept=tested.kept), "#picks"
    if do == "cells":
        window = _window(post, planned, tested)
        onward = window.first + WINDOW if window.first + WINDOW <= len(planned.threading) else 1
        return tested.with_window(window), f"?end={onward}&saved={window.first}#cells"
    if do == "unseen":
        first = _number(post.get("first", ""))
        left = tuple(each for each in tested.windows if each.first != first)
        return replace(tested, windows=left), f"?end={first}&saved={first}#cells"
    if do == "keep":
        slip = Asking.of(planned, post.getlist("said")).slip()
        if slip is None:
            raise BadInput("nothing was found yet; expected answers to the questions first")
        kept = [each for each in tested.kept if (each.kind, each.end) != (slip.kind, slip.end)]
        return replace(tested, kept=(*kept, slip)), "#found"
    if do == "drop":
        place = _number(post.get("slip", ""))
        return replace(tested, kept=tuple(each for n, each in enumerate(tested.kept) if n != place)), "#found"
    if do == "again":
        return WeaveSeen(tested.picks), "#cells"
    if do == "way":
        return replace(tested, way=min(_number(post.get("way", "")), 9)), "#mend"
    if do == "tick":
        said = post.get("action", "")[:400]
        without = tuple(each for each in tested.done if each != said)
        return replace(tested, done=without if said in tested.done else (*without, said)), "#mend"
    raise BadInput("this page asked for what it cannot do; open it again")


def _window(post: Any, planned: Planned, tested: WeaveSeen) -> Window:
    """The cells of a window: as planned, but for those that were tapped."""
    first = _number(post.get("first", ""))
    ends = len(planned.threading)
    if first < 1 or first > ends or (first - 1) % WINDOW:
        raise BadInput("these ends are none of this warp; open the page again")
    lifts = at_loom.lifts_of(tested.picks, planned.lifts.shape[1])
    return at_loom.window(planned, lifts, first, {_cell(each) for each in post.getlist("differs")})


def _cell(text: str) -> tuple[int, int]:
    pick, _dash, end = text.partition("-")
    return _number(pick), _number(end)


def _number(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 7):
        raise BadInput("this page sent what is not a number; open it again")
    return int(text)

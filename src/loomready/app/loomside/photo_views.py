"""Slips from a photograph: choosing and tapping it, and what was read of it, each slip with a yes or a no."""

from __future__ import annotations

import re
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from loomready.app.changes.saving import refuse, stale, who
from loomready.app.loomside import photo_confirm, photo_kept, photo_page, photo_task
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from loomready.slips import job
from loomready.slips.as_json import Planned
from loomready.slips.job import Job
from loomready.slips.photo.picture import MAX_BYTES
from loomready.slips.photo.rectify import Corners
from loomready.warp.result import WarpPlan

_POINT = re.compile(r"(\d{1,5}(?:\.\d{1,4})?) ?, ?(\d{1,5}(?:\.\d{1,4})?)")


@require_http_methods(["GET", "POST"])
def photo(request: HttpRequest, key: str) -> HttpResponse:
    """Choose or take a photograph, tap its corners, and have it read."""
    planned = _job(key)[1].planned
    here = reverse("loomside-slips-photo", args=[key])
    if request.method == "POST":
        try:
            return redirect("work", token=_begun(request, key, planned, here))
        except BadInput as error:
            return refuse(request, error.line(), here, 422)
    shown = photo_page.choosing(planned) | {"title": _("From a photograph"), "warp": key}
    return render(request, "loomside/photo.html", shown)


@require_http_methods(["GET", "POST"])
def found(request: HttpRequest, key: str, token: str) -> HttpResponse:
    """What was read. A yes keeps the slip on the page of the test weave, a no takes it from there."""
    made = photo_task.find(token, key)
    if made is None:
        says = _("This photograph is no longer held. Choose it again; nothing else is lost.")
        return refuse(request, says, reverse("loomside-slips-photo", args=[key]), 404)
    here = reverse("loomside-slips-photo-found", args=[key, token])
    if request.method == "POST":
        try:
            if request.POST.get("do") == "keep":
                made.kept = made.kept or photo_kept.keep(made)
                return redirect(f"{here}#keep")
            place, answer = _answer(request, len(made.found.slips))
            _take(key, made, place, answer, who(request))
        except store.Conflict:
            return stale(request, here)
        except BadInput as error:
            return refuse(request, error.line(), here, 422)
        return redirect(f"{here}#slip-{place + 1}")
    picture = reverse("loomside-slips-photo-picture", args=[key, token])
    shown = photo_page.found(made, picture) | {"title": _("Read in the photograph"), "warp": key}
    return render(request, "loomside/photo_found.html", shown)


@require_GET
def picture(request: HttpRequest, key: str, token: str) -> HttpResponse:
    """The part of the photograph that the page shows."""
    made = photo_task.find(token, key)
    if made is None:
        raise Http404
    response = HttpResponse(made.shown.jpeg, content_type="image/jpeg")
    response["Cache-Control"] = "private, no-store"
    return response


def _job(key: str) -> tuple[WarpPlan, Job]:
    there = current_snapshot().plan_of(key)
    work = job.job(there.plan) if there is not None and there.plan is not None else None
    if there is None or there.plan is None or work is None:
        raise Http404
    return there.plan, work


def _begun(request: HttpRequest, key: str, planned: Planned, here: str) -> str:
    file = request.FILES.get("photo")
    if file is None:
        raise BadInput(_("choose or take a photograph first"))
    lifts = photo_page.woven(planned).get(request.POST.get("woven", ""))
    if lifts is None:
        raise BadInput(_("choose which picks are woven"))
    first, last = (_number(request.POST.get(name, "")) for name in ("first", "last"))
    corners = _corners([request.POST.get(f"corner{number}", "") for number in range(1, 5)])
    return photo_task.start(key, planned, lifts, (first, last), corners, file.read(MAX_BYTES + 1), here)


def _corners(texts: list[str]) -> Corners:
    points: list[Any] = []
    for number, text in enumerate(texts, start=1):
        point = _POINT.fullmatch(text.strip())
        if point is None:
            raise BadInput(_("corner %d is not tapped yet; tap all four") % number)
        points.append((float(point[1]), float(point[2])))
    return (points[0], points[1], points[2], points[3])


def _number(text: str) -> int:
    text = text.strip()
    if not (text.isascii() and text.isdecimal() and len(text) < 7):
        raise BadInput(_("expected the number of the first end and that of the last end"))
    return int(text)


def _answer(request: HttpRequest, slips: int) -> tuple[int, str]:
    place, answer = request.POST.get("slip", ""), request.POST.get("answer", "")
    if not (place.isascii() and place.isdecimal() and len(place) < 4 and int(place) < slips):
        raise BadInput(_("this page asked for a slip that is none; open it again"))
    if answer not in (*photo_kept.ANSWERS, "again"):
        raise BadInput(_("this page sent no answer; open it again"))
    return int(place), answer


def _take(key: str, made: photo_task.PhotoResult, place: int, answer: str, by_whom: str) -> None:
    """Only a yes makes a slip one of the warp's; any other answer takes it from there again."""
    plan, work = _job(key)
    photo_confirm.take(plan, work, made.found.slips[place].slip, answer == photo_kept.RIGHT, by_whom)
    if answer == "again":
        made.answers.pop(place, None)
    else:
        made.answers[place] = answer

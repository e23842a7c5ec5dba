"""Photographs: adding some to a warp, a draft, a yarn or a loom, and a page for each with its caption."""

from __future__ import annotations

import threading
from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_POST

from loomready.app.changes.saving import entry_or_404, refuse, save, stale, version_of, who
from loomready.app.forms import fields
from loomready.app.sharing.auth import member
from loomready.app.state import photo_files, photos, store
from loomready.app.state.facts_quota import Quota, Reached
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.phrases import joined
from loomready.problems import BadInput
from loomready.slips.photo.picture import MAX_BYTES

_PAGES = {"warps": "warps-plan", "drafts": "drafts-look", "yarns": "shelf-yarn", "looms": "looms-loom"}
_one_at_a_time = threading.Lock()  # a large picture takes some hundred MB while it is scaled down
quota = Quota(most=100)  # photographs of a device in an hour


@require_POST
def add(request: HttpRequest, of: str, thing: str) -> HttpResponse:
    """Keep the photographs that were chosen: all of them, or none if one is refused."""
    if of not in photos.OF:
        raise Http404
    snapshot = current_snapshot()
    entry_or_404(snapshot, of, thing)
    back = reverse(_PAGES[of], args=[thing])
    files = request.FILES.getlist("photo")
    if not files:
        return refuse(request, _("Choose or take a photograph first."), back, 422)
    try:
        caption = photos.caption_of(request.POST.get("caption", ""))
        quota.spend(member(request), len(files))
        if len(files) > photos.MOST_OF_ONE:
            raise BadInput(_("Choose at most %d photographs.") % photos.MOST_OF_ONE)
        made = []
        for file in files:
            try:
                with _one_at_a_time:
                    made.append(photo_files.reduced(file.read(MAX_BYTES + 1)))
            except BadInput as error:
                raise BadInput(joined(" ", (file.name or "", error.what))) from None
        photos.add(current_snapshot(), of, thing, made, caption, date.today(), who(request))
    except Reached as reached:
        says = ngettext(
            "This device sent 100 photographs within an hour. It can send more in %d minute.",
            "This device sent 100 photographs within an hour. It can send more in %d minutes.",
            reached.minutes,
        )
        return refuse(request, says % reached.minutes, back, 429)
    except BadInput as error:
        return refuse(request, error.line(), back, 422)
    return redirect(f"{back}#photos")


def photo(request: HttpRequest, key: str) -> HttpResponse:
    """The photograph large, with its caption."""
    snapshot = current_snapshot()
    found = _found(snapshot, key)
    form = fields.Form({"caption": fields.Field("caption", _("Caption: what it shows"), found.caption)})
    if request.method == "POST":
        fields.take(form, request.POST)
        held = entry_or_404(snapshot, photos.KIND, key).fields
        try:
            held = held | {"caption": photos.caption_of(form["caption"].text)}
        except BadInput as error:
            form.change("caption", error=error.line())
        answer = save(request, form, photos.KIND, key, held, lambda: redirect("photos-photo", key=key))
        if answer is not None:
            return answer
    shown = {
        "title": _("Photograph of %(name)s") % {"name": snapshot.name(found.of, found.thing)},
        "photo": found,
        "form": form,
        "back": reverse(_PAGES[found.of], args=[found.thing]),
    }
    return render(request, "photos/photo.html", shown, status=422 if form.wrong else 200)


@require_POST
def remove(request: HttpRequest, key: str) -> HttpResponse:
    found = _found(current_snapshot(), key)
    back = reverse(_PAGES[found.of], args=[found.thing])
    try:
        store.remove(photos.KIND, key, version=version_of(request) or 0, who=who(request))
    except store.Conflict:
        return stale(request, back)
    return redirect(f"{back}#photos")


@require_GET
def picture(request: HttpRequest, key: str, size: str) -> HttpResponse:
    found = _found(current_snapshot(), key)
    jpeg = photo_files.small(found.picture) if size == "small" else photo_files.read(found.picture)
    if jpeg is None or size not in ("small", "large"):
        raise Http404
    response = HttpResponse(jpeg, "image/jpeg")
    response["Cache-Control"] = "private, max-age=604800, immutable"
    return response


def _found(snapshot: Snapshot, key: str) -> photos.Photo:
    found = photos.one(snapshot, key)
    if found is None or snapshot.entry(found.of, found.thing) is None:
        raise Http404
    return found

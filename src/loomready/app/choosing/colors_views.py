"""Colors from the shelf: show the cloth, use a choice in the plan."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from loomready.app.changes import history
from loomready.app.changes.saving import entry_or_404, refuse
from loomready.app.choosing.colors_page import cloth_of, colors_page, narrowed, recolor
from loomready.app.choosing.use_choice import gone, take
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput

_THEN = {"size": "choosing-size", "colors": "choosing-colors"}


def colors(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    address = reverse("choosing-colors", args=[key])
    if request.method == "POST":
        fewer = request.POST.get("repeats")
        try:
            made = (
                narrowed(snapshot, key, fewer)
                if fewer
                else recolor(snapshot, key, request.POST.getlist("yarn"))
            )
        except BadInput as error:
            return refuse(request, error.line(), address, 422)
        if made is None:
            return gone(request, address)
        then = _THEN.get("colors" if fewer else request.POST.get("then", ""), "warps-plan")
        return take(request, snapshot, key, *made, reverse(then, args=[key]))
    page = colors_page(snapshot, key, address, request.GET.dict())
    shown = {
        "title": _("Colors"),
        "entry": entry,
        "page": page,
        "changes": history.of_record("warps", key, 3),
        "step": "colors",
    }
    wrong = page.form.wrong and not request.htmx  # type: ignore[attr-defined]
    return render(request, "choosing/colors.html", shown, status=422 if wrong else 200)


@require_GET
def cloth(request: HttpRequest, key: str) -> HttpResponse:
    """The cloth of one choice."""
    snapshot = current_snapshot()
    entry_or_404(snapshot, "warps", key)
    try:
        made = recolor(snapshot, key, request.GET.getlist("yarn"))
        png = None if made is None else cloth_of(snapshot, made[1])
    except BadInput:
        png = None
    if png is None:
        raise Http404
    response = HttpResponse(png, "image/png")
    response["Cache-Control"] = "private, max-age=604800, immutable"
    return response

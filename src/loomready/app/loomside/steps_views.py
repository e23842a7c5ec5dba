"""The owner's page of steps received: what each device sent, to remove it and to put it back."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from loomready.app.changes.saving import refuse
from loomready.app.loomside import remove_steps
from loomready.problems import BadInput

BACK = "loomside-steps"


@require_GET
def steps(request: HttpRequest) -> HttpResponse:
    shown = {
        "title": _("Steps received"),
        "until": remove_steps.latest(),
        "devices": remove_steps.groups(),
        "jobs": remove_steps.groups("warp", "job"),
        "removed": remove_steps.batches(),
    }
    return render(request, "loomside/steps.html", shown)


@require_POST
def remove(request: HttpRequest) -> HttpResponse:
    """Removes only what the page showed: steps that came since stay."""
    posted = request.POST
    which: dict[str, str | int | None] = {name: posted[name] for name in ("warp", "job") if posted.get(name)}
    device = _number(posted.get("device", ""))
    which |= {"who": posted.get("who", ""), "device": device}
    try:
        remove_steps.remove(_number(posted.get("until", "")) or 0, **which)
    except BadInput as error:
        return refuse(request, error.line(), BACK)
    return redirect(BACK)


@require_POST
def back(request: HttpRequest) -> HttpResponse:
    try:
        remove_steps.put_back(_number(request.POST.get("batch", "")) or 0)
    except BadInput as error:
        return refuse(request, error.line(), BACK)
    return redirect(BACK)


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 16 else None

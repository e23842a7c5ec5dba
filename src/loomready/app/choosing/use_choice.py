"""Writes a choice into the plan: the warp's record changed in one undoable change."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from loomready.app.changes import change_guard
from loomready.app.changes.saving import clash, entry_or_404, refuse, version_of, who
from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot
from loomready.app.warps import planning
from loomready.model.guild import WarpOrder
from loomready.problems import BadInput
from loomready.warp.remedies import changed


def take(
    request: HttpRequest, snapshot: Snapshot, key: str, before: WarpOrder, after: WarpOrder, then: str
) -> HttpResponse:
    """Write what differs; then answer with the page ``then``, with both versions, or with the reason why
    not."""
    entry = entry_or_404(snapshot, "warps", key)
    back = reverse("warps-plan", args=[key])
    made = planning.changed_table(snapshot, before, entry.fields, changed(before, after))
    if change_guard.against(snapshot, key, made) is not None:
        return refuse(request, _("This warp is already wound; your choice does not fit it."), back)
    try:
        store.write("warps", key, made, version=version_of(request) or 0, who=who(request))
    except store.Conflict as conflict:
        return clash(request, "warps", key, made, conflict)
    except BadInput as error:
        return refuse(request, error.line(), back, 422)
    return redirect(then)


def gone(request: HttpRequest, back: str) -> HttpResponse:
    """The choice no longer exists."""
    return refuse(request, _("The shelf has changed in the meantime; check it again."), back)

"""Use a draft for a warp: for a new one, or for one that is planned already."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.changes import change_guard as wound
from loomready.app.changes.saving import clash, entry_or_404, refuse, version_of, who
from loomready.app.drafts import save_draft
from loomready.app.forms import fields, form_check, samples_form
from loomready.app.forms.piece_form import BODY, HEMS, without_weave
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot, current_snapshot
from loomready.app.warps import planning
from loomready.app.workshop import draft_version
from loomready.draft.draft import Draft
from loomready.model.guild import WarpOrder


@dataclass(frozen=True, slots=True)
class WarpChoice:
    """A warp that may use the draft. ``says``: why it cannot, or what changes."""

    order: WarpOrder
    loom: str
    version: int
    says: str
    level: str
    wound: bool


def put(request: HttpRequest, key: str) -> HttpResponse:
    """Choose a warp; POST uses the draft for it, with its yarns fitted to the draft's colors."""
    snapshot = current_snapshot()
    found = draft_version.seen(request, snapshot, key) if request.method != "POST" else None
    if request.method == "POST":
        return _onto(request, snapshot, key)
    assert found is not None
    draft = snapshot.drafts[key]
    return render(
        request,
        "workshop/warp.html",
        {"title": _("Use for a warp"), "seen": found, "choices": _choices(snapshot, key, draft)},
    )


def _choices(snapshot: Snapshot, key: str, draft: Draft) -> list[WarpChoice]:
    made = []
    for order in snapshot.guild.warps:
        entry = snapshot.entry("warps", order.key)
        if entry is None:
            continue
        loom = snapshot.guild.loom(order.loom)
        table = _table(snapshot, entry.fields, key)
        against = wound.against(snapshot, order.key, table)
        if order.draft == key:
            says, level = _("Already used for this warp."), "done"
        elif draft.shafts > loom.draft_shafts:
            says = _("It needs %(needs)d shafts; the loom has %(has)d.")
            says, level = says % {"needs": draft.shafts, "has": loom.draft_shafts}, "warn"
        elif against is not None:
            says, level = _("This warp is already wound for another draft."), "warn"
        else:
            more = sum(
                len(table[f"{side}_yarns"]) - len(had)
                for side, had in (("warp", order.warp_yarns), ("weft", order.weft_yarns))
                if f"{side}_yarns" in table
            )
            says, level = _colors(more), ""
            if any("draft" in old and "draft" not in new for old, new in _pieces(entry, table)):
                says += " " + _("Pieces with their own draft are woven with this one.")
        made.append(WarpChoice(order, loom.name, entry.version, says, level, against is not None))
    return made


def _pieces(entry: Entry, table: dict[str, Any]) -> Iterable[tuple[dict[str, Any], dict[str, Any]]]:
    return zip(entry.fields.get("items", ()), table["items"], strict=True)


def _colors(more: int) -> str:
    if more > 0:
        return ngettext("It needs %d more yarn.", "It needs %d more yarns.", more) % more
    if more < 0:
        return ngettext("It needs %d fewer yarn.", "It needs %d fewer yarns.", -more) % -more
    return _("The same number of yarns.")


def _table(snapshot: Snapshot, table: dict[str, Any], key: str) -> dict[str, Any]:
    """The warp's table with the draft. A piece and its hems keep drafts of their own threaded the same."""

    def alike(other: str) -> bool:
        return np.array_equal(snapshot.drafts[other].threading, snapshot.drafts[key].threading)

    items = []
    for item in table.get("items", ()):
        gone = [own for own in (BODY, HEMS) if own.draft in item and not alike(item[own.draft])]
        items.append(without_weave(item, *gone))
    made = {**table, "draft": key, "items": items}
    if samples_form.NAME in table:
        made[samples_form.NAME] = samples_form.on_draft(snapshot, made, alike, snapshot.drafts)
    return save_draft.fitted(snapshot, made, key, snapshot.drafts[key])


def _onto(request: HttpRequest, snapshot: Snapshot, key: str) -> HttpResponse:
    warp = entry_or_404(snapshot, "warps", request.POST.get("warp", ""))
    entry_or_404(snapshot, "drafts", key)
    back = f"/drafts/{key}/warp"
    made = _table(snapshot, warp.fields, key)
    if request.POST.get("as") == "another":
        made = wound.another(snapshot, warp.key, made)
    elif wound.against(snapshot, warp.key, made) is not None:
        return refuse(request, _("This warp is already wound for another draft."), back)
    name = made["key"]
    form = fields.Form()
    if not (form_check.check("warps", made, form) and planning.tried(snapshot, name, made, form)):
        return refuse(request, form.error, back, 422)
    version = None if name != warp.key else version_of(request) or 0
    try:
        store.write("warps", name, made, version=version, who=who(request))
    except store.Conflict as conflict:
        return clash(request, "warps", name, made, conflict)
    return redirect("warps-plan", key=name)

"""Saves a found draft, and uses it for the warp it was found for, in one change."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from django.utils.translation import gettext as _

from loomready.app.changes import change_guard
from loomready.app.choosing.find_form import main_yarns
from loomready.app.drafts.save_draft import free_key, text_of
from loomready.app.forms import samples_form, yarns_for_draft
from loomready.app.forms.piece_form import BODY, HEMS, with_yarns, without_weave
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot
from loomready.choose.drafts.columns import DraftOffer
from loomready.choose.drafts.finding import as_file, evened
from loomready.draft.draft import Draft
from loomready.model.guild import Loom


@dataclass(frozen=True, slots=True)
class Writes:
    """What taking an offer changes: the draft's ``key``, the warp's ``table`` if there is one; as writes."""

    key: str
    table: dict[str, Any] | None
    all: tuple[store.Write, ...]


def writes(
    snapshot: Snapshot, offer: DraftOffer, loom: Loom | None, warp: str, version: int | None, *, tabby: bool
) -> Writes:
    """The offer's draft among the drafts, and the warp on it if one is named.

    :param tabby: on a loom with treadles, tabby's are tied up too
    :raises BadInput: the draft cannot be written
    """
    entry, planned = snapshot.entry("warps", warp), snapshot.plan_of(warp)
    before = None if planned is None else snapshot.drafts[planned.order.draft]
    draft = as_file(offer, on_treadles=loom is not None and loom.free_treadles > 0, tabby=tabby)
    if before is not None and not offer.own and np.array_equal(before.threading, draft.threading):
        draft = _in_its_colors(draft, before)
    elif not offer.own:
        draft = evened(draft)
    key = offer.own or free_key(snapshot, draft.title or offer.made_of)
    made: list[store.Write] = [] if offer.own else [("drafts", key, {"wif": text_of(draft)}, None)]
    table = None
    if entry is not None and before is not None:
        table = _onto(snapshot, dict(entry.fields), key, draft, before)
        made.append(("warps", warp, table, version or entry.version))
    return Writes(key, table, tuple(made))


def against_wound(snapshot: Snapshot, made: Writes, warp: str) -> str:
    """Why a wound warp cannot use this draft; "" where it can."""
    if made.table is None:
        return ""
    added = {
        ("drafts", key): Entry("drafts", key, 0, fields)
        for kind, key, fields, _version in made.all
        if kind == "drafts"
    }
    found = change_guard.against(Snapshot({**snapshot.entries, **added}), warp, made.table)
    if found is None:
        return ""
    differs = "; ".join(
        _("%(what)s: now %(done)s, this draft needs %(wanted)s")
        % {"what": line.label, "done": line.done, "wanted": line.wanted}
        for line in found.lines
    )
    return _(
        "This warp is already %(step)s, and this draft does not fit it. %(differs)s. Search for "
        "one “on the same threading”, or use the draft for a new warp."
    ) % {"step": found.step, "differs": differs}


def _in_its_colors(draft: Draft, before: Draft) -> Draft:
    """The draft with the warp's colors as they are on the loom, and one of its own for the weft."""
    color = int(np.bincount(before.weft_colors).argmax())
    weft = np.full(draft.picks, color, np.int16)
    return replace(draft, palette=before.palette, warp_colors=before.warp_colors.copy(), weft_colors=weft)


def _onto(snapshot: Snapshot, table: dict[str, Any], key: str, draft: Draft, before: Draft) -> dict[str, Any]:
    """The warp's table on another draft, in its main yarns, or in more where the draft has more colors."""
    same_threading = np.array_equal(before.threading, draft.threading)
    of_ends, of_picks = main_yarns(table, before)
    chosen = {"warp": table.get("warp_yarns") if same_threading else (of_ends,), "weft": (of_picks,)}
    made = table | {"draft": key}
    for side, yarns in chosen.items():
        if f"{side}_yarns" not in table:
            continue  # stripes stay as they are, whatever colors the draft has
        made[f"{side}_yarns"] = list(
            yarns_for_draft.fit(yarns, yarns_for_draft.colors(draft, side), snapshot)
        )
    if not same_threading:
        made.pop("repeat_ends", None)
    # Pieces with their own draft were made for the earlier threading and yarns; hems for the threading.
    gone = (BODY,) if same_threading else (BODY, HEMS)
    made["items"] = [with_yarns(snapshot, made, without_weave(item, *gone)) for item in table["items"]]
    if samples_form.NAME in table:
        drafts = {**snapshot.drafts, key: draft}
        made[samples_form.NAME] = samples_form.on_draft(
            snapshot, made, lambda own: np.array_equal(drafts[own].threading, draft.threading), drafts
        )
    return made

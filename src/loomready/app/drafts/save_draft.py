"""Saves a draft made in the workshop, as another draft or as a new version of one.

Warps planned from a draft follow it: if it has more or fewer colors than before, their yarns are
fitted in the same change, so that one undo reverses both.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from loomready.app.changes import change_guard
from loomready.app.drafts.draft_yarns import SIDES, carried
from loomready.app.forms import fields, samples_form
from loomready.app.forms.piece_form import BODY, HEMS, Own, with_yarns
from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot, parsed
from loomready.draft.draft import Draft
from loomready.draft.wif import writer
from loomready.phrases import phrase
from loomready.problems import BadInput


def text_of(draft: Draft) -> str:
    """The draft's text for its record, checked to read back the same.

    :raises BadInput: what is written would not be read
    """
    text = writer.dumps(draft).decode()
    parsed(text)
    return text


def free_key(snapshot: Snapshot, name: str) -> str:
    """A path of the drafts' folder that no draft has, made of a name."""
    taken = {entry.key.removeprefix("drafts/").removesuffix(".wif") for entry in snapshot.of_kind("drafts")}
    return f"drafts/{fields.slug(name, taken)}.wif"


def another(snapshot: Snapshot, draft: Draft, name: str, who: str) -> str:
    """Save it as another draft under a name; its key.

    :raises BadInput: no name
    """
    title = fields.one_line(name)[: fields.MOST_NAME]
    if not title:
        raise BadInput(phrase("a name is missing; expected a name for this draft"), where="name")
    key = free_key(snapshot, title)
    store.write("drafts", key, {"wif": text_of(replace(draft, title=title))}, version=None, who=who)
    return key


def copied(snapshot: Snapshot, key: str, who: str) -> str:
    """Save the draft once more under the next free name; the key of the copy."""
    title = fields.numbered(snapshot.name("drafts", key), snapshot.names("drafts").values())
    return another(snapshot, snapshot.drafts[key], title, who)


def version(
    snapshot: Snapshot,
    key: str,
    draft: Draft,
    number: int | None,
    who: str,
    warps: Mapping[str, dict[str, Any]] | None = None,
    ground: str = "",
    *,
    sure: bool = False,
) -> None:
    """Save it as the next version of the draft; the earlier one stays in the history.

    ``warps``: tables of warps, by key, that change with it; ``ground``: the yarn of an added weft color.

    :param sure: change it also where warps in progress contradict it
    :raises Conflict: changed in the meantime; :raises BadInput: the guild would not be valid
    :raises InProgress: it contradicts what is done of a warp
    """
    made = text_of(draft)
    writes: list[store.Write] = [("drafts", key, {"wif": made}, number or 0)]
    writes += _fitted_warps(snapshot, key, parsed(made).draft, warps or {}, ground)
    if not sure and (touched := change_guard.touched_by(snapshot, [each[:3] for each in writes])):
        raise change_guard.InProgress(touched)
    store.write_together(writes, who=who)


def _fitted_warps(
    snapshot: Snapshot, key: str, draft: Draft, warps: Mapping[str, dict[str, Any]], ground: str
) -> Iterable[store.Write]:
    for entry in snapshot.of_kind("warps"):
        table = fitted(snapshot, warps.get(entry.key, entry.fields), key, draft, snapshot.drafts[key], ground)
        if table != entry.fields:
            yield "warps", entry.key, table, entry.version


def fitted(
    snapshot: Snapshot,
    table: dict[str, Any],
    key: str,
    draft: Draft,
    before: Draft | None = None,
    ground: str = "",
) -> dict[str, Any]:
    """A warp's table with a yarn for each color of the draft ``key``, if it is planned from that draft.

    ``before``, ``ground``: as in :func:`loomready.app.drafts.draft_yarns.carried`
    """
    made = dict(table)
    had = {side: made.get(f"{side}_yarns", ()) for side in SIDES}
    if made.get("draft") == key:
        for side in SIDES:
            if f"{side}_yarns" not in made:
                continue  # in stripes
            made[f"{side}_yarns"] = carried(snapshot, before, draft, side, had, ground)
        run = made.get("repeat_ends")
        if run and run[1] > draft.ends:
            del made["repeat_ends"]
    drafts = {**snapshot.drafts, key: draft}

    def follows(row: dict[str, Any], own: Own, cloth: Any) -> dict[str, Any]:
        """A piece, its hems or a part of the sample with the yarns of its own, if it weaves this draft."""
        if own.yarns not in row or row.get(own.draft, cloth) != key:
            return row
        yarns = {"warp": had["warp"], "weft": row[own.yarns]}
        return {**row, own.yarns: carried(snapshot, before, draft, "weft", yarns, ground)}

    cloth = made.get("draft")
    if "items" in made:
        bodies = [follows(item, BODY, cloth) for item in made["items"]]
        items = [follows(item, HEMS, item.get("draft", cloth)) for item in bodies]
        made["items"] = [with_yarns(snapshot, made, item, drafts=drafts) for item in items]
    if samples_form.NAME in made:
        made[samples_form.NAME] = [follows(row, BODY, cloth) for row in made[samples_form.NAME]]
        made[samples_form.NAME] = samples_form.on_draft(snapshot, made, lambda own: True, drafts)
    return made

"""The fields of one piece on the planning page: its size, its weave and its hems."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.forms import bands_form, fields, stripes_form
from loomready.app.forms.yarns_for_draft import colors, fit
from loomready.app.state.snapshot import Snapshot
from loomready.draft.draft import Draft
from loomready.guildfile.kinds import SOME_LENGTH
from loomready.guildfile.warp_schema import ITEMS

FINISHED = ("twisted_fringe", "twist", "sewn")
IN_ROW = {
    "draft": gettext_lazy("Draft"),
    "weft_yarns-1": gettext_lazy("Weft"),
    "ppi": gettext_lazy("Picks"),
}
SIZE = ("finished_length", "count", "hem", "fringe")


@dataclass(frozen=True, slots=True)
class Own:
    """The keys for the own weave of a piece, or of its hems."""

    prefix: str

    @property
    def draft(self) -> str:
        return f"{self.prefix}draft"

    @property
    def yarns(self) -> str:
        return f"{self.prefix}weft_yarns"

    @property
    def ppi(self) -> str:
        return f"{self.prefix}ppi"

    @property
    def strands(self) -> str:
        return f"{self.prefix}weft_strands"

    def weave(self, warp: Mapping[str, Any], item: Mapping[str, Any]) -> tuple[str, list[str]]:
        """The key of the draft and the weft yarns of an item's table."""
        before = (warp.get("draft", ""), list(warp.get("weft_yarns", ())))
        if self.prefix:
            before = BODY.weave(warp, item)
        return item.get(self.draft, before[0]), list(item.get(self.yarns, before[1]))


BODY = Own("")
HEMS = Own("hem_")


STRIPES = "weft_stripes"


def fields_of(
    snapshot: Snapshot,
    warp: Mapping[str, Any],
    item: Mapping[str, Any],
    prefix: str,
    posted: Mapping[str, str] | None = None,
    *,
    several: bool = False,
) -> fields.Form:
    """The fields of one item; those that few pieces need are under a heading to open.

    :param several: there are others: its draft, weft and picks stand in its row

    :param posted: what was just posted, as for :func:`warp_form.form_of`
    """
    form = fields.make("items", SIZE, item, snapshot.guild.units, prefix)
    more = fields.make("items", ("header", *FINISHED), item, snapshot.guild.units, prefix)
    for own, silence in ((HEMS, _("as the piece")), (BODY, _("like the warp"))):
        more.fields.update(_own_fields(snapshot, warp, item, own, prefix, silence, posted).fields)
    more.fields[prefix + bands_form.KEY] = bands_form.field_of(
        item, prefix, fields.unit_of(SOME_LENGTH, snapshot.guild.units)
    )
    if several:
        _to_the_row(form, more, prefix, fields.as_text(warp.get("ppi")))
    names = list(more.fields)
    said = any(each.text and not each.text.startswith("0 ") for each in more)
    more.change(names[0], opens=_("Header, hems, weave of its own"), is_open=said)
    more.change(names[-1], closes=True)
    form.fields.update(more.fields)
    return form


def _to_the_row(form: fields.Form, more: fields.Form, prefix: str, ppi: str) -> None:
    """Draft, weft and picks of a piece stand in its row, after its length and number; several wefts don't."""
    after = {name: form.fields.pop(prefix + name) for name in SIZE[2:]}
    one_weft = f"{prefix}{BODY.yarns}-2" not in more.fields
    for name, label in IN_ROW.items():
        own = more.fields.get(prefix + name)
        if own is None or (name == f"{BODY.yarns}-1" and not one_weft):
            continue
        if own.begins is not None:  # its button stays where there is room for it
            more.change(prefix + BODY.strands, begins=own.begins)
        form.fields[prefix + name] = replace(more.fields.pop(prefix + name), label=label, begins=None)
    form.change(prefix + BODY.ppi, placeholder=ppi)
    form.fields.update({prefix + name: each for name, each in after.items()})


def _own_fields(
    snapshot: Snapshot,
    warp: Mapping[str, Any],
    item: Mapping[str, Any],
    own: Own,
    prefix: str,
    silence: str,
    posted: Mapping[str, str] | None,
) -> fields.Form:
    form = fields.make("items", (own.draft,), item, snapshot.guild.units, prefix)
    drafts = (("", silence), *_drafts_for(snapshot, warp, item.get(own.draft, "")))
    form.change(prefix + own.draft, kind="choice", choices=drafts)
    key, _yarns = own.weave(warp, item)
    chosen = list(item.get(own.yarns, ()))
    label = fields.label_of("items", own.yarns)
    if own is BODY and STRIPES in item:
        form.fields.update(stripes_form.shown(snapshot, item[STRIPES], prefix + STRIPES, posted).fields)
        wanted = 0
    else:
        wanted = colors(snapshot.drafts[key], "weft") if key in snapshot.drafts else 0
    for number in range(1, wanted + 1):
        name = f"{prefix}{own.yarns}-{number}"
        text = chosen[number - 1] if number <= len(chosen) else ""
        yarns = (("", silence), *((yarn.key, yarn.name) for yarn in snapshot.guild.yarns))
        form.fields[name] = fields.Field(name, label % number, text, "choice", choices=yarns)
        if own is BODY and number == wanted:
            form.change(name, begins=stripes_form.Begin(prefix + STRIPES))
    form.fields.update(
        fields.make("items", (own.ppi, own.strands), item, snapshot.guild.units, prefix).fields
    )
    form.change(prefix + own.ppi, placeholder=silence)
    form.change(prefix + own.strands, placeholder=silence)
    return form


def _drafts_for(snapshot: Snapshot, warp: Mapping[str, Any], chosen: str) -> Iterator[tuple[str, str]]:
    """Drafts that are threaded as the warp's is, and the one chosen."""
    main = snapshot.drafts.get(warp.get("draft", ""))
    for key, title in snapshot.names("drafts").items():
        draft = snapshot.drafts[key]
        if key == chosen or (main is not None and np.array_equal(draft.threading, main.threading)):
            yield key, title


def table_of(
    snapshot: Snapshot,
    form: fields.Form,
    warp: Mapping[str, Any],
    before: Mapping[str, Any],
    prefix: str,
    posted: Mapping[str, str],
) -> dict[str, Any]:
    """An item's table as the form says it; ``warp``: the warp's table, its own draft and yarns read."""
    plain = {name: each for name, each in form.fields.items() if name != prefix + bands_form.KEY}
    own_fields = fields.Form(plain)
    made = fields.table("items", own_fields, before, prefix)
    form.fields.update(own_fields.fields)
    made.pop(STRIPES, None)
    made.pop(bands_form.KEY, None)
    bands = bands_form.taken(form, prefix)
    if bands:
        made[bands_form.KEY] = bands
    there = BODY.weave(warp, made)[1] or [row["yarn"] for row in warp.get(STRIPES, ())]
    rows = stripes_form.taken(form, posted, prefix + STRIPES, there)
    if rows:
        made[STRIPES] = rows
    for own in (BODY, HEMS):
        start = f"{prefix}{own.yarns}-"
        chosen = [each.text for name, each in form.fields.items() if name.startswith(start)]
        made.pop(own.yarns, None)
        if any(chosen) and not (own is BODY and rows):
            _key, silent = own.weave(warp, made)
            made[own.yarns] = [
                key or (silent[place] if place < len(silent) else "") for place, key in enumerate(chosen)
            ]
        made = with_yarns(snapshot, warp, made, own)
    return in_order(made)


def with_yarns(
    snapshot: Snapshot,
    warp: Mapping[str, Any],
    item: Mapping[str, Any],
    own: Own = HEMS,
    drafts: Mapping[str, Draft] | None = None,
) -> dict[str, Any]:
    """The item's table with as many weft yarns of its own as its draft has colors, where they do not fit."""
    made, drafts = dict(item), drafts or snapshot.drafts
    key, yarns = own.weave(warp, made)
    if key not in drafts or not ({own.draft, own.yarns} & made.keys()):
        return made
    if own.yarns not in made and _in_stripes(warp, made):
        return made  # stripes say the yarns, whatever colors the draft has
    wanted = colors(drafts[key], "weft")
    if len(yarns) != wanted or "" in yarns:
        made[own.yarns] = list(fit([each for each in yarns if each], wanted, snapshot))
    return made


def _in_stripes(warp: Mapping[str, Any], item: Mapping[str, Any]) -> bool:
    """Whether the body of an item is woven in weft stripes, its own or the warp's."""
    return STRIPES in item or (STRIPES in warp and BODY.yarns not in item)


def without_weave(item: Mapping[str, Any], *owns: Own) -> dict[str, Any]:
    """The item's table without drafts and yarns of its own."""
    gone = {name for own in owns for name in (own.draft, own.yarns)}
    gone |= {STRIPES} if BODY in owns else set()
    return {name: value for name, value in item.items() if name not in gone}


def in_order(item: Mapping[str, Any]) -> dict[str, Any]:
    return {key.name: item[key.name] for key in ITEMS.keys if key.name in item}

"""The part of the planning page's form for a sample in parts: a row for each, with weft, length and picks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.translation import gettext as _

from loomready.app.forms import fields, stripes_form
from loomready.app.forms.piece_form import BODY, with_yarns
from loomready.app.forms.yarns_for_draft import colors
from loomready.app.state.snapshot import Snapshot
from loomready.draft.draft import Draft

NAME = "samples"
Row = dict[str, Any]
PARTS = ("length", "ppi", "weft_strands")


def fields_of(
    snapshot: Snapshot, table: Mapping[str, Any], posted: Mapping[str, str] | None = None
) -> fields.Form:
    """The fields of the sample's parts after what was just asked of them."""
    form, rows = fields.Form(), table.get(NAME, ())
    tags = stripes_form.tags(len(rows), stripes_form.moved(posted or {}, NAME, len(rows)))
    shades = {yarn.key: yarn.color for yarn in snapshot.guild.yarns}
    silence = (("", _("like the warp")), *((yarn.key, yarn.name) for yarn in snapshot.guild.yarns))
    for number, row in enumerate(rows, 1):
        prefix, own = f"{NAME}-{number}-", list(row.get("weft_yarns", ()))
        made = fields.Form()
        for place in range(1, max(1, _wefts(snapshot, table, row)) + 1):
            name = f"{prefix}weft_yarns-{place}"
            text = own[place - 1] if place <= len(own) else ""
            label = _("Sample %(number)d: weft %(place)d") % {"number": number, "place": place}
            made.fields[name] = fields.Field(name, label, text, "choice", choices=silence)
        made.fields.update(fields.make(NAME, PARTS, row, snapshot.guild.units, prefix).fields)
        for part, label, hint in (
            ("length", _("Sample %d: length"), _("length")),
            ("ppi", _("Sample %d: picks"), _("picks")),
            ("weft_strands", _("Sample %d: strands of weft in each pick"), _("strands")),
        ):
            made.change(prefix + part, label=label % number, placeholder=hint)
        for name in made.fields:
            opens, closes = name == next(iter(made.fields)), name == prefix + PARTS[-1]
            color = shades.get(own[0]) if own else None
            row_of = stripes_form.Place(NAME, number, len(rows), tags[number - 1], opens, closes, color)
            made.change(name, row=row_of)
        form.fields.update(made.fields)
    return form


def taken(
    snapshot: Snapshot,
    form: fields.Form,
    before: Mapping[str, Any],
    posted: Mapping[str, str],
    single: str | None,
) -> list[Row]:
    """The sample's parts that the form and its buttons say; none where the sample is one.

    :param single: the length of a sample that is one so far
    """
    what, _place, _tag = stripes_form.asked(posted, NAME)
    if what == "end":
        return []
    rows = [_row(form, row, number) for number, row in enumerate(before.get(NAME, ()), 1)]
    if rows:
        return stripes_form.done(rows, posted, NAME)
    if what != "begin":
        return []
    usual = "4 in" if snapshot.guild.units == "us" else "10 cm"
    return [{"length": single or usual}]


def on_draft(
    snapshot: Snapshot,
    table: Mapping[str, Any],
    keeps: Callable[[str], bool],
    drafts: Mapping[str, Draft],
) -> list[Row]:
    """The sample's parts after the warp's draft changed, each with a yarn for each color of its draft.

    :param table: the warp's table with its new draft
    :param keeps: whether a part may keep this draft of its own: it is threaded as the new one
    """
    rows = [
        {name: value for name, value in row.items() if name != "draft" or keeps(value)}
        for row in table.get(NAME, ())
    ]
    return [with_yarns(snapshot, table, row, BODY, drafts) for row in rows]


def _row(form: fields.Form, before: Row, number: int) -> Row:
    prefix = f"{NAME}-{number}-"
    made = fields.table(NAME, form, before, prefix)
    start = f"{prefix}weft_yarns-"
    chosen = [each.text for name, each in form.fields.items() if name.startswith(start)]
    made.pop("weft_yarns", None)
    if all(chosen):
        made["weft_yarns"] = chosen
    return made


def _wefts(snapshot: Snapshot, table: Mapping[str, Any], row: Row) -> int:
    draft = snapshot.drafts.get(row.get("draft") or table.get("draft", ""))
    return 1 if draft is None else colors(draft, "weft")

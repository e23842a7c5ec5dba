"""The planning page's form: a warp's table in fields, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.forms import fields, piece_form, samples_form, second_form, stripes_form
from loomready.app.forms.quantity_step import step
from loomready.app.forms.yarns_for_draft import colors, fit
from loomready.app.i18n.loom_size import shafts_of
from loomready.app.state.snapshot import Snapshot
from loomready.model.guild import DONE_SINCE_WOUND

MAIN = ("loom", "draft", "finished_width", "sett", "firmness", "ppi")
ALLOWANCES = (
    "take_up",
    "draw_in",
    "shrink_length",
    "shrink_width",
    "weft_take_up",
    "ends_per_heddle",
    "weft_strands",
    "sample",
    "fringe_in_waste",
    "reserve",
    "floating_selvedges",
    "selvedge_ends",
    "selvedge_ends_per_heddle",
    "repeat_ends",
    "layers",
    "double_cloth",
    "fold_left_out",
    "fold_sley",
    "reed",
    "sley",
    "max_bout_ends",
    "sectional",
    "tied_to",
    "tied_waste",
    "second_yarns",
    "second_kind",
    "second_take_up",
    "second_cut",
    "second_woven",
    "second_tension",
    "second_weighted",
    "second_wound_length",
    "mix_lots",
    "wound_length",
    "wound",
    "off",
)
_STEPPED = ("finished_width", "finished_length", "ppi", "sett", "count")


LISTS = {"warp": "stripes", "weft": "weft_stripes"}


def form_of(
    snapshot: Snapshot, table: Mapping[str, Any], posted: Mapping[str, str] | None = None
) -> fields.Form:
    """The form for a warp's table; yarns as many as its draft has colors, or a row for each stripe.

    :param posted: what was just asked: a row that moved keeps its buttons
    """
    system = snapshot.guild.units
    form = fields.make("warps", MAIN, table, system)
    looms = tuple((loom.key, f"{loom.name} · {shafts_of(loom)}") for loom in snapshot.guild.looms)
    titles = snapshot.names("drafts").items()
    drafts = tuple((key, f"{title} · {_shafts(snapshot.drafts[key].shafts)}") for key, title in titles)
    form.change("loom", kind="choice", choices=looms)
    if table.get("looms"):
        form.change("loom", text=table["looms"][0])
    form.change("draft", kind="choice", choices=drafts)
    form.change("firmness", help=_("share of the maximum sett, to calculate the sett"))
    yarns = tuple((yarn.key, yarn.name) for yarn in snapshot.guild.yarns)
    draft = snapshot.drafts.get(table.get("draft", ""))
    for side, label in (("warp", _("Warp yarn %d")), ("weft", _("Weft yarn %d"))):
        stripes = LISTS[side]
        if stripes in table:
            form.fields.update(stripes_form.shown(snapshot, table[stripes], stripes, posted).fields)
            if side == "warp":
                mirrored = fields.make("warps", ("stripes_mirrored",), table, system)
                form.fields.update(mirrored.fields)
        elif draft is not None:
            chosen = fit(table.get(f"{side}_yarns", ()), colors(draft, side), snapshot)
            for number, key in enumerate(chosen, 1):
                name = f"{side}_yarns-{number}"
                form.fields[name] = fields.Field(name, label % number, key, "choice", choices=yarns)
            if chosen:
                form.change(f"{side}_yarns-{len(chosen)}", begins=stripes_form.Begin(stripes))
    pieces = table.get("items", ())
    for number, item in enumerate(pieces, 1):
        made = piece_form.fields_of(
            snapshot, table, item, f"items-{number}-", posted, several=len(pieces) > 1
        )
        of = _("Piece %d: ") % number if len(pieces) > 1 else ""
        for name, each in made.fields.items():
            form.fields[name] = replace(each, of=of)
    form.fields.update(fields.make("warps", ALLOWANCES, table, system).fields)
    if samples_form.NAME in table:
        parts = samples_form.fields_of(snapshot, table, posted).fields
        there = form.fields.items()
        form.fields = {
            key: each
            for name, field in there
            for key, each in (parts if name == "sample" else {name: field}).items()
        }
    else:
        form.change("sample", begins=stripes_form.Begin(samples_form.NAME))
    reeds = (("", _("the best one")), *((reed.key, reed.name) for reed in snapshot.guild.reeds))
    form.change("reed", kind="choice", choices=reeds)
    form.change("tied_to", kind="choice", choices=_old_warps(snapshot, table))
    folded = (("", _("cloth of one width")), *form["double_cloth"].choices)
    form.change("double_cloth", choices=folded)
    second_form.shown(snapshot, form, table)
    for name in form.fields:
        stepped = name.rsplit("-", 1)[-1] in _STEPPED and form[name].row is None
        form.change(name, steps=stepped)
    return form


@dataclass(slots=True)
class Groups:
    """The fields of the form as the page groups them: of the warp, of each piece, and what few warps need."""

    warp: list[fields.Field] = field(default_factory=list)
    pieces: list[list[fields.Field]] = field(default_factory=list)
    more: list[fields.Field] = field(default_factory=list)


def groups_of(form: fields.Form) -> Groups:
    """The fields of a form of :func:`form_of`, grouped."""
    made = Groups()
    for each in form:
        part, _sep, rest = each.name.partition("-")
        if part == "items":
            number = int(rest.partition("-")[0])
            if number > len(made.pieces):
                made.pieces.append([])
            made.pieces[number - 1].append(each)
        elif made.pieces:
            made.more.append(each)
        else:
            made.warp.append(each)
    return made


def _old_warps(snapshot: Snapshot, table: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """What a warp can be tied on to: the other warps of its loom."""
    on_loom = (each.key for each in snapshot.guild.warps if each.loom == table.get("loom"))
    others = dict.fromkeys((*on_loom, *filter(None, [table.get("tied_to")])))
    return (
        ("", _("no other warp")),
        *((key, snapshot.name("warps", key)) for key in others if key != table.get("key")),
    )


def _shafts(count: int) -> str:
    return ngettext("%d shaft", "%d shafts", count) % count


def take(form: fields.Form, posted: Mapping[str, str]) -> None:
    """What was typed, with a press on a step button done."""
    fields.take(form, posted)
    name, _sep, direction = posted.get("step", "").partition(":")
    if name in form.fields:
        form.change(name, text=step(form[name].text, direction == "up"))
    # Sett and firmness: the one that was just typed counts.
    if form["sett"].text and form["firmness"].text:
        form.change("firmness" if posted.get("changed") == "sett" else "sett", text="")


def table_of(
    snapshot: Snapshot, form: fields.Form, before: Mapping[str, Any], posted: Mapping[str, str]
) -> dict[str, Any]:
    """The warp's table as the form says it."""
    own = fields.Form({name: each for name, each in form.fields.items() if "-" not in name})
    made = fields.table("warps", own, before)
    if made.get("looms"):  # the event chooses, until another loom is chosen here
        made.pop("loom" if made["loom"] == made["looms"][0] else "looms", None)
    for name, each in own.fields.items():
        form.fields[name] = each
    draft = snapshot.drafts.get(made.get("draft", ""))
    for side in ("warp", "weft"):
        name, stripes = f"{side}_yarns", LISTS[side]
        chosen = [each.text for key, each in form.fields.items() if key.startswith(f"{name}-")]
        rows = stripes_form.taken(form, posted, stripes, chosen)
        if rows:
            made.pop(name, None)
            made[stripes] = rows
            continue
        chosen = chosen or [row["yarn"] for row in made.pop(stripes, ()) if "yarn" in row]
        chosen = list(dict.fromkeys(chosen)) if stripes in before else chosen
        made[name] = list(fit(chosen, colors(draft, side), snapshot)) if draft else chosen
    if "stripes" not in made:
        made.pop("stripes_mirrored", None)
    parts = samples_form.taken(snapshot, form, before, posted, made.get("sample"))
    made.pop(samples_form.NAME, None)
    if parts:
        made.pop("sample", None)
        made[samples_form.NAME] = parts
    elif samples_form.NAME in before:
        made["sample"] = before[samples_form.NAME][0]["length"]
    second_form.taken(form, before, made)
    if not made.get("wound") and not made.get("off"):
        for name in DONE_SINCE_WOUND:
            made.pop(name, None)
    items = []
    for number, item in enumerate(before.get("items", ()), 1):
        items.append(piece_form.table_of(snapshot, form, made, item, f"items-{number}-", posted))
    if posted.get("more") == "item" and items:
        items.append(dict(items[-1]))
    if posted.get("less") == "item" and len(items) > 1:
        items.pop()
    return made | {"items": items}

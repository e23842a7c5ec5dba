"""The form of a project record, and the record made from it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.forms import quantity_input
from loomready.app.forms.fields import Field, Form, unit_of
from loomready.app.loomside.project_record import MEASURED, PEOPLE, STEPS, USED, Fields, hours_of
from loomready.app.state.snapshot import Snapshot
from loomready.guildfile.values import Count, Quantity, Value
from loomready.problems import BadInput
from loomready.units import LENGTH_M, near

LABELS: Mapping[str, Any] = {
    "wound_length": gettext_lazy("Warp as wound"),
    "unwoven": gettext_lazy("Fringes and headers"),
    "waste_left": gettext_lazy("Loom waste left, both ends"),
    "fell_width": gettext_lazy("Width at the fell"),
    "tense_length": gettext_lazy("Woven length under tension"),
    "picks_counted": gettext_lazy("Picks counted"),
    "picks_over": gettext_lazy("over a length of"),
    "off_width": gettext_lazy("Width off the loom"),
    "off_length": gettext_lazy("Length off the loom"),
    "washed_width": gettext_lazy("Width after the wet finish"),
    "washed_length": gettext_lazy("Length after the wet finish"),
}
GROUPS: tuple[tuple[Any, Any, tuple[str, ...]], ...] = (
    (
        gettext_lazy("The warp"),
        gettext_lazy("If empty, the first two are as planned."),
        ("wound_length", "unwoven", "waste_left"),
    ),
    (
        gettext_lazy("On the loom"),
        gettext_lazy("Everything woven, with sample and hems, before cutting off."),
        ("fell_width", "tense_length", "picks_counted", "picks_over"),
    ),
    (
        gettext_lazy("Off the loom"),
        gettext_lazy("The same cloth, lying flat, without tension."),
        ("off_width", "off_length"),
    ),
    (
        gettext_lazy("After the wet finish"),
        gettext_lazy("The same again."),
        ("washed_width", "washed_length"),
    ),
)
WORKED: Mapping[str, Any] = {
    "winding": gettext_lazy("Winding"),
    "sleying": gettext_lazy("Sleying"),
    "threading": gettext_lazy("Threading"),
    "beaming": gettext_lazy("Beaming"),
    "tying on": gettext_lazy("Tying on"),
    "weaving": gettext_lazy("Weaving"),
}


@dataclass(frozen=True, slots=True)
class FieldGroup:
    """Some of the form's fields under one heading."""

    title: Any
    fields: tuple[Field, ...]
    note: Any = ""


def form_of(snapshot: Snapshot, plan: Fields, before: Mapping[str, Any]) -> Form:
    """The form, filled from a record (or from nothing)."""
    system = snapshot.guild.units
    form = Form()
    for name, value in MEASURED.items():
        form.fields[name] = Field(
            name=name,
            label=LABELS[name],
            text=str(before.get(name, "")),
            kind="number" if isinstance(value, Count) else "text",
            unit=_unit(name, value, system),
        )
    unit = "yd" if system == "us" else "m"
    short = "in" if system == "us" else "cm"
    form.change("wound_length", placeholder=near(plan["warp_length_m"], LENGTH_M, unit, 2).split()[0])
    form.change("unwoven", placeholder=near(plan["unwoven_m"], LENGTH_M, short, 1).split()[0])
    names = {yarn.key: yarn.name for yarn in snapshot.guild.yarns}
    for side, asked, label in _yarns(plan):
        for number, yarn in enumerate(asked, 1):
            name = f"{side}-{number}"
            form.fields[name] = Field(
                name=name,
                label=label % {"yarn": names.get(yarn, yarn)},
                text=str(before.get(side, {}).get(yarn, "")),
                unit="g",
            )
    for number, step in enumerate(STEPS, 1):
        form.fields[f"hours-{number}"] = Field(
            name=f"hours-{number}",
            label=_("%(step)s, hours") % {"step": WORKED[step]},
            text=str(before.get("hours", {}).get(step, "")),
        )
        form.fields[f"people-{number}"] = Field(
            name=f"people-{number}",
            label=_("%(step)s, people") % {"step": WORKED[step]},
            text=str(before.get("people", {}).get(step, "")),
            kind="number",
            placeholder="1",
        )
    return form


def _unit(name: str, value: Value, system: str) -> str:
    if name in ("wound_length", "tense_length", "off_length", "washed_length"):
        return "yd" if system == "us" else "m"
    return unit_of(value, system)


def _yarns(plan: Fields) -> Iterator[tuple[str, list[str], Any]]:
    yield "warp_used", list(plan["warp_ends"]), _("%(yarn)s, used in winding")
    yield "weft_used", list(plan["weft_yarns"]), _("%(yarn)s, used as weft")


def groups(form: Form, notes: Mapping[str, str]) -> list[FieldGroup]:
    """The form's fields as the page shows them."""
    made = [FieldGroup(title, tuple(form[name] for name in names), note) for title, note, names in GROUPS]
    weighed = tuple(each for each in form if re.match(r"(warp|weft)_used-", each.name))
    made.append(FieldGroup(_("Yarn, weighed before and after"), weighed, notes.get("weighed", "")))
    worked = tuple(each for each in form if re.match(r"(hours|people)-", each.name))
    made.append(FieldGroup(_("Time"), worked))
    return made


def table_of(form: Form, plan: Fields) -> Fields:
    """The form's record; errors go to their fields."""
    made: Fields = {"plan": plan}
    for name, value in MEASURED.items():
        said = _read(form, name, value)
        if said is not None:
            made[name] = said
    if ("picks_counted" in made) != ("picks_over" in made):
        missing = "picks_over" if "picks_counted" in made else "picks_counted"
        if not form[missing].error:
            form.change(missing, error=_("Is missing; picks are counted over a length"))
    for side, asked, _label in _yarns(plan):
        for number, yarn in enumerate(asked, 1):
            said = _read(form, f"{side}-{number}", USED)
            if said is not None:
                made.setdefault(side, {})[yarn] = said
    for number, step in enumerate(STEPS, 1):
        hours, people = form[f"hours-{number}"].text, _read(form, f"people-{number}", PEOPLE)
        if hours:
            made.setdefault("hours", {})[step] = hours
            try:
                hours_of(hours)
            except BadInput as error:
                form.blame(error.at(f"hours-{number}"))
            if people is not None:
                made.setdefault("people", {})[step] = people
    return made


def _read(form: Form, name: str, value: Value) -> Any:
    """What was typed, with its unit, once the codec takes it; None where the field is empty."""
    text = form[name].text
    if not text:
        return None
    said: Any = text
    try:
        if isinstance(value, Quantity):
            said = quantity_input.plain(text, value.kind, form[name].unit)
        elif text.isascii() and text.isdecimal() and len(text) < 10:
            said = int(text)
        value.read(said)
    except BadInput as error:
        form.blame(error.at(name))
    return said

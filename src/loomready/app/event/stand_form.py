"""The forms of what there is on the days of an event: a stand, and a class with its materials."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.event.event_form import day_fields, day_rows, day_typed
from loomready.app.forms.fields import Field, Form
from loomready.app.state.snapshot import Snapshot

Fields = dict[str, Any]
STAND = ("name", "warp", "people", "sign")
LESSON = ("name", "teacher", "places", "spare")
FEWEST_MATERIALS = 3
_PARTS = ("yarn", "thing", "each", "have")
_TOUCH = {"": gettext_lazy("the sign does not say"), "yes": gettext_lazy("yes"), "no": gettext_lazy("no")}


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """The four fields of one material."""

    yarn: Field
    thing: Field
    each: Field
    have: Field

    def __iter__(self) -> Iterator[Field]:
        return iter((self.yarn, self.thing, self.each, self.have))


def add_stand_fields(form: Form, snapshot: Snapshot, before: Mapping[str, Any], rows: int) -> None:
    """What a stand's form has beside its plain fields: its warp, whether to touch, so many rows of hours."""
    warps = tuple((order.key, order.name) for order in snapshot.guild.warps if order.off is None)
    form.change("name", needed=True, placeholder="")
    form.change("warp", label=_("Warp on its loom"), kind="choice", choices=(("", _("none")), *warps))
    form.change("people", label=_("People at once"), help=_("who can demonstrate; 0: nobody has to be there"))
    form.change("sign", label=_("What its sign says"), help=_("empty: facts of the warp's plan"))
    touch = before.get("touch")
    form.fields["touch"] = Field(
        "touch",
        _("May visitors touch?"),
        "" if touch is None else "yes" if touch else "no",
        "choice",
        choices=tuple((value, str(said)) for value, said in _TOUCH.items()),
    )
    for number in range(1, rows + 1):
        day_fields(form, number, before.get("hours", ()), _("from"), _("to"))


def add_lesson_fields(form: Form, snapshot: Snapshot, before: Mapping[str, Any], rows: int) -> None:
    """What a class's form has beside its plain fields: its teacher, its hours, so many rows of materials."""
    people = tuple((each.key, each.name) for each in snapshot.guild.people)
    form.change("name", needed=True, placeholder="")
    form.change("teacher", label=_("Teacher"), kind="choice", choices=(("", _("whoever can teach")), *people))
    form.change("places", label=_("Places"))
    form.change("spare", label=_("Spare"), help=_("more of each material, rounded up"))
    day_fields(form, 1, [before["time"]] if "time" in before else (), _("from"), _("to"), needed=True)
    form.change("day-1", label=_("Day"))
    yarns = (("", ""), *((each.key, each.name) for each in snapshot.guild.yarns))
    there = before.get("materials", ())
    for number in range(1, rows + 1):
        held = there[number - 1] if number <= len(there) else {}
        labels = (_("Yarn"), _("or thing"), _("For each place"), _("There are"))
        for part, label in zip(_PARTS, labels, strict=True):
            name = f"materials-{number}-{part}"
            form.fields[name] = Field(
                name,
                label,
                str(held.get(part, "")),
                "choice" if part == "yarn" else "text",
                choices=yarns if part == "yarn" else (),
                of=_("Material %d: ") % number,
            )


def material_rows(form: Form) -> list[MaterialRow]:
    numbers = [name.split("-")[1] for name in form.fields if name.endswith("-yarn")]
    return [MaterialRow(*(form[f"materials-{number}-{part}"] for part in _PARTS)) for number in numbers]


def hours_of(form: Form) -> list[str]:
    """The hours that the form holds, as the guild file writes them; what is wrong stands beside its row."""
    return [text for row in day_rows(form) if (text := day_typed(form, row))]


def touch_of(form: Form) -> bool | None:
    return {"yes": True, "no": False}.get(form["touch"].text)


def materials_of(form: Form) -> list[Fields]:
    """The materials that the form holds, as the guild file writes them; empty rows are left out."""
    found = []
    for row in material_rows(form):
        held: Fields = {part: text for part, each in zip(_PARTS, row, strict=True) if (text := each.text)}
        if not held:
            continue
        if "yarn" not in held and held.get("each", "").isdecimal():
            held["each"] = int(held["each"])
        if held.get("have", "").isdecimal():
            held["have"] = int(held["have"])
        found.append(held)
    return found

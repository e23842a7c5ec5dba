"""The forms of what there is on the days of an event: a stand, and a class with its materials."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.event.event_form import DayRow
from loomready.app.forms.fields import Field, Form, trouble
from loomready.app.state.snapshot import Snapshot
from loomready.event.hours_text import read_opening
from loomready.guildfile.event_values import DayWithHours
from loomready.problems import BadInput

Fields = dict[str, Any]
STAND = ("name", "warp", "people", "sign")
LESSON = ("name", "teacher", "places", "spare")
FEWEST_MATERIALS, MOST_MATERIALS = 3, 60
MOST_HOURS = 60
_DAY = DayWithHours()
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
        _hours_fields(form, number, before.get("hours", ()))


def add_lesson_fields(form: Form, snapshot: Snapshot, before: Mapping[str, Any], rows: int) -> None:
    """What a class's form has beside its plain fields: its teacher, its hours, so many rows of materials."""
    people = tuple((each.key, each.name) for each in snapshot.guild.people)
    form.change("name", needed=True, placeholder="")
    form.change("teacher", label=_("Teacher"), kind="choice", choices=(("", _("whoever can teach")), *people))
    form.change("places", label=_("Places"))
    form.change("spare", label=_("Spare"), help=_("more of each material, rounded up"))
    _hours_fields(form, 1, [before["time"]] if "time" in before else ())
    form.change("day-1", label=_("Day"), needed=True)
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


def _hours_fields(form: Form, number: int, hours: Any) -> None:
    day = opens = closes = ""
    if number <= len(hours):
        try:
            each = read_opening(hours[number - 1])
            day, opens, closes = f"{each.start:%Y-%m-%d}", f"{each.start:%H:%M}", f"{each.end:%H:%M}"
        except BadInput:
            day = str(hours[number - 1])[:10]
    for name, label, text, kind in (
        ("day", _("Day %d") % number, day, "date"),
        ("opens", _("from"), opens, "time"),
        ("closes", _("to"), closes, "time"),
    ):
        form.fields[f"{name}-{number}"] = Field(f"{name}-{number}", label, text, kind)


def rows_of(before: int, posted: Mapping[str, str], sent: str, fewest: int, most: int) -> int:
    """Rows of a form: one more than there are, or as many as were sent.

    :param sent: how the name of one field of each row begins, and no other
    """
    came = sum(name.startswith(sent) for name in posted)
    return min(most, came or max(fewest, before + 1))


def material_rows(form: Form) -> list[MaterialRow]:
    numbers = [name.split("-")[1] for name in form.fields if name.endswith("-yarn")]
    return [MaterialRow(*(form[f"materials-{number}-{part}"] for part in _PARTS)) for number in numbers]


def hours_of(form: Form, rows: list[DayRow]) -> list[str]:
    """The hours that the form holds, as the guild file writes them; what is wrong stands beside its row."""
    found = []
    for row in rows:
        day, opens, closes = row.day.text, row.opens.text, row.closes.text
        if not (day or opens or closes):
            continue
        if not (day and opens and closes):
            form.change(row.day.name, error=_("Is not complete; expected a date, from when and to when"))
            continue
        made = f"{day} {opens}-{closes}"
        form.change(row.day.name, error=trouble(_DAY, made))
        found.append(made)
    return found


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

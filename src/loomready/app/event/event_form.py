"""The form of the event: its name, its days with their hours, when all has to be ready, and which warps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.forms import fields
from loomready.app.forms.fields import Field, Form, trouble
from loomready.app.state.snapshot import Snapshot
from loomready.event.hours_text import read_moment, read_opening
from loomready.guildfile.event_schema import EVENT
from loomready.guildfile.event_values import DayWithHours, Moment
from loomready.problems import BadInput

Fields = dict[str, Any]
FEWEST_DAYS, MOST_ROWS = 2, 60
_DAY, _MOMENT = DayWithHours(), Moment()
_USUAL_SLOT = "30 min"
_SLOTS = {"15 min": gettext_lazy("15 min"), _USUAL_SLOT: gettext_lazy("30 min"), "1 h": gettext_lazy("1 h")}


@dataclass(frozen=True, slots=True)
class DayRow:
    """The three fields of one day."""

    day: Field
    opens: Field
    closes: Field

    def __iter__(self) -> Iterator[Field]:
        return iter((self.day, self.opens, self.closes))

    @property
    def error(self) -> str:
        return self.day.error


@dataclass(frozen=True, slots=True)
class WarpTick:
    key: str
    name: str
    ticked: bool


def form_of(before: Mapping[str, Any], units: str, days: int) -> Form:
    """The form, with rows for so many days."""
    form = fields.make("event", ("name", "pack_time", "slot"), before, units)
    form.change("name", needed=True, placeholder="")
    form.change(
        "pack_time", help=_("before the first day opens: by then all is ready, if nothing else is said")
    )
    kept = before.get("slot", _USUAL_SLOT)
    form.change(
        "slot",
        kind="choice",
        text=kept,
        choices=tuple((each, str(_SLOTS.get(each, each))) for each in dict.fromkeys((*_SLOTS, kept))),
        help=_("work is planned in parts of this length"),
    )
    for number in range(1, days + 1):
        day_fields(form, number, before.get("days", ()), _("opens"), _("closes"), needed=number == 1)
    ready, hour = _parted(before.get("ready_by", ""))
    form.fields["ready-day"] = Field("ready-day", _("Ready by, if earlier"), ready, "date")
    form.fields["ready-hour"] = Field("ready-hour", _("at"), hour, "time")
    return form


def day_fields(form: Form, number: int, days: Any, begins: str, ends: str, *, needed: bool = False) -> None:
    """The fields of one row of hours, filled from the days as the guild file writes them.

    :param begins: the label of the time when it opens or begins
    """
    day = opens = closes = ""
    if number <= len(days):
        try:
            each = read_opening(days[number - 1])
            day, opens, closes = f"{each.start:%Y-%m-%d}", f"{each.start:%H:%M}", f"{each.end:%H:%M}"
        except BadInput:
            day = str(days[number - 1])[:10]
    labels = (_("Day %d") % number, begins, ends)
    for name, label, text, kind in zip(
        ("day", "opens", "closes"), labels, (day, opens, closes), ("date", "time", "time"), strict=True
    ):
        form.fields[f"{name}-{number}"] = Field(f"{name}-{number}", label, text, kind, needed=needed)


def _parted(moment: str) -> tuple[str, str]:
    try:
        made = read_moment(moment)
    except BadInput:
        return "", ""
    return f"{made:%Y-%m-%d}", f"{made:%H:%M}"


def rows_for(before: Mapping[str, Any], posted: Mapping[str, str]) -> int:
    """How many days the form asks for: one more than there are, or as many as were sent."""
    return rows_asked(len(before.get("days", ())), (name for name in posted if name.startswith("day-")))


def rows_asked(there: int, sent: Iterable[str], fewest: int = FEWEST_DAYS) -> int:
    """How many rows a form asks for: one more than there are, or as many as were sent.

    :param sent: the names of one field of each row
    """
    return min(MOST_ROWS, sum(1 for _name in sent) or max(fewest, there + 1))


def day_rows(form: Form) -> list[DayRow]:
    numbers = [name.removeprefix("day-") for name in form.fields if name.startswith("day-")]
    return [DayRow(form[f"day-{n}"], form[f"opens-{n}"], form[f"closes-{n}"]) for n in numbers]


def warp_ticks(snapshot: Snapshot, chosen: list[str] | None) -> list[WarpTick]:
    """Every warp that is not off; ``chosen`` None: all of them."""
    return [
        WarpTick(order.key, order.name, chosen is None or order.key in chosen)
        for order in snapshot.guild.warps
        if order.off is None
    ]


def table(form: Form, before: Mapping[str, Any], warps: list[str] | None) -> Fields:
    """The record's table with what the form holds; what is wrong stands beside its field.

    :param warps: their keys; None: all that are not off
    """
    made = fields.table("event", form, before)
    days = [text for row in day_rows(form) if (text := day_typed(form, row))]
    if not days and not form.wrong:
        form.change("day-1", error=_("Is missing; expected the day of the event"))
    said = {"days": days, "ready_by": _ready_typed(form), "warps": warps}
    made = {name: value for name, value in made.items() if name not in said}
    made |= {name: value for name, value in said.items() if value is not None and value != ""}
    if "slot" not in before and made.get("slot") == _USUAL_SLOT:
        made.pop("slot")
    return {key.name: made[key.name] for key in EVENT.keys if key.name in made}


def day_typed(form: Form, row: DayRow) -> str:
    """A day as the guild file holds it; "" for an empty row."""
    day, opens, closes = row.day.text, row.opens.text, row.closes.text
    if not (day or opens or closes):
        return ""
    if not (day and opens and closes):
        form.change(row.day.name, error=_("Is not complete; expected a date, from when and to when"))
        return ""
    made = f"{day} {opens}-{closes}"
    form.change(row.day.name, error=trouble(_DAY, made))
    return made


def _ready_typed(form: Form) -> str:
    day, hour = form["ready-day"].text, form["ready-hour"].text
    if not day and not hour:
        return ""
    if not (day and hour):
        form.change("ready-day", error=_("Is not complete; expected a date and a time, or neither"))
        return ""
    form.change("ready-day", error=trouble(_MOMENT, f"{day} {hour}"))
    return f"{day} {hour}"

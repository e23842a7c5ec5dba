"""The form of somebody who helps: a name, what this person can or learns, hours, and how much at most."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from loomready.app.event.hours_read import lines_of, troubles
from loomready.app.forms import fields
from loomready.app.forms.fields import Form
from loomready.app.i18n.words import translated
from loomready.guildfile.event_schema import PEOPLE
from loomready.model.event import SKILLS
from loomready.phrases import word

Fields = dict[str, Any]
LEVELS = ("can", "learning", "no")


@dataclass(frozen=True, slots=True)
class SkillRow:
    """A skill, and whether the person can do it, learns it, or neither."""

    number: int
    label: str
    level: str


def form_of(before: Mapping[str, Any], units: str) -> Form:
    form = fields.make("people", ("name", "most"), before, units)
    form.change("name", needed=True)
    form.change("most", help=_("in all before the event; empty: no limit"))
    form.fields["hours"] = fields.Field(
        "hours",
        _("Hours"),
        "\n".join(before.get("hours", ())),
        "lines",
        help=_("in your own words, one rule a line: “Tuesdays 6:30 to 9”, “not the 12th”"),
    )
    return form


def skills_of(before: Mapping[str, Any]) -> tuple[SkillRow, ...]:
    """Every skill with its level in a record; nothing said is all of them."""
    can, learning = before.get("can", SKILLS), before.get("learning", ())
    return tuple(
        SkillRow(
            number, translated(word(each)), "can" if each in can else "learning" if each in learning else "no"
        )
        for number, each in enumerate(SKILLS)
    )


def skills_posted(posted: Mapping[str, str]) -> Fields:
    """The keys of the record that the ticks mean."""
    level = {each: posted.get(f"skill-{number}", "no") for number, each in enumerate(SKILLS)}
    can = [each for each in SKILLS if level[each] == "can"]
    learning = [each for each in SKILLS if level[each] == "learning"]
    made: Fields = {} if len(can) == len(SKILLS) else {"can": can}
    return made | ({"learning": learning} if learning else {})


def take_hours(form: Form, before: Mapping[str, Any]) -> Fields:
    """The record's table with what the form holds, skills apart; what is wrong stands beside its field."""
    hours = form.fields.pop("hours")  # its lines are rules, each read for itself
    made = fields.table("people", form, before)
    form.fields["hours"] = hours
    typed = lines_of(hours.text)
    if troubles(typed):
        form.change("hours", error=_("Some lines are not understood; see below"))
    most = made.pop("most", None)
    made = {name: value for name, value in made.items() if name != "hours"}
    made |= {"hours": typed} if typed else {}
    return made | ({} if most is None else {"most": most})


def in_order(made: Mapping[str, Any]) -> Fields:
    """The record's table in the guild file's order; a value None leaves its key out."""
    return {key.name: made[key.name] for key in PEOPLE.keys if made.get(key.name) is not None}

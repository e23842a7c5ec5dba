"""Buttons beside the errors of a form of a yarn, a cone or a loom: each fills in what is probably meant."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import date

from django.utils.translation import gettext as _

from loomready.app.forms import fields, quantity_input
from loomready.app.forms.fields import Field, Form
from loomready.app.state.snapshot import Snapshot
from loomready.guildfile.schema import SECTIONS
from loomready.guildfile.values import Quantity
from loomready.problems import AmbiguousCount, BadInput
from loomready.yarn.counts import parse_count

KINDS = ("yarns", "cones", "looms", "reeds")
Offers = Iterator[tuple[str, str]]
_MOST = 4
_SYSTEMS = ("Ne", "worsted", "Nm", "lea")
_SHAFTS = ("4", "8")
_COUNT = re.compile(r"\d+(?:[./]\d+)?")


def offer(form: Form, kind: str, snapshot: Snapshot) -> None:
    """Give each field with an error the buttons that mend it, where something can be proposed."""
    for name, each in list(form.fields.items()):
        if each.error and not each.offers:
            found = tuple(dict.fromkeys(_offers(form, each, kind, snapshot)))[:_MOST]
            form.change(name, offers=tuple((value, says) for value, says in found if value != each.text))


def _offers(form: Form, each: Field, kind: str, snapshot: Snapshot) -> Offers:
    known = SECTIONS[kind].by_name.get(each.name)
    if each.name == "name":
        yield from _names(form, kind, snapshot)
    elif each.name == "count":
        yield from _counts(each.text)
    elif each.kind == "date":
        today = date.today().isoformat()
        yield today, _("today, %s") % today
    elif each.kind == "choice" and len(each.choices) <= _MOST + 1:
        yield from ((value, str(word)) for value, word in each.choices if value)
    elif each.name == "shafts":
        yield from ((count, _("%s shafts") % count) for count in _SHAFTS)
    elif each.name == "heddles":
        yield from _heddles(form)
    elif each.name == "tare" and not each.text:
        yield "0 g", _("0 g: no cone under the yarn")
    elif each.name == "flaws":
        yield "none seen", _("none seen")
    elif known is not None and isinstance(known.value, Quantity):
        yield from _quantities(each.text, known.value, snapshot.guild.units)


def _names(form: Form, kind: str, snapshot: Snapshot) -> Offers:
    """The name with a number, or one made of what else was typed."""
    typed = form["name"].text
    if not typed and kind == "yarns":
        count = _COUNT.search(form["count"].text)
        typed = " ".join(filter(None, (form["fiber"].text, count[0] if count else "")))
    elif not typed and kind == "looms":
        typed = _("%(kind)s loom") % {"kind": form["kind"].shown}
    if typed:
        taken = snapshot.names(kind).values()
        made = fields.numbered(typed, taken) if fields.equal(typed, taken) else typed
        yield made[:1].upper() + made[1:], made[:1].upper() + made[1:]


def _counts(text: str) -> Offers:
    """The count in each notation, where one was typed with something unknown behind it."""
    found = _COUNT.search(text)
    for system in _SYSTEMS if found else ():
        made = f"{found[0]} {system}" if found else ""
        try:
            parse_count(made, "")
        except (BadInput, AmbiguousCount):
            continue
        yield made, made


def _heddles(form: Form) -> Offers:
    """One number for all shafts, or as many numbers as there are shafts."""
    counts = re.findall(r"\d+", form["heddles"].text)
    shafts = form["shafts"].text
    if not counts:
        yield "100", _("100 on each shaft")
        return
    if shafts.isdecimal() and 1 < len(counts) != int(shafts) <= 64:
        made = " ".join((counts + counts[-1:] * int(shafts))[: int(shafts)])
        yield made, made
    yield counts[0], _("%s on each shaft") % counts[0]


def _quantities(text: str, value: Quantity, system: str) -> Offers:
    """The number that was typed, with each unit of the guild that makes it valid."""
    number = re.search(r"\d[\d.,]*", text)
    units: Iterable[str] = value.kind.us if system == "us" else value.kind.metric
    for unit in units if number else ():
        made = f"{number[0].rstrip('.,')} {unit}" if number else ""
        try:
            made = quantity_input.plain(made, value.kind, unit)
            value.read(made)
        except BadInput:
            continue
        yield made, made

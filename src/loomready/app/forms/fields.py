"""Forms made from the guild file's keys: one field for each key, read by the guild file's codec.

A bare number in a quantity field gets the unit shown beside the field. What was typed stays as it is; an
error is shown beside its field.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from itertools import count
from typing import Any

from django.utils.translation import gettext_lazy as _

from loomready.app.forms import quantity_input
from loomready.app.i18n.words import sentence, translated
from loomready.guildfile.build import Fields
from loomready.guildfile.records import Key
from loomready.guildfile.schema import MEASURED, SECTIONS
from loomready.guildfile.texts import Day, Note, Text, day_of_text, plain_lines
from loomready.guildfile.values import Choice, Count, Flag, Many, Quantity, Value
from loomready.guildfile.warp_schema import ITEMS, SAMPLES
from loomready.phrases import joined, phrase
from loomready.problems import BadInput

LABELS = {
    "name": _("Name"),
    "longest_reed": _("Longest reed"),
    "measured": _("Measured"),
    "woollen": _("Woollen"),
    "tare_sd": _("Tare uncertainty"),
    "selvedge_shafts": _("Selvedge shafts"),
    "warp_yarns": _("Warp yarns"),
    "weft_yarns": _("Weft yarns"),
    "items": _("Pieces"),
    "key": _("Name"),
    "units": _("Units"),
    "currency": _("Currency"),
    "end_1": _("End 1 lies at the"),
    "shaft_1": _("Shaft 1 hangs at the"),
    "dressing": _("Looms are dressed"),
    "bobbin": _("A full bobbin holds"),
    "fiber": _("Fiber"),
    "count": _("Count on the label"),
    "grist": _("Grist"),
    "tex": _("Tex"),
    "wraps": _("Wraps"),
    "color": _("Color"),
    "tolerance": _("Grist tolerance (±)"),
    "price": _("Price"),
    "yarn": _("Yarn"),
    "lot": _("Dye lot"),
    "gross": _("On the scale"),
    "tare": _("Empty cone"),
    "flaws": _("Knots and weak spots: none seen, or like 2 /100 yd"),
    "scale_step": _("Scale reads to the nearest"),
    "weighed": _("Weighed on"),
    "kind": _("Kind"),
    "shafts": _("Shafts"),
    "treadles": _("Treadles"),
    "weaving_width": _("Weaving width"),
    "heddles": _("Heddles on each shaft"),
    "gauge": _("Gauge of a rigid heddle"),
    "waste": _("Loom waste"),
    "direct_tie_up": _("Direct tie-up: each treadle moves one shaft"),
    "longest_warp": _("Longest warp"),
    "pick_up_sticks": _("Pick-up sticks of a rigid heddle"),
    "front_waste": _("Waste before the first pick"),
    "painted": _("Painted bands"),
    "beam_around": _("Around the bare beam"),
    "section_width": _("Width of a beam section"),
    "sections": _("Sections on the beam"),
    "rack": _("Spool rack holds"),
    "tied_to": _("Tied on to warp"),
    "tied_waste": _("Waste of a tied-on warp"),
    "sectional": _("Wound in sections onto the beam"),
    "beams": _("Warp beams"),
    "second_yarns": _("Second warp"),
    "second_kind": _("Second warp: what it does"),
    "second_take_up": _("Second warp: take-up"),
    "second_cut": _("Second warp: or an end drawn out of a sample"),
    "second_woven": _("Second warp: the sample as woven"),
    "second_tension": _("Second warp: tension"),
    "second_weighted": _("Second warp hangs in weighted chains"),
    "second_wound_length": _("Second warp: length as wound"),
    "dents": _("Dents"),
    "width": _("Width"),
    "loom": _("Loom"),
    "draft": _("Draft"),
    "finished_width": _("Finished width"),
    "finished_length": _("Finished length"),
    "hem": _("Hem, each end"),
    "fringe": _("Fringe, each end"),
    "twisted_fringe": _("or twisted fringe, each end"),
    "twist": _("Lost in twisting"),
    "sewn": _("Pieces sewn side by side"),
    "fringe_in_waste": _("First and last fringe lie in the loom waste"),
    "header": _("Header in waste yarn"),
    "hem_draft": _("Hem: draft"),
    "hem_weft_yarns": _("Hem: weft %d"),
    "hem_ppi": _("Hem: picks"),
    "stripes": _("Warp stripes"),
    "stripes_mirrored": _("Mirrored: to the middle of the web, then back"),
    "weft_stripes": _("Weft stripes"),
    "sett": _("Sett"),
    "firmness": _("or firmness"),
    "ppi": _("Picks"),
    "take_up": _("Take-up"),
    "draw_in": _("Draw-in"),
    "shrink_length": _("Shrinkage, length"),
    "shrink_width": _("Shrinkage, width"),
    "weft_take_up": _("Weft take-up"),
    "sample": _("Sample"),
    "samples": _("Sample in parts"),
    "length": _("Length"),
    "ends_per_heddle": _("Ends of yarn in each heddle"),
    "selvedge_ends_per_heddle": _("Ends of yarn in each selvedge heddle"),
    "weft_strands": _("Strands of weft in each pick"),
    "hem_weft_strands": _("Hem: strands of weft in each pick"),
    "selvedge_ends": _("Selvedge ends, each side"),
    "floating_selvedges": _("Floating selvedges"),
    "layers": _("Cloth layers"),
    "double_cloth": _("Double width or tube"),
    "fold_left_out": _("Ends left out at the fold"),
    "fold_sley": _("Ends in each dent at the fold, from the edge"),
    "max_bout_ends": _("Most ends in a bout"),
    "reserve": _("Reserve of each yarn"),
    "mix_lots": _("Dye lots may be mixed"),
    "repeat_ends": _("Repeat from end, to end"),
    "wound_length": _("Length as wound"),
    "wound": _("Wound on"),
    "off": _("Cut off on"),
    "wound_from": _("Ends from each cone"),
    "woven_picks": _("Picks woven at the last weighing"),
    "woven_at": _("Woven by then"),
    "woven_from": _("Weft from each cone"),
    "cut_early": _("Cut off early"),
    "wound_reed": _("Reed it was wound for"),
    "wound_sley": _("Sley it was wound for"),
    "reed": _("Reed"),
    "sley": _("Ends in each dent in turn"),
    "measured_length": _("Length laid out"),
    "measured_weight": _("It weighs"),
    "date": _("Date"),
    "notes": _("Notes"),
    "days": _("Days"),
    "ready_by": _("Ready by"),
    "pack_time": _("Time for packing"),
    "slot": _("Planned in parts of"),
    "warps": _("Warps"),
    "can": _("Can"),
    "learning": _("Learns"),
    "hours": _("Hours"),
    "most": _("At most"),
    "spread": _("Spread of a job's hours"),
    "sure": _("How sure"),
    "weight": _("Weight"),
}
_KNOWN = {**SECTIONS, "items": ITEMS, "samples": SAMPLES, "measured": MEASURED}
MOST_NAME = 200
EARLIEST, LATEST = date(2000, 1, 1), date(2099, 12, 31)


@dataclass(frozen=True, slots=True)
class Field:
    """One input: its label, its value, its error."""

    name: str
    label: Any
    text: str = ""
    kind: str = "text"  # text | lines | number | flag | choice | date | time | color
    unit: str = ""
    help: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    error: str = ""
    placeholder: str = ""
    needed: bool = False
    steps: bool = False
    understood: str = ""  # what was typed, as it is stored
    offers: tuple[tuple[str, str], ...] = ()  # possible readings, each with its own button
    echo: str = ""  # the address that shows what a name becomes, while it is typed
    opens: str = ""  # a heading that opens; it ends at the next field that closes
    is_open: bool = False
    closes: bool = False
    row: Any = None  # a stripes_form.Place: it is a cell of a row of stripes
    begins: Any = None  # a stripes_form.Begin: a button after it lays threads in stripes
    of: str = ""  # what it belongs to, as "Piece 2: " for the second piece: read out, but not shown

    @property
    def shown(self) -> str:
        """Its value, in words."""
        return next((str(word) for value, word in self.choices if value == self.text), self.text)

    @property
    def describedby(self) -> str:
        parts = [f"{self.name}-{part}" for part in ("help", "understood", "error") if getattr(self, part)]
        return " ".join(parts)


@dataclass(slots=True)
class Form:
    """Fields in order, and errors that belong to none of them."""

    fields: dict[str, Field] = field(default_factory=dict)
    error: str = ""

    def __getitem__(self, name: str) -> Field:
        return self.fields[name]

    def __iter__(self) -> Iterator[Field]:
        return iter(self.fields.values())

    @property
    def wrong(self) -> bool:
        return bool(self.error) or any(each.error for each in self.fields.values())

    def change(self, name: str, **what: Any) -> None:
        self.fields[name] = replace(self.fields[name], **what)

    def text_of(self, name: str) -> str:
        return self.fields[name].text if name in self.fields else ""

    def blame(self, error: BadInput) -> None:
        """Show an error beside its field, or at the head of the form."""
        name = self.field_of(error)
        if name:
            self.change(name, error=_sentence(error.what))
        else:
            self.error = _sentence(joined(": ", filter(None, (error.where, error.what))))

    def field_of(self, error: BadInput) -> str:
        """The name of the field that an error belongs to; "" if it belongs to none."""
        steps = [str(step) for step in error.path if not str(step).startswith("[")]
        whole = "-".join(steps)
        if len(steps) == 3 and steps[2] == "dents":
            whole = f"{steps[0]}-{steps[1]}-ends"  # where the page asks for empty dents
        row = "-".join(steps[:3])
        for name in (
            whole,
            f"{whole}-1",
            row,
            steps[0] if steps else "",
            *(f"{steps[0]}-1" if steps else "",),
        ):
            if name in self.fields:
                return name
        return ""


# Words of the guild file and the words that a form uses instead.
_PLAIN = (
    ("is more than gross", _("is more than the weight on the scale")),
    (", or with a time like 2026-10-03T14:30:00", ""),
    (", without quotes", ""),
    ("an integer", _("a whole number")),
)
WORDS = {
    "us": _("US: inches, yards, ounces"),
    "metric": _("metric: centimeters, meters, grams"),
    "left": _("left"),
    "right": _("right"),
    "front": _("front"),
    "back": _("back"),
    "back to front": _("back to front"),
    "front to back": _("front to back"),
    "double width": _("double width: joined at the last end"),
    "tube": _("tube: joined at both edges"),
    "pile": _("pile: loops or cut pile"),
    "supplementary": _("supplementary: a pattern over the ground"),
    "seersucker": _("seersucker: puckered stripes"),
    "firm": _("firm"),
    "light": _("light"),
    "slack": _("slack"),
    "table": _("table"),
    "jack": _("jack"),
    "counterbalance": _("counterbalance"),
    "countermarche": _("countermarche"),
    "rigid heddle": _("rigid heddle"),
    "inkle": _("inkle"),
}


def _sentence(text: str) -> str:
    text = translated(text)
    for ours, hers in _PLAIN:
        text = text.replace(ours, str(hers))
    return sentence(text)


def _in_units_of(field: Field, value: Value, says: str) -> str:
    """The sentence with an example in the unit of the field."""
    if isinstance(value, Quantity) and field.unit in value.kind.metric and value.kind.metric_example:
        return says.replace(f'"{value.kind.example}"', f'"{value.kind.metric_example}"')
    return says


def unit_of(value: Value, system: str) -> str:
    if not isinstance(value, Quantity):
        return ""
    units = value.kind.us if system == "us" else value.kind.metric
    return units[0]


def make(
    section: str, names: tuple[str, ...], fields: Mapping[str, Any], system: str, prefix: str = ""
) -> Form:
    """The form for some keys of a section, filled from a record's table."""
    form = Form()
    known = _KNOWN[section]
    for name in names:
        key = known.by_name[name]
        form.fields[prefix + name] = Field(
            name=prefix + name,
            label=label_of(section, name),
            text=_shown_text(key.value, fields.get(name)),
            kind=_kind(key.value, name),
            unit=unit_of(key.value, system),
            choices=tuple((word, str(WORDS.get(word, word))) for word in key.value.words)
            if isinstance(key.value, Choice)
            else (),
            needed=key.required,
            placeholder=_silence(key, known.defaults, system),
        )
    return form


# Of a piece: what the warp has a key of that name for, too.
OF_PIECE = {
    "count": _("How many"),
    "draft": _("Own draft"),
    "weft_yarns": _("Own weft %d"),
    "ppi": _("Own picks"),
    "weft_strands": _("Own strands of weft in each pick"),
}


def label_of(section: str, name: str) -> Any:
    if section == "items" and name in OF_PIECE:
        return OF_PIECE[name]
    return LABELS.get(name, name.replace("_", " ").capitalize())


def _silence(key: Key, defaults: Mapping[str, Any], system: str) -> str:
    """What leaving the field empty means, if it means a plain value."""
    value = defaults.get(key.field)
    if value in (None, "", False) or isinstance(key.value, Choice | Flag | Many) or key.name == "color":
        return ""
    return str(key.value.write(value, "us" if system == "us" else "metric"))


def _kind(value: Value, name: str) -> str:
    if isinstance(value, Flag):
        return "flag"
    if isinstance(value, Choice):
        return "choice"
    if isinstance(value, Day):
        return "date"
    if isinstance(value, Count):
        return "number"
    if isinstance(value, Note):
        return "lines"
    return "color" if name == "color" else "text"


def _shown_text(kind: Value, value: Any) -> str:
    """A field's text; of a moment only its day, as the browser's date field holds no time."""
    return as_text(value)[:10] if isinstance(kind, Day) else as_text(value)


def as_text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, list | tuple):
        return " ".join(str(each) for each in value)
    return str(value)


def take(form: Form, posted: Mapping[str, str]) -> None:
    """Put what was typed into the fields."""
    for name, each in list(form.fields.items()):
        if each.kind == "flag":
            form.change(name, text="yes" if posted.get(name) else "")
        elif name in posted:
            form.change(name, text=plain_lines(posted[name]).strip())


def table(section: str, form: Form, before: Mapping[str, Any], prefix: str = "") -> Fields:
    """The record's table with the form's values, over what it held before; errors go to their fields."""
    known = _KNOWN[section]
    made = dict(before)
    for name, each in form.fields.items():
        key = known.by_name.get(name.removeprefix(prefix)) if name.startswith(prefix) else None
        if key is None or key.name == "key":  # a key is made of a name, see new_name
            continue
        made.pop(key.name, None)
        if isinstance(key.value, Day) and each.text and each.text == str(before.get(key.name, ""))[:10]:
            made[key.name] = before[key.name]  # the form shows the day; its time of day stays
            continue
        if each.text == "":
            if each.needed:
                says = _sentence(phrase("is missing; expected {expected}", expected=key.value.says))
                form.change(name, error=_in_units_of(each, key.value, says))
            continue
        made[key.name] = each.text
        try:
            made[key.name] = value = _typed(each.text, key.value, each.unit)
            key.value.read(_for_codec(value, key.value))
        except BadInput as error:
            form.change(name, error=_in_units_of(each, key.value, _sentence(error.what)))
        else:
            form.change(name, understood=_understood(each.text, value, key.value))
    return {key.name: made[key.name] for key in known.keys if key.name in made}


def _for_codec(value: Any, kind: Value) -> Any:
    if isinstance(kind, Day):
        try:
            return sane(day_of_text(value))
        except ValueError:
            return value
    return value


def sane(made: date) -> date:
    """A date, or a date with its time of day.

    :raises BadInput: a year that is a typing error
    """
    day = made.date() if isinstance(made, datetime) else made
    if not EARLIEST <= day <= LATEST:
        raise BadInput(
            phrase(
                "{date} is too far off; expected {first} to {last}",
                date=f"{made}",
                first=f"{EARLIEST}",
                last=f"{LATEST}",
            ),
            where="date",
        )
    return made


def _understood(text: str, value: Any, kind: Value) -> str:
    """How a fraction, a comma or feet and inches were read; "" if it is as typed."""
    number = str(value).partition(" ")[0]
    return str(value) if isinstance(kind, Quantity) and not text.strip().startswith(number) else ""


def _typed(text: str, value: Value, unit: str) -> Any:
    """What was typed, as the guild file would hold it; errors are left for the codec."""
    if isinstance(value, Flag):
        return True
    if isinstance(value, Count):
        return _whole(text)
    if isinstance(value, Quantity):
        return quantity_input.plain(text, value.kind, unit)
    if isinstance(value, Many) and isinstance(value.of, Count):
        return [_whole(word) for word in re.split(r"[\s,;]+", text.strip()) if word]
    if type(value).__name__ == "Run":
        return [_whole(word) for word in re.split(r"[\s,;–-]+", text.strip()) if word]
    return text


def _whole(text: str) -> Any:
    return int(text) if re.fullmatch(r"[+-]?\d{1,9}", text.strip()) else text


def as_key(name: str) -> str:
    """A name made into a valid key: characters that a key cannot have are left out, inner spaces stay."""
    made = re.sub(r"\s+", " ", re.sub(r"[^\w. -]+", " ", re.sub(r"['’]", "", name)))
    return made.strip(" .-")[:64].rstrip()


@dataclass(frozen=True, slots=True)
class NewName:
    """What somebody calls a new record, and the key that is made of it: files and addresses have the key."""

    name: str
    key: str

    def into(self, table: Fields) -> Fields:
        """The record's table with both."""
        return with_name({"key": self.key} | table | {"key": self.key}, self.name)


def new_name(form: Form, others: Mapping[str, str]) -> NewName:
    """The name typed into the form's ``key``; a missing name, or one that is taken, is an error beside it.

    :param others: the names of all records of this kind, by their keys
    """
    name = one_line(form["key"].text)
    form.change("key", text=name, error=name_trouble(name, others))
    return NewName(name, free_key(as_key(name), others))


def free_key(base: str, taken: Iterable[str]) -> str:
    """The key, with a number where it is taken."""
    keys, key, number = set(taken), base, 2
    while equal(key, keys):
        key, number = f"{base[:60]}-{number}", number + 1
    return key


def numbered(name: str, taken: Iterable[str]) -> str:
    """The name with the next number that is free: "towels 2", and of "towels 2" in turn "towels 3"."""
    base, names = re.sub(r" \d{1,2}$", "", name)[: MOST_NAME - 8], list(taken)
    tried = (str(_("%(name)s %(number)d") % {"name": base, "number": number}) for number in count(2))
    return next(each for each in tried if not equal(each, names))


def with_name(table: Fields, name: str) -> Fields:
    """A record's table with its name; a name that is the key needs no mention."""
    made = {part: value for part, value in table.items() if part != "name"}
    return made if name in ("", table.get("key")) else made | {"name": name}


def one_line(text: str) -> str:
    """A name without spaces around it, or several in a row."""
    return " ".join(text.split())


def trouble(kind: Value, text: str) -> str:
    """Why a text is no such value, in one sentence; "" if it is."""
    try:
        kind.read(text)
    except BadInput as error:
        return _sentence(error.what)
    return ""


def name_trouble(name: str, others: Mapping[str, str], own: str = "") -> str:
    """Why a record cannot have this name, in one sentence; "" if it can.

    :param others: the names of all records of this kind, by their keys
    :param own: the key of the record that is to have it
    """
    if not as_key(name):
        return str(_("Is missing; expected a name with letters or digits in it"))
    if wrong := trouble(Text(MOST_NAME), name):
        return wrong
    for key, other in others.items():
        if key != own and equal(as_key(name), [as_key(other)]):
            return _("“%(name)s” is already used; expected another name") % {"name": other}
    return ""


def equal(name: str, others: Iterable[str]) -> bool:
    """Whether one of the others is equal: file names may not distinguish capitals from small letters."""
    return name.strip().casefold() in {each.strip().casefold() for each in others}


def slug(name: str, taken: set[str]) -> str:
    """A key made from a name, not used yet."""
    base = re.sub(r"[^\w]+", "-", name.lower()).strip("-_ ")[:48] or "new"
    key, number = base, 2
    while key in taken:
        key, number = f"{base}-{number}", number + 1
    return key

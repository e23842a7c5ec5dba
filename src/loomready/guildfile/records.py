"""A record of the guild file: a table whose keys a :class:`Section` lists, read and written by that list."""

from __future__ import annotations

import dataclasses
import difflib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from loomready.guildfile.values import Value, inside, show
from loomready.phrases import Phrase, joined, listed, phrase
from loomready.problems import BadInput, shorten
from loomready.units import System

Fields = dict[str, Any]

# The trade's other words for what a key holds.
_ALSO_CALLED = {"epi": "sett", "size": "count", "fibre": "fiber", "colour": "color", "ends_per_inch": "sett"}


@dataclass(frozen=True, slots=True)
class Key:
    """A key of a section. ``field``: its name in the model. ``silence``: what leaving it out means, where
    the model's own default does not say it; ``required`` then binds a record that stands alone."""

    name: str
    value: Value
    field: str
    meaning: Phrase
    required: bool = False
    silence: Phrase | None = None


@dataclass(frozen=True, slots=True)
class Section:
    """A kind of table. ``many``: it stands any number of times. ``one_of``: just one of these keys is said.

    ``build`` makes the model's record of the fields read; ``fields_of`` gives back its fields,
    and what silence means for this very record where that is not the model's default. ``instead``: keys
    that another key stands for; both are never said. ``refused``: keys that mean something and are not
    read yet, with what to do.
    """

    name: str
    model: type[Any]
    meaning: Phrase
    keys: tuple[Key, ...]
    many: bool = True
    one_of: tuple[str, ...] = ()
    build: Callable[[Fields], Any] | None = None
    fields_of: Callable[[Any], tuple[Fields, Fields]] | None = None
    instead: Mapping[str, str] = dataclasses.field(default_factory=dict)
    refused: Mapping[str, Phrase] = dataclasses.field(default_factory=dict)
    by_name: dict[str, Key] = dataclasses.field(init=False, repr=False, compare=False)
    defaults: Fields = dataclasses.field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_name", {key.name: key for key in self.keys})
        fields = dataclasses.fields(self.model)
        defaults = {each.name: each.default for each in fields if each.default is not dataclasses.MISSING}
        object.__setattr__(self, "defaults", defaults)


def read_record(section: Section, table: object) -> Any:
    """The model's record of a table whose keys are known to be known.

    :raises BadInput: placed inside the record: ``gross``, ``items 1 hem``
    """
    if not isinstance(table, Mapping):
        raise BadInput(phrase("{written} is not a table; expected a table of keys", written=show(table)))
    _just_one(section, table)
    for name, other in section.instead.items():
        if name in table and other in table:
            raise BadInput(
                phrase("is given as well as {key}; expected just one of the two", key=name), where=other
            )
    found: Fields = {}
    for key in section.keys:
        if key.name in table:
            with inside(key.name):
                found[key.field] = key.value.read(table[key.name])
        elif key.required and section.instead.get(key.name) not in table:
            raise BadInput(phrase("is missing; expected {expected}", expected=key.value.says), where=key.name)
    return section.build(found) if section.build else section.model(**found)


def write_record(section: Section, record: Any, system: System) -> Fields:
    """The table of a record, in the order of the section's keys; what silence says too is left out."""
    fields, defaults = section.fields_of(record) if section.fields_of else (_fields(record), {})
    defaults = section.defaults | defaults
    table: Fields = {}
    for key in section.keys:
        value = fields.get(key.field)
        if value is None or (not key.required and value == defaults.get(key.field)):
            continue
        table[key.name] = key.value.write(value, system)
    return table


def _fields(record: Any) -> Fields:
    return {field.name: getattr(record, field.name) for field in dataclasses.fields(record)}


def _just_one(section: Section, table: Mapping[str, Any]) -> None:
    said = [name for name in section.one_of if name in table]
    if section.one_of and not said:
        raise BadInput(
            phrase("is missing; expected just one of {keys}", keys=listed(section.one_of)),
            where=section.one_of[0],
        )
    if len(said) > 1:
        raise BadInput(
            phrase(
                "is given as well as {key}; expected just one of {keys}",
                key=said[0],
                keys=listed(section.one_of),
            ),
            where=said[1],
        )


def refuse_unknown_keys(section: Section, table: object) -> None:
    """Look through a record, tables inside it too, for keys that the section does not list.

    What is not a table at all is left for :func:`read_record` to refuse.
    """
    if not isinstance(table, Mapping):
        return
    for name, value in table.items():
        if name in section.refused:
            raise BadInput(section.refused[name], where=place(name))
        if name not in section.by_name:
            raise BadInput(
                phrase("unknown key; {advice}", advice=nearest(name, section.by_name)), where=place(name)
            )
        inner = getattr(section.by_name[name].value, "section", None)
        if inner is None:
            continue
        with inside(name):
            if isinstance(value, list | tuple):
                for number, each in enumerate(value, 1):
                    with inside(number):
                        refuse_unknown_keys(inner, each)
            else:
                refuse_unknown_keys(inner, value)


def place(name: object) -> str:
    """A foreign key, fit for the place of an error message."""
    return shorten(name) if isinstance(name, str) and name.strip() else '""'


def nearest(name: object, known: Mapping[str, Any], form: str = "{}") -> Phrase:
    """What is expected instead of an unknown name; ``form`` is how a name is shown."""
    word = str(name)[:64].lower()
    word = _ALSO_CALLED.get(word, word)
    parts = sorted({part for key in known for part in key.split("_")})
    part = difflib.get_close_matches(word, parts, n=1, cutoff=0.8)
    # "lenght" means finished_length, "shrink" either of two keys
    meant = [key for key in known if part and part[0] in key.split("_")]
    meant = meant or difflib.get_close_matches(word, list(known), n=1)
    shown = [form.format(key) for key in meant or known]
    if meant:
        return phrase("did you mean {names}?", names=joined(phrase(" or "), shown))
    return phrase("expected one of {names}", names=listed(shown))


@dataclass(frozen=True, slots=True)
class Inner(Value):
    """A table inside a record, or a list of such tables."""

    section: Section
    most: int = 1000

    def read(self, value: object) -> Any:
        if not self.section.many:
            return read_record(self.section, value)
        if not isinstance(value, list | tuple):
            raise BadInput(
                phrase(
                    "{written} is not a list; expected {expected}", written=show(value), expected=self.says
                )
            )
        if not 1 <= len(value) <= self.most:
            raise BadInput(
                phrase("the list holds {count}; expected {expected}", count=len(value), expected=self.says)
            )
        read = []
        for number, each in enumerate(value, 1):
            with inside(number):
                read.append(read_record(self.section, each))
        return tuple(read)

    def write(self, value: Any, system: System) -> Any:
        if not self.section.many:
            return write_record(self.section, value, system)
        return [write_record(self.section, each, system) for each in value]

    @property
    def says(self) -> Phrase:
        keys = ", ".join(key.name for key in self.section.keys if key.required)
        if not self.section.many:
            return phrase("a table {{ {keys} }}", keys=keys)
        return phrase("a list of 1 to {most} tables, each with {keys}", most=self.most, keys=keys)

    def json_schema(self) -> dict[str, Any]:
        table = {"$ref": f"#/$defs/{self.section.name}"}
        if not self.section.many:
            return table
        return {"type": "array", "items": table, "minItems": 1, "maxItems": self.most}

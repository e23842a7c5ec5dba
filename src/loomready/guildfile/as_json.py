"""One record of a guild as JSON text: the same codec, dates as texts."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, NoReturn

from loomready.guildfile.decode import decode_record
from loomready.guildfile.encode import encode_record
from loomready.guildfile.records import Inner, Section
from loomready.guildfile.schema import SECTIONS
from loomready.guildfile.texts import Day, day_of_text
from loomready.guildfile.toml import MAX_BYTES
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.units import System


def to_json(section: str, record: Any, system: System = "us") -> str:
    """One record as JSON: ``from_json(section, to_json(section, record)) == record``."""
    return json.dumps(
        encode_record(section, record, system), default=lambda day: day.isoformat(), ensure_ascii=False
    )


def from_json(section: str, text: str) -> Any:
    """The record that a JSON text holds.

    :raises BadInput: ``where`` is the key inside the record, or the line that is no JSON
    """
    if len(text) > MAX_BYTES:
        raise BadInput(phrase("is too large; expected a record of at most {bytes:,} bytes", bytes=MAX_BYTES))
    try:
        fields = json.loads(text, object_pairs_hook=_each_once, parse_constant=_no_number, parse_int=_integer)
    except json.JSONDecodeError as error:
        raise BadInput(phrase("is not JSON; expected a record"), where=("line", error.lineno)) from None
    except RecursionError:
        raise BadInput(phrase("lists or tables are nested too deeply; expected a record")) from None
    return from_fields(section, fields)


def from_fields(section: str, fields: object) -> Any:
    """The record of a table as JSON holds it: its dates are texts.

    :raises BadInput: ``where`` is the key inside the record
    """
    if isinstance(fields, dict) and section in SECTIONS:
        fields = dated(SECTIONS[section], fields)
    return decode_record(section, fields)


def dated(section: Section, fields: Mapping[str, Any]) -> dict[str, Any]:
    """A table from JSON with its dates, those in inner tables too, as the codec wants them."""
    made = dict(fields)
    for key in section.keys:
        if key.name in made and isinstance(key.value, Day):
            made[key.name] = _day(made[key.name])
        elif isinstance(key.value, Inner) and isinstance(made.get(key.name), list):
            made[key.name] = [
                dated(key.value.section, each) if isinstance(each, dict) else each for each in made[key.name]
            ]
    return made


def _day(value: object) -> object:
    """A date written as JSON can; anything else is left for the codec to refuse."""
    try:
        return day_of_text(value) if isinstance(value, str) and len(value) >= 10 else value
    except ValueError:
        return value


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) < len(pairs):
        raise BadInput(phrase("a key is given twice; expected each key once"))
    return fields


def _no_number(name: str) -> NoReturn:
    raise BadInput(phrase("{written} is not a number; expected a record", written=name))


def _integer(digits: str) -> int:
    if len(digits) > 20:
        raise BadInput(phrase("a number has too many digits; expected a record"))
    return int(digits)

"""Reads app.json of a backup, which may come from anywhere: each record by its kind, with ranges and limits.

Any fault becomes one line that names the record, and nothing of the file is imported.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime
from typing import Any

from loomready.app.cones.shelf import UNDATED
from loomready.app.forms.fields import sane
from loomready.app.loomside import project_record
from loomready.app.loomside.jobs_data import BEAM
from loomready.app.state import agreed_plan, facts, old_test_weave, photos, places
from loomready.guildfile.texts import Identifier
from loomready.guildfile.values import Quantity, Value
from loomready.model import dressing_order
from loomready.phrases import listed, phrase
from loomready.problems import BadInput, shorten
from loomready.units import WEIGHT_G

Fields = dict[str, Any]
Things = list[tuple[str, str, Fields]]

MAX_TEXT = 100
MOST_RECORDS = 50_000  # of a kind
MOST_LISTED = 50_000  # in one record, steps apart
MOST_DIGITS = 20
_ODD = (ValueError, KeyError, TypeError, AttributeError, OverflowError)
_KEY = Identifier()
_WEIGHT = Quantity(WEIGHT_G, "0 g", "10000 kg")


def things_in(data: bytes) -> Things:
    """The records in such a file, each checked.

    :raises BadInput: it is not valid; the line says which record
    """
    found: Things = []
    for kind, records in _table(tree_of(data), "app.json").items():
        if kind not in _READ:
            raise BadInput(phrase("holds {shown}; expected {names}", shown=_shown(kind), names=listed(_READ)))
        if len(_table(records, kind)) > MOST_RECORDS:
            raise BadInput(
                phrase(
                    "holds {count:,} records of {kind}; expected at most {most:,}",
                    count=len(records),
                    kind=kind,
                    most=MOST_RECORDS,
                )
            )
        for key, fields in records.items():
            try:
                found.append((kind, *_read(kind, key, fields)))
            except BadInput as error:
                place = f"{error.where}: " if error.where else ""
                raise BadInput(f"{kind} {_shown(key)}: {place}{error.what}") from None
            except _ODD as error:
                raise BadInput(
                    phrase("{kind} {shown} is not what a backup holds", kind=kind, shown=_shown(key))
                ) from error
    return found


def readable(kind: str, key: str, fields: Any) -> bool:
    """Whether a backup with this record can be read back."""
    try:
        _read(kind, key, fields)
    except (BadInput, *_ODD):
        return False
    return True


def _read(kind: str, key: str, fields: Any) -> tuple[str, Fields]:
    return _key(key), _READ[kind](key, _table(fields, "it"))


def tree_of(data: bytes) -> Any:
    """What a text in JSON holds: finite numbers, whole characters.

    :raises BadInput: it is none
    """
    try:
        tree = json.loads(data.decode(), parse_constant=_no_number, parse_float=_finite, parse_int=_short)
        if b"\\u" in data:  # only an escape can contain half a character
            _whole_characters(tree)
    except BadInput:
        raise
    except (ValueError, RecursionError) as error:
        raise BadInput(phrase("is not what a backup holds; expected JSON as loomready writes it")) from error
    return tree


def _no_number(text: str) -> Any:
    raise BadInput(phrase("holds {text}; expected finite numbers", text=text))


def _finite(text: str) -> float:
    made = float(text)
    if not math.isfinite(made):
        raise BadInput(phrase("holds {text}; expected finite numbers", text=shorten(text)))
    return made


def _short(text: str) -> int:
    if len(text) > MOST_DIGITS:
        raise BadInput(
            phrase(
                "holds a number of {count:,} digits; expected at most {most}",
                count=len(text),
                most=MOST_DIGITS,
            )
        )
    return int(text)


def _whole_characters(tree: Any) -> None:
    for text in _texts(tree):
        try:
            text.encode()
        except UnicodeEncodeError:
            raise BadInput(
                phrase("holds half a character in {shown}; expected whole ones", shown=_shown(text))
            ) from None


def _texts(tree: Any) -> Iterator[str]:
    if isinstance(tree, str):
        yield tree
    elif isinstance(tree, list):
        for each in tree:
            yield from _texts(each)
    elif isinstance(tree, dict):
        for key, value in tree.items():
            yield key
            yield from _texts(value)


def _shown(value: object) -> str:
    return f'"{shorten(value)}"'


def _table(value: Any, name: str) -> Mapping[str, Any]:
    if not isinstance(value, dict):
        raise BadInput(phrase("{name} is not a table; expected names and values", name=name))
    return value


def _key(key: str) -> str:
    return _KEY.read(key)


def line(text: Any, most: int = MAX_TEXT) -> str:
    """:raises BadInput: no short line of text"""
    if not isinstance(text, str) or not text.isprintable() or len(text) > most:
        raise BadInput(
            phrase("holds what is not a short line of text; expected at most {most} characters", most=most)
        )
    return text


def _within(fields: Mapping[str, Any], name: str) -> Any:
    """:raises BadInput: it is missing"""
    if name not in fields:
        raise BadInput(phrase("{name} is missing", name=name))
    return fields[name]


def _only(fields: Mapping[str, Any], *names: str) -> None:
    for name in fields:
        if name not in names:
            raise BadInput(phrase("holds {shown}; expected {names}", shown=_shown(name), names=listed(names)))


def _listed(fields: Mapping[str, Any], name: str) -> list[Any]:
    made = _within(fields, name)
    if not isinstance(made, list) or len(made) > MOST_LISTED:
        raise BadInput(phrase("{name} is not a list of at most {most:,}", name=name, most=MOST_LISTED))
    return made


def _measure(fields: Mapping[str, Any], name: str, value: Value) -> str:
    """A measure as its text, once it was read."""
    text = line(_within(fields, name))
    try:
        value.read(text)
    except BadInput as error:
        raise error.at(name) from None
    return text


def day(name: str, text: str) -> Fields:
    """:raises BadInput: no name, or no date; ``where`` says which of them"""
    if not name or len(name) > MAX_TEXT or not name.isprintable():
        raise BadInput(phrase("a date needs a name; expected what it is, like open studio"), where="name")
    try:
        made = date.fromisoformat(text)
    except ValueError:
        raise BadInput(
            phrase('"{text}" is not a date; expected one like 2026-10-03', text=shorten(text, 20)),
            where="date",
        ) from None
    return {"name": name, "date": sane(made).isoformat()}


def is_date(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _day(key: str, fields: Mapping[str, Any]) -> Fields:
    if key != "next":
        raise BadInput(phrase("is not the next date; expected next"))
    return day(line(_within(fields, "name")), line(_within(fields, "date")))


def _progress(key: str, fields: Mapping[str, Any]) -> Fields:
    if _within(fields, "step") not in dressing_order.STEPS:
        raise BadInput(
            phrase(
                "holds a step that no warp has; expected one of {names}", names=listed(dressing_order.STEPS)
            )
        )
    return {"step": fields["step"]}


def _order(key: str, fields: Mapping[str, Any]) -> Fields:
    if key not in places.KINDS:
        raise BadInput(phrase("is an order of something else; expected {kinds}", kinds=listed(places.KINDS)))
    return {"keys": [_KEY.read(each) for each in _listed(fields, "keys")]}


def _weighings(key: str, fields: Mapping[str, Any]) -> Fields:
    return {"made": [_weighing(each) | {"who": line(each["who"])} for each in _rows(fields, "who")]}


def _mistakes(key: str, fields: Mapping[str, Any]) -> Fields:
    made = []
    for each in _rows(fields, "right"):
        right = line(each["right"])
        made.append(_weighing(each) | {"right": _measure(each, "right", _WEIGHT) if right else ""})
    return {"made": made}


def _rows(fields: Mapping[str, Any], more: str) -> Iterator[Mapping[str, Any]]:
    for each in _listed(fields, "made"):
        for name in ("day", "gross", "tare", more):
            _within(_table(each, "a weighing"), name)
        _only(each, "day", "gross", "tare", more)
        yield each


def _weighing(each: Mapping[str, Any]) -> Fields:
    when = line(each["day"])
    if when not in (UNDATED, ""):
        try:
            datetime.fromisoformat(when)
        except ValueError:
            raise BadInput(
                phrase("{shown} is not a day; expected one like 2026-10-03", shown=_shown(when))
            ) from None
    return {"day": when} | {name: _measure(each, name, _WEIGHT) for name in ("gross", "tare")}


def _beam(key: str, fields: Mapping[str, Any]) -> Fields:
    _only(fields, *BEAM)
    return {name: _measure(fields, name, BEAM[name]) for name in fields}


_READ: Mapping[str, Callable[[str, Mapping[str, Any]], Fields]] = {
    "progress": _progress,
    "day": _day,
    "order": _order,
    "weighings": _weighings,
    "mistakes": _mistakes,
    "happened": project_record.checked,
    "beam": _beam,
    "tested": old_test_weave.checked,
    "agreed": agreed_plan.checked,
    photos.KIND: photos.checked,
    "facts": facts.checked,
}

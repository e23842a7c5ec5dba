"""Values of the guild file about an event: hours, days with their hours, moments, prices of a cone."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from loomready.event import hours_text
from loomready.guildfile.kinds import SOME_WEIGHT
from loomready.guildfile.values import Count, Value, is_line, show
from loomready.model.event import Hours, Opening
from loomready.phrases import Phrase, phrase
from loomready.problems import BadInput
from loomready.units import System


@dataclass(frozen=True, slots=True)
class HoursText(Value):
    """Hours as a person says them, kept as they were typed."""

    def read(self, value: object) -> Hours:
        if isinstance(value, str) and not is_line(value):
            raise BadInput(
                phrase(
                    "{written} holds a character that cannot be printed; expected {expected}",
                    written=show(value),
                    expected=self.says,
                )
            )
        return hours_text.read_hours(value)

    def write(self, value: Any, system: System) -> str:
        return str(value.text)

    @property
    def says(self) -> Phrase:
        return phrase('hours like "every tue 18:30-21:00", "2026-10-03 10:00-13:00" or "not the 12th"')

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": hours_text.MOST_TEXT}


@dataclass(frozen=True, slots=True)
class DayWithHours(Value):
    """A day of an event, from opening to closing."""

    def read(self, value: object) -> Opening:
        return hours_text.read_opening(value)

    def write(self, value: Any, system: System) -> str:
        return hours_text.write_opening(value)

    @property
    def says(self) -> Phrase:
        return phrase('a day with its hours like "2026-10-17 10:00-16:00"')

    def json_schema(self) -> dict[str, Any]:
        return {
            "type": "string",
            "pattern": r"^\s*\d{4}-\d{2}-\d{2}\s+\d{1,2}:\d{2}\s*[-–]\s*\d{1,2}:\d{2}\s*$",
        }


@dataclass(frozen=True, slots=True)
class Moment(Value):
    """A date and a time of day."""

    def read(self, value: object) -> datetime:
        return hours_text.read_moment(value)

    def write(self, value: Any, system: System) -> str:
        return hours_text.write_moment(value)

    @property
    def says(self) -> Phrase:
        return phrase('a date with a time like "2026-10-16 18:00"')

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": r"^\s*\d{4}-\d{2}-\d{2}[ T]\d{1,2}:\d{2}(:00)?\s*$"}


_PRICE = re.compile(r"\s*(\d{1,7})(\.\d{1,2})?\s*", re.ASCII)


@dataclass(frozen=True, slots=True)
class Price(Value):
    """A plain price, in the guild's currency."""

    def read(self, value: object) -> Decimal:
        if not isinstance(value, str) or len(value) > 40 or _PRICE.fullmatch(value) is None:
            raise BadInput(
                phrase(
                    "{written} is not a price; expected {expected}", written=show(value), expected=self.says
                )
            )
        return Decimal(value.strip())

    def write(self, value: Any, system: System) -> str:
        return f"{value:.2f}"

    @property
    def says(self) -> Phrase:
        return phrase('a price like "18.50"')

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": r"^\s*\d{1,7}(\.\d{1,2})?\s*$"}


_PIECES = Count(1, 10_000)


@dataclass(frozen=True, slots=True)
class WeightOrCount(Value):
    """A weight of yarn, or a bare number of things."""

    def read(self, value: object) -> int | float:
        read: int | float = (SOME_WEIGHT if isinstance(value, str) else _PIECES).read(value)
        return read

    def write(self, value: Any, system: System) -> Any:
        return value if isinstance(value, int) else SOME_WEIGHT.write(value, system)

    @property
    def says(self) -> Phrase:
        return phrase('a weight like "30 g", or how many')

    def json_schema(self) -> dict[str, Any]:
        return {"anyOf": [SOME_WEIGHT.json_schema(), _PIECES.json_schema()]}

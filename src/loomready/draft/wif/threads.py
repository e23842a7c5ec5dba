"""The threads of one side of a WIF file, warp or weft: how many, their spacing and thickness."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

import numpy as np

from loomready.draft.draft import Floats
from loomready.draft.wif.text import Entry, Numbers, WifText, keyed, numbered, whole
from loomready.phrases import phrase, word
from loomready.problems import BadInput, Problem, shorten

Side = Literal["warp", "weft"]

MAX_MM = 1_000  # a thread a meter wide is not a thread

MM = {"decipoints": 25.4 / 720, "inches": 25.4, "centimeters": 10.0}
"""Millimeters to a unit of length of WIF 1.1 (a decipoint is a tenth of a point, 1/720 inch)."""

_UNITS = {
    **dict.fromkeys(("decipoints", "decipoint"), "decipoints"),
    **dict.fromkeys(("inches", "inch", "in"), "inches"),
    **dict.fromkeys(("centimeters", "centimeter", "centimetres", "centimetre", "cm"), "centimeters"),
}
_DECIMAL = re.compile(
    r"\+?(?:[0-9]{1,30}(?:[.,][0-9]{0,60})?|[.,][0-9]{1,60})(?:[eE][+-]?[0-9]{1,3})?", re.ASCII
)


@dataclass(frozen=True, slots=True)
class Threads:
    """One side of the file, its lists by thread not yet understood."""

    side: Side
    noun: str
    head: dict[str, Entry]
    count: int
    order: dict[str, dict[int, Entry]]
    colors: dict[int, Entry]
    spacing: dict[int, Entry]
    thickness: dict[int, Entry]


def threads(text: WifText, side: Side, noun: str, order: tuple[str, ...], most: int) -> Threads:
    """Reads a side. ``order``: the sections that say what each thread does.

    The count is what the side's Threads says, or where that is missing the greatest number used.

    :raises BadInput: no threads, more than ``most``, or a number past the end
    """
    head, many = keyed(text, side), word(f"{noun}s")
    declared = whole(head.get("threads"), most, phrase("count of {ends_or_picks}", ends_or_picks=many))
    if declared == 0:
        raise BadInput(
            phrase("is 0; expected at least one {end_or_pick}", end_or_pick=word(noun)),
            where=("line", head["threads"][1]),
        )
    if declared is None:
        says = phrase("a draft has at most {most} {ends_or_picks}", most=most, ends_or_picks=many)
        numbers = Numbers(noun, most, says)
    else:
        says = phrase("[{section}] Threads is {threads}", section=side.upper(), threads=declared)
        numbers = Numbers(noun, declared, says)
    lists = {name: numbered(text, name, numbers) for name in order}
    colors, spacing, thickness = (
        numbered(text, f"{side} {what}", numbers) for what in ("colors", "spacing", "thickness")
    )
    used = max(
        (max(entries, default=0) for entries in (*lists.values(), colors, spacing, thickness)), default=0
    )
    count = declared or used
    if not count:
        raise BadInput(
            phrase(
                "there are no {ends_or_picks}; expected Threads= or a list by {end_or_pick}",
                ends_or_picks=many,
                end_or_pick=word(noun),
            ),
            where=f"[{side.upper()}]",
        )
    return Threads(side, noun, head, count, lists, colors, spacing, thickness)


def lengths(side: Threads, what: Literal["spacing", "thickness"], warnings: list[Problem]) -> Floats | None:
    """Spacing or thickness of each thread in mm, float64[count]; None where the file gives none."""
    default = side.head.get(what, ("", 0))
    listed = side.spacing if what == "spacing" else side.thickness
    if not default[0] and not listed:
        return None
    unit = _unit(side, what, warnings)
    if unit is None:
        return None
    usual = _millimeters(default, unit) if default[0] else 0.0
    own = {number: _millimeters(entry, unit) for number, entry in listed.items()}
    if not usual and not own:
        return None
    if not usual and len(own) < side.count:
        usual = Counter(own.values()).most_common(1)[0][0]
        warnings.append(
            Problem(
                "wif-spacing",
                "warn",
                phrase(
                    "[{section}] leaves out {left_out} of {threads} {ends_or_picks} and there is no default; "
                    "they get the most common {spacing_or_thickness}",
                    section=f"{side.side} {what}".upper(),
                    left_out=side.count - len(own),
                    threads=side.count,
                    ends_or_picks=word(f"{side.noun}s"),
                    spacing_or_thickness=word(what),
                ),
            )
        )
    found = np.full(side.count, usual)
    found[np.fromiter(own, dtype=np.intp, count=len(own)) - 1] = list(own.values())
    return found


def _unit(side: Threads, what: str, warnings: list[Problem]) -> str | None:
    written, line = side.head.get("units", ("", 0))
    if written:
        unit = _UNITS.get(written.casefold())
        if unit is None:
            raise BadInput(
                phrase(
                    '"{text}" is not a unit; expected decipoints, inches or centimeters',
                    text=shorten(written),
                ),
                where=("line", line),
            )
        return unit
    warnings.append(
        Problem(
            "wif-units",
            "warn",
            phrase(
                "[{section}] has no Units; its {spacing_or_thickness} is left out of the draft",
                section=side.side.upper(),
                spacing_or_thickness=word(what),
            ),
        )
    )
    return None


def _millimeters(entry: Entry, unit: str) -> float:
    value, line = entry
    if len(value) > 100 or not _DECIMAL.fullmatch(value):
        raise BadInput(
            phrase('"{text}" is not a length; expected a plain number', text=shorten(value)),
            where=("line", line),
        )
    number = Decimal(value.replace(",", "."))
    # Centimeters move the decimal point only, so that what the writer writes comes back exactly.
    mm = float(number.scaleb(1)) if unit == "centimeters" else float(number) * MM[unit]
    if not mm <= MAX_MM:
        raise BadInput(
            phrase(
                '"{number}" {unit} is not a length of a thread; expected at most {most} mm',
                number=shorten(value),
                unit=unit,
                most=MAX_MM,
            ),
            where=("line", line),
        )
    return mm

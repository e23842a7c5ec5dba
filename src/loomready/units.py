"""Quantities in and out: ``"20 in"`` in, the guild's units out.

Inside, one unit for each quantity, named in the field: lengths in mm (``_mm``) across the cloth and
m (``_m``) along it, weights in g, yarn in tex, densities in threads per cm (``_per_cm``), shares as
fractions. Texts are read against a short list of unit names; nothing in them is ever evaluated.
Factors come from pint's registry (exact inch, yard and pound: ASTM D2260-03, Table 1).
"""

from __future__ import annotations

import functools
import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from loomready.phrases import Phrase, phrase
from loomready.problems import BadQuantity, shorten

if TYPE_CHECKING:
    from collections.abc import Callable

    import pint

System = Literal["us", "metric"]

_WHOLE_SLACK = 1e-6  # of a yard or meter: a sum of binary fractions that misses a whole one by less is whole

_NUMBER = r"[+-]?(?:[0-9]{1,12}(?:\.[0-9]{1,17})?|\.[0-9]{1,17})"
_QUANTITY = re.compile(rf"\s*({_NUMBER})\s*([^\s0-9.+-][^\s]*(?:\s?[^\s]+)?)?\s*")


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """A kind of quantity: the units that may be written, each with pint's name, and the unit inside."""

    name: Phrase
    inside: str
    units: dict[str, str]
    example: str
    us: tuple[str, ...]
    metric: tuple[str, ...]
    metric_example: str = ""  # where the example is in units of the other system


_LENGTHS = {"in": "inch", "ft": "foot", "yd": "yard", "mm": "mm", "cm": "cm", "m": "m"}
_LENGTHS |= {"inch": "inch", "inches": "inch", '"': "inch", "yards": "yard", "yard": "yard", "feet": "foot"}

WIDTH_MM = Kind(phrase("length"), "mm", _LENGTHS, "20 in", ("in", "yd"), ("cm", "mm", "m"), "50 cm")
LENGTH_M = Kind(phrase("length"), "m", _LENGTHS, "4.5 yd", ("in", "yd"), ("cm", "m", "mm"), "4 m")
WEIGHT_G = Kind(
    phrase("weight"),
    "g",
    {"g": "g", "kg": "kg", "oz": "oz", "lb": "lb", "lbs": "lb"},
    "612 g",
    ("g", "oz", "lb"),
    ("g", "kg"),
)
GRIST_M_PER_G = Kind(
    phrase("grist"),
    "m/g",
    {
        "yd/lb": "yard/lb",
        "ypp": "yard/lb",
        "m/kg": "m/kg",
        "m/g": "m/g",
        "yd/oz": "yard/oz",
        "m/100g": "m/hg",
    },
    "3360 yd/lb",
    ("yd/lb",),
    ("m/kg", "m/g"),
    "6800 m/kg",
)
TEX = Kind(phrase("tex"), "tex", {"tex": "tex", "dtex": "dtex"}, "148 tex", ("tex",), ("tex",))
PER_CM = Kind(
    phrase("density"),
    "1/cm",
    {
        "/in": "1/inch",
        "/cm": "1/cm",
        "/10cm": "1/dm",
        "/10 cm": "1/dm",
        "epi": "1/inch",
        "ppi": "1/inch",
        "wpi": "1/inch",
        "ends/cm": "1/cm",
        "picks/cm": "1/cm",
    },
    "20 /in",
    ("/in",),
    ("/cm", "/10cm"),
    "8 /cm",
)
PER_M = Kind(
    phrase("number of flaws"),
    "1/m",
    {
        "/100 yd": "1/hectoyard",
        "/100yd": "1/hectoyard",
        "/yd": "1/yard",
        "/100 m": "1/hm",
        "/100m": "1/hm",
        "/m": "1/m",
    },
    "2 /100 yd",
    ("/100 yd", "/yd"),
    ("/100 m", "/m"),
    "2 /100 m",
)
SHARE = Kind(phrase("percentage"), "", {"%": "percent"}, "5 %", ("%",), ("%",))
TIME_H = Kind(
    phrase("time"),
    "hour",
    {"h": "hour", "hours": "hour", "hour": "hour", "min": "minute", "minutes": "minute"},
    "3 h",
    ("h", "min"),
    ("h", "min"),
)
PER_H = Kind(phrase("pace"), "1/hour", {"/h": "1/hour", "/min": "1/minute"}, "120 /h", ("/h",), ("/h",))
PRICE_PER_G = Kind(
    phrase("price"),
    "1/g",
    {"/g": "1/g", "/kg": "1/kg", "/lb": "1/lb", "/oz": "1/oz", "/100g": "1/hg"},
    "0.05 /g",
    ("/g", "/oz", "/lb"),
    ("/g", "/kg"),
)


@functools.cache
def factor(kind_inside: str, pint_name: str) -> float:
    """How many of the unit inside one of the written unit makes."""
    return float(_registry().Quantity(1, pint_name).to(kind_inside or "dimensionless").magnitude)


@functools.cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint  # 0.2 s to load: only when a quantity is read

    return pint.UnitRegistry(cache_folder=None)


def read(text: object, kind: Kind, expected: Phrase | None = None) -> float:
    """A written quantity in the unit inside.

    :param expected: what an error says is expected, in place of "a plain number and a unit"

    >>> round(read("20 in", WIDTH_MM), 6), read("5 %", SHARE), round(read("80 /10cm", PER_CM), 6)
    (508.0, 0.05, 8.0)

    :raises BadQuantity: no plain decimal number with a unit of this kind
    """
    if not isinstance(text, str):
        shown = (
            shorten(text) if isinstance(text, int | float) else phrase("a {type}", type=type(text).__name__)
        )
        raise BadQuantity(
            phrase(
                "{text} has no unit; expected {expected}", text=shown, expected=expected or _expected(kind)
            )
        )
    match = _QUANTITY.fullmatch(text) if len(text) <= 60 else None
    if match is None:
        raise BadQuantity(
            phrase(
                '"{text}" is not a quantity; expected {expected}',
                text=shorten(text),
                expected=expected or _expected(kind),
            )
        )
    number, unit = match.groups()
    if unit is None:
        raise BadQuantity(
            phrase(
                '"{text}" has no unit; expected {expected}',
                text=shorten(text),
                expected=expected or _expected(kind),
            )
        )
    if unit not in kind.units:
        raise BadQuantity(
            phrase(
                '"{unit}" is not a unit of {quantity}; expected {expected}',
                unit=shorten(unit),
                quantity=kind.name,
                expected=expected or _expected(kind),
            )
        )
    return float(number) * factor(kind.inside, kind.units[unit])


def _expected(kind: Kind) -> Phrase:
    return phrase('a plain number and a unit, like "{example}"', example=kind.example)


def write(value: float, kind: Kind, system: System) -> str:
    """The shortest text that reads back to the very same value, in the system's units if it can be so.

    What was read can always be written. Of computed values, a few lie between the numbers that texts
    can give, by a rounding of the last bit; these get the nearest text.

    >>> write(508.0, WIDTH_MM, "us"), write(508.0, WIDTH_MM, "metric"), write(0.05, SHARE, "us")
    ('20 in', '50.8 cm', '5 %')
    """
    own = kind.us if system == "us" else kind.metric
    other = kind.metric if system == "us" else kind.us
    best: tuple[int, str] | None = None
    for rank, unit in enumerate((*own, *other)):
        text = _shortest(value, kind, unit)
        # The system's first unit wins unless another says the same with far fewer digits.
        if text is not None:
            cost = len(text) + (0 if rank == 0 else 2 if rank < len(own) else 4)
            if best is None or cost < best[0]:
                best = (cost, text)
    if best is not None:
        return best[1]
    for unit in kind.units:
        text = _longest(value, kind, unit)
        if text is not None:
            return text
    text = f"{value / factor(kind.inside, kind.units[own[0]]):.17f} {own[0]}"
    read(text, kind)  # refuses what is too great for a text
    return text


def _shortest(value: float, kind: Kind, unit: str) -> str | None:
    shown = value / factor(kind.inside, kind.units[unit])
    for digits in range(13):
        number = f"{shown:.{digits}f}"
        text = f"{number} {unit}"
        if _reads_as(text, kind, value):
            return text
    return None


def _longest(value: float, kind: Kind, unit: str) -> str | None:
    """With all the digits that may be written: whatever was read in this unit is found again.

    Dividing by the unit's factor may miss the number that was read by a step or two.
    """
    shown = value / factor(kind.inside, kind.units[unit])
    for steps in (0, 1, -1, 2, -2):
        near_by = shown + steps * math.ulp(shown)
        text = f"{near_by:.17f}".rstrip("0").rstrip(".") + f" {unit}"
        if _reads_as(text, kind, value):
            return text
    return None


def _reads_as(text: str, kind: Kind, value: float) -> bool:
    try:
        return read(text, kind) == value
    except BadQuantity:  # more digits than may be written
        return False


def near(value: float, kind: Kind, unit: str, digits: int) -> str:
    """A rounded text for a person, in the given unit: ``near(508.0, WIDTH_MM, "in", 1)`` is ``"20 in"``."""
    return f"{_number(value, kind, unit, digits)} {unit}"


def _number(value: float, kind: Kind, unit: str, digits: int) -> str:
    number = f"{value / factor(kind.inside, kind.units[unit]):,.{digits}f}"
    return number.rstrip("0").rstrip(".") if "." in number else number


@dataclass(frozen=True, slots=True)
class Shown:
    """How a guild wants its figures shown: one method for each quantity, used by every screen and sheet."""

    system: System

    @property
    def us(self) -> bool:
        return self.system == "us"

    def width(self, mm: float) -> str:
        return near(mm, WIDTH_MM, "in", 2) if self.us else near(mm, WIDTH_MM, "cm", 1)

    def length(self, m: float) -> str:
        return near(m, LENGTH_M, "yd", 2) if self.us else near(m, LENGTH_M, "m", 2)

    def piece(self, m: float) -> str:
        """The length of an item: inches or centimeters."""
        return near(m, LENGTH_M, "in", 2) if self.us else near(m, LENGTH_M, "cm", 1)

    def yarn(self, m: float) -> str:
        return near(m, LENGTH_M, "yd", 0) if self.us else near(m, LENGTH_M, "m", 0)

    def yarn_needed(self, m: float) -> str:
        """A length of yarn that is needed or short: rounded up, never down."""
        return self.yarn(self._whole(m, math.ceil, -_WHOLE_SLACK))

    def yarn_there(self, m: float) -> str:
        """A length of yarn that is sure or available: rounded down, so that nothing is promised."""
        return self.yarn(self._whole(m, math.floor, _WHOLE_SLACK))

    def _whole(self, m: float, rounded: Callable[[float], int], slack: float) -> float:
        """The length in m that is a whole number of the guild's units."""
        each_m = factor(LENGTH_M.inside, LENGTH_M.units["yd" if self.us else "m"])
        return rounded(m / each_m + slack) * each_m

    def weight(self, g: float) -> str:
        """Ounces to a tenth or whole grams; below 50 g to a hundredth of an ounce, a tenth of a gram."""
        small = g < 50
        return near(g, WEIGHT_G, "oz", 1 + small) if self.us else near(g, WEIGHT_G, "g", int(small))

    def density(self, per_cm: float) -> str:
        """Threads to a length as the guild file writes it: "20 /in", "80 /10cm"."""
        return near(per_cm, PER_CM, "/in", 2) if self.us else near(per_cm, PER_CM, "/10cm", 1)

    def epi(self, per_cm: float) -> Phrase:
        """Ends to the inch, or to the centimeter: "20 epi", "8 ends/cm"."""
        if self.us:
            return phrase("{number} epi", number=_number(per_cm, PER_CM, "/in", 2))
        return phrase("{number} ends/cm", number=_number(per_cm, PER_CM, "/cm", 2))

    def close(self, per_cm: float) -> Phrase:
        """How close threads lie, for people who do not weave: "20 to the inch", "8 to the centimeter"."""
        if self.us:
            return phrase("{number} to the inch", number=_number(per_cm, PER_CM, "/in", 2))
        return phrase("{number} to the centimeter", number=_number(per_cm, PER_CM, "/cm", 2))

    def ppi(self, per_cm: float) -> Phrase:
        """Picks to the inch, or to the centimeter: "20 ppi", "8 picks/cm"."""
        if self.us:
            return phrase("{number} ppi", number=_number(per_cm, PER_CM, "/in", 2))
        return phrase("{number} picks/cm", number=_number(per_cm, PER_CM, "/cm", 2))

    def dents(self, per_cm: float) -> Phrase:
        """Dents to the inch, or to 10 cm as metric reeds are called: "12 dents/in", "40 dents/10 cm"."""
        if self.us:
            return phrase("{number} dents/in", number=_number(per_cm, PER_CM, "/in", 2))
        return phrase("{number} dents/10 cm", number=_number(per_cm, PER_CM, "/10 cm", 1))

    def grist(self, m_per_g: float) -> str:
        return near(m_per_g, GRIST_M_PER_G, "yd/lb" if self.us else "m/kg", 0)

    def share(self, fraction: float) -> str:
        return near(fraction, SHARE, "%", 1)

"""Reads quantities as people type them into plain decimals with a unit: ``8 1/2 in`` is ``8.5 in``.

Fractions, decimal commas, pounds with ounces and feet with inches are read; an ambiguous one is an error that
lists its readings. Nothing is evaluated. The guild file itself knows only plain decimals.
"""

from __future__ import annotations

import itertools
import re
import unicodedata
from fractions import Fraction

from django.utils.translation import gettext as _

from loomready.problems import BadQuantity, shorten
from loomready.units import PRICE_PER_G, Kind, factor, read

LONGEST = 60
DIGITS = 6  # for numbers that no decimal gives exactly, such as a third
_VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_PART = re.compile(
    rf"""\s*(?P<sign>[+-]?)
    (?: (?:(?P<whole>[0-9]{{1,12}})(?:\s+|-))? (?P<over>[0-9]{{1,6}})\s?[/⁄]\s?(?P<under>[0-9]{{1,6}})
      | (?P<ahead>[0-9]{{1,12}})?\s?(?P<vulgar>[{_VULGAR}])
      | (?P<number>[0-9][0-9.,]*|[.,][0-9]+) )
    \s*(?P<unit>[^\s0-9.,+-][^0-9,+-]*?(?:\s?10\s?cm|100g)?)?(?=\s*$|\s*,?\s+[0-9{_VULGAR}]|(?<=['’′ft])\s*[0-9])""",
    re.VERBOSE,
)
_NAMES = {
    "″": "in",
    "”": "in",
    "''": "in",
    "'": "ft",
    "’": "ft",
    "′": "ft",
    "foot": "ft",
    "yds": "yd",
    "meter": "m",
    "meters": "m",
    "gram": "g",
    "grams": "g",
    "ounce": "oz",
    "ounces": "oz",
    "pound": "lb",
    "pounds": "lb",
}


def plain(text: str, kind: Kind, unit: str) -> str:
    """The text as a plain decimal number and a unit; ``unit`` is the one of a number that has none.

    A text that is not a quantity is returned as it is, for the guild file's reader to refuse.

    :raises BadQuantity: it may mean two things
    """
    if len(text) > LONGEST:
        return text
    if kind is PRICE_PER_G:
        text = _price(text)
    if _is_plain(text, kind):
        return re.sub(r"^([+-]?[0-9.]+)(?=[^0-9.\s])", r"\1 ", text.strip())
    parts: list[tuple[Fraction, str, str]] = []
    at = 0
    while at < len(text.rstrip()):
        match = _PART.match(text, at)
        if match is None or (parts and match["sign"]):
            return text
        name = (match["unit"] or "").strip()
        if name and _known(name, kind) is None:
            return text
        number = _number(match, name or unit)
        if number is None:
            return text
        parts.append((number, _known(name, kind) or "", _written(match)))
        at = match.end()
        while text[at : at + 1] in (",", " "):
            at += 1
    if not parts:
        return text
    if len(parts) == 1:
        number, name, written = parts[0]
        return f"{written or decimal(number)} {name or unit}"
    return _together([(number, name) for number, name, _written in parts], kind) or text


_PER = re.compile(
    r"""(?P<before>[^\d\s/.,+-]{1,4})?\s*(?P<number>[\d.,]+)\s*(?P<after>(?!per\b|a\b|for\b)[^\d\s/.,+-]{1,4})?
    (?:\s*(?:/|\b(?:per|a|for)\b)\s*(?P<parts>\d{1,4})?\s*(?P<unit>g|kg|oz|lb|grams?|ounces?|pounds?|lbs)\.?)?""",
    re.VERBOSE | re.IGNORECASE,
)


def _price(text: str) -> str:
    """A price with its currency, as a number by weight: "$14 a pound" is "14 /lb"."""
    match = _PER.fullmatch(text.strip())
    if match is None:
        return text
    if match["unit"] is None:
        return match["number"]
    typed = match["unit"].lower()
    unit = "lb" if typed == "lbs" else _NAMES.get(typed, typed)
    parts = int(match["parts"] or 1)
    if (parts, unit) == (100, "g"):
        return f"{match['number']} /100g"
    number = _with_point(match["number"], f"/{unit}")
    if number is None or parts == 0:
        return text
    return f"{match['number'] if parts == 1 else decimal(Fraction(number) / parts)} /{unit}"


def _is_plain(text: str, kind: Kind) -> bool:
    try:
        read(text, kind)
    except BadQuantity:
        return False
    return True


def names(kind: Kind) -> dict[str, str]:
    """Every name of a unit that may be typed, and the unit as the guild file writes it."""
    also = {name: meant for name, meant in _NAMES.items() if meant in kind.units}
    return {name: name for name in kind.units} | also


def _known(name: str, kind: Kind) -> str | None:
    """The unit as the guild file writes it."""
    for each in (name, name.lower(), name.rstrip("."), name.lower().rstrip(".")):
        if each in kind.units:
            return each
        if _NAMES.get(each) in kind.units:
            return _NAMES[each]
    return None


def _written(match: re.Match[str]) -> str:
    """The number as it was typed, if the guild file can hold it."""
    number = match["number"]
    if number is None or "," in number or number.count(".") > 1 or number.endswith("."):
        return ""
    return f"{match['sign']}{number}"


def _number(match: re.Match[str], unit: str) -> Fraction | None:
    sign = -1 if match["sign"] == "-" else 1
    if match["over"] is not None:
        if int(match["under"]) == 0:
            return None
        return sign * (int(match["whole"] or 0) + Fraction(int(match["over"]), int(match["under"])))
    if match["vulgar"] is not None:
        share = Fraction(unicodedata.numeric(match["vulgar"])).limit_denominator(10)
        return sign * (int(match["ahead"] or 0) + share)
    text = _with_point(match["number"], unit)
    return None if text is None else sign * Fraction(text)


def _with_point(text: str, unit: str) -> str | None:
    """A number with commas in it, as one with a decimal point.

    :raises BadQuantity: the comma may stand for thousands or for the decimal point
    """
    if re.fullmatch(r"[1-9][0-9]{0,2}(,[0-9]{3}){2,}(\.[0-9]+)?|[1-9][0-9]{0,2},[0-9]{3}\.[0-9]+", text):
        return text.replace(",", "")
    if re.fullmatch(r"[1-9][0-9]{0,2}(\.[0-9]{3})+,[0-9]+", text):
        return text.replace(".", "").replace(",", ".")
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", text):
        raise BadQuantity(
            _("“%(text)s” may mean two things; expected %(whole)s %(unit)s or %(part)s %(unit)s")
            % {
                "text": shorten(text),
                "whole": text.replace(",", ""),
                "part": text.replace(",", "."),
                "unit": unit,
            }
        )
    if re.fullmatch(r"[0-9]*,[0-9]+", text):
        return f"0{text}".replace(",", ".")
    if re.fullmatch(r"[0-9]+\.?|[0-9]*\.[0-9]+", text):
        return f"0{text}"
    return None


def _together(parts: list[tuple[Fraction, str]], kind: Kind) -> str:
    """Pounds and ounces as ounces, feet and inches as inches; nothing if the parts do not go together."""
    if not all(name for _number, name in parts):
        return ""
    sizes = [factor(kind.inside, kind.units[name]) for _number, name in parts]
    total = Fraction(0)
    for (number, _name), size in zip(parts, sizes, strict=True):
        ratio = size / sizes[-1]
        if abs(ratio - round(ratio)) > 1e-9:
            return ""
        total += number * round(ratio)
    falling = all(ahead > behind for ahead, behind in itertools.pairwise(sizes))
    whole = all(number.denominator == 1 for number, _name in parts[:-1])
    fits = all(
        number * behind < ahead
        for (number, _name), ahead, behind in zip(parts[1:], sizes, sizes[1:], strict=False)
    )
    smallest = "in" if parts[-1][1] == '"' else parts[-1][1]
    return f"{decimal(total)} {smallest}" if falling and whole and fits else ""


def decimal(number: Fraction) -> str:
    """The number with as many digits as it has, or as six where it never ends."""
    for digits in range(13):
        if (number * 10**digits).denominator == 1:
            return _digits(number, digits)
    return _digits(number, DIGITS)


def _digits(number: Fraction, digits: int) -> str:
    whole = round(abs(number) * 10**digits)
    text = str(whole).rjust(digits + 1, "0")
    sign = "-" if number < 0 else ""
    return f"{sign}{text[:-digits]}.{text[-digits:]}" if digits else f"{sign}{text}"

"""Names from outside, made fit for print: what no font can show gets a box, what steers text is dropped."""

from __future__ import annotations

import functools
import unicodedata
from collections.abc import Callable
from typing import Any

BOX = "□"
_KEPT_FORMATS = "\u200c\u200d\u200e\u200f"  # joiners and marks that Arabic, Hebrew and Persian names need
_PLAIN = 0x180  # Latin letters below this are in every font of the house
_MOST_ASKED = 400  # different signs that are looked up for one packet; more are boxes


def fit(data: Any, in_fonts: Callable[[str], bool]) -> Any:
    """The same tree of lists and dicts with every text fit for print.

    :param in_fonts: whether some font of the packet can show a sign
    """
    known: dict[str, bool] = {}

    def shown(sign: str) -> str:
        if sign.isspace():
            return " "
        if sign in _KEPT_FORMATS:
            return sign
        kind = unicodedata.category(sign)
        if kind in ("Cc", "Cf"):
            return ""
        if kind in ("Cs", "Co", "Cn"):
            return BOX
        if ord(sign) < _PLAIN:
            return sign
        if sign not in known:
            known[sign] = len(known) < _MOST_ASKED and in_fonts(sign)
        return sign if known[sign] else BOX

    @functools.cache
    def text(value: str) -> str:
        if value.isascii() and value.isprintable():
            return value
        return "".join(map(shown, value))

    def tree(value: Any) -> Any:
        if isinstance(value, str):
            return text(value)
        if isinstance(value, dict):
            return {key: tree(inner) for key, inner in value.items()}
        if isinstance(value, list | tuple):
            return [tree(inner) for inner in value]
        return value

    return tree(data)

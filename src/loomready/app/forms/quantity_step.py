"""One step up or down for a written quantity: "13 in" and one up is "14 in"."""

from __future__ import annotations

import re
from decimal import Decimal

_NUMBER = re.compile(r"\s*(\d+(?:\.\d+)?)(.*)", re.DOTALL)
_TENTHS = {"m", "yd"}


def step(text: str, up: bool) -> str:
    """The next round number; a tenth for yards and meters. A text that is not a number stays as it is."""
    match = _NUMBER.fullmatch(text)
    if match is None:
        return text
    size = Decimal("0.1") if match.group(2).strip() in _TENTHS else Decimal(1)
    number = Decimal(match.group(1)) + (size if up else -size)
    return f"{number.normalize():f}{match.group(2)}" if number > 0 else text

"""Colors as they are written and kept: ``"#3d5166"`` outside, three code values 0-255 (sRGB) inside."""

from __future__ import annotations

import re

from loomready.phrases import phrase
from loomready.problems import BadInput, shorten

RGB = tuple[int, int, int]

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def parse_color(text: object) -> RGB:
    """A color written as ``#rrggbb``.

    >>> parse_color("#3d5166")
    (61, 81, 102)

    :raises BadInput: anything else
    """
    if not isinstance(text, str) or _HEX.fullmatch(text) is None:
        shown = f'"{shorten(text)}"' if isinstance(text, str) else shorten(repr(text))
        raise BadInput(phrase('{shown} is not a color; expected "#rrggbb", like "#3d5166"', shown=shown))
    return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def hex_color(color: RGB) -> str:
    """The color as ``#rrggbb``, small letters: what :func:`parse_color` reads back.

    >>> hex_color((61, 81, 102))
    '#3d5166'
    """
    red, green, blue = color
    return f"#{red:02x}{green:02x}{blue:02x}"

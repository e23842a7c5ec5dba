"""The colors of a WIF file: its palette, and which entry each thread has."""

from __future__ import annotations

import colorsys
from collections import Counter
from dataclasses import dataclass

import numpy as np

from loomready.draft.draft import DARK, LIGHT, RGB, Ints
from loomready.draft.wif.text import Entry, Numbers, WifText, keyed, numbered, whole, wholes
from loomready.draft.wif.threads import Threads
from loomready.phrases import phrase, word
from loomready.problems import BadInput, Problem

MAX_COLORS = 32_000  # an int16 points to them
_MAX_LEVEL = 2**24
_GRAY: RGB = (150, 146, 140)
_COLOR_NUMBER, _COLOR_LEVEL = phrase("color number"), phrase("color level")


@dataclass(frozen=True, slots=True)
class Colors:
    palette: tuple[RGB, ...]
    warp: Ints
    weft: Ints


@dataclass(frozen=True, slots=True)
class _Side:
    """The colors of one side, from 1; 0: the default."""

    threads: Threads
    own: dict[int, int]
    default: int

    @property
    def used(self) -> int:
        return max(max(self.own.values(), default=0), self.default)

    @property
    def usual(self) -> int:
        """The color to differ from: the default or the most common one, 0 where none is given."""
        common = Counter(color for color in self.own.values() if color).most_common(1)
        return self.default or (common[0][0] if common else 0)

    def array(self, default: int) -> Ints:
        found = np.full(self.threads.count, default, dtype=np.int16)
        numbers = [number - 1 for number, color in self.own.items() if color]
        found[numbers] = [color for color in self.own.values() if color]
        return found - np.int16(1)


def colors(text: WifText, warp: Threads, weft: Threads, warnings: list[Problem]) -> Colors:
    """Palette in RGB 0-255, int16[E] and int16[P] into it.

    A side without a color of its own gets one that contrasts with the other's. Without a color table
    the palette is dark (warp) and light (weft), and other colors of the threads get default colors.
    """
    head = keyed(text, "color palette")
    says = phrase("a palette has at most {most} colors", most=MAX_COLORS)
    rows = numbered(text, "color table", Numbers("color", MAX_COLORS, says))
    table = {number: _triple(entry) for number, entry in rows.items()}
    beside: dict[int, RGB] = {}  # colors that stand with [WARP] or [WEFT]
    first, second = _side(warp, table, beside), _side(weft, table, beside)
    span = _range(head.get("range"), (*table.values(), *beside.values()))
    if any(not span[0] <= level <= span[1] for color in table.values() for level in color):
        warnings.append(
            Problem(
                "wif-colors",
                "warn",
                phrase(
                    "[COLOR TABLE] goes beyond its Range {lowest},{highest}; cut off there",
                    lowest=span[0],
                    highest=span[1],
                ),
            )
        )
    known = {number: _scale(color, span) for number, color in (beside | table).items()}
    if table:
        entries = whole(head.get("entries"), 10**9, phrase("count of colors")) or 0
        _refuse_unknown(first, max(*known, entries))
        _refuse_unknown(second, max(*known, entries))
    palette = _palette(
        known, {*first.own.values(), first.default, *second.own.values(), second.default}, warnings
    )
    if not table and len(palette) == 1:  # a single color: warp and weft must still differ
        palette += (max(DARK, LIGHT, key=lambda color: _distance(color, palette[0])),)
    warp_default = first.default or _against(palette, second.usual)
    weft_default = second.default or _against(palette, first.usual or warp_default)
    return Colors(palette, first.array(warp_default), second.array(weft_default))


def _side(threads: Threads, table: dict[int, RGB], own: dict[int, RGB]) -> _Side:
    picked = {number: _index(entry) for number, entry in threads.colors.items()}
    default = 0
    entry = threads.head.get("color")
    if entry is not None and entry[0]:
        numbers = wholes(*entry, _MAX_LEVEL, word("color"))
        if len(numbers) in (1, 4):
            default = _index((str(numbers[0]), entry[1]))
        elif len(numbers) != 3:
            raise BadInput(
                phrase(
                    "has {numbers} numbers; expected a palette number, or one with red, green, blue",
                    numbers=len(numbers),
                ),
                where=("line", entry[1]),
            )
        if len(numbers) >= 3:
            color = (numbers[-3], numbers[-2], numbers[-1])
            # Without a table both sides may call their color number 1, and mean two colors.
            if not default or (default not in table and own.get(default, color) != color):
                default = max((*table, *own), default=0) + 1
            own[default] = color
    return _Side(threads, picked, default)


def _index(entry: Entry) -> int:
    return whole(entry, MAX_COLORS, _COLOR_NUMBER) or 0


def _triple(entry: Entry) -> RGB:
    levels = wholes(*entry, _MAX_LEVEL, _COLOR_LEVEL)
    if len(levels) != 3:
        raise BadInput(
            phrase("a color of {numbers} numbers; expected red,green,blue", numbers=len(levels)),
            where=("line", entry[1]),
        )
    return levels[0], levels[1], levels[2]


def _range(entry: Entry | None, found: tuple[RGB, ...]) -> tuple[int, int]:
    """Lowest and highest level of a color; without a Range the smallest usual one that holds all."""
    if entry is None or not entry[0]:
        top = max((level for color in found for level in color), default=0)
        return 0, next((high for high in (255, 999, 65_535) if top <= high), top)
    numbers = wholes(*entry, _MAX_LEVEL, _COLOR_LEVEL)
    if len(numbers) != 2 or numbers[0] >= numbers[1]:
        raise BadInput(
            phrase("is not a range of levels; expected lowest,highest like 0,255"), where=("line", entry[1])
        )
    return numbers[0], numbers[1]


def _scale(color: RGB, span: tuple[int, int]) -> RGB:
    low, high = span
    red, green, blue = ((min(max(level, low), high) - low) * 255 / (high - low) for level in color)
    return round(red), round(green), round(blue)


def _palette(known: dict[int, RGB], used: set[int], warnings: list[Problem]) -> tuple[RGB, ...]:
    """Colors 1 to the greatest known or used. One that the file does not define: gray, or a default color."""
    missing = used - known.keys() - {0}
    if missing:
        warnings.append(
            Problem(
                "wif-colors",
                "warn",
                phrase(
                    "color {number} is not in the color table; shown in a default color",
                    number=min(missing),
                ),
            )
        )
    last = max(*known, *used, 0, 0)
    if not known:
        return tuple(_ours(number) for number in range(1, max(last, 2) + 1))
    return tuple(known.get(number, _GRAY) for number in range(1, last + 1))


def _refuse_unknown(side: _Side, last: int) -> None:
    for number, color in side.own.items():
        if color > last:
            raise BadInput(
                phrase(
                    "{end_or_pick} {number} has color {color}; the color table ends at {last}",
                    end_or_pick=word(side.threads.noun),
                    number=number,
                    color=color,
                    last=last,
                ),
                where=("line", side.threads.colors[number][1]),
            )
    if side.default > last:
        raise BadInput(
            phrase("is color {color}; the color table ends at {last}", color=side.default, last=last),
            where=("line", side.threads.head["color"][1]),
        )


def _ours(number: int) -> RGB:
    """Color ``number`` where the file has no table: dark, light, then widely spaced hues."""
    if number <= 2:
        return DARK if number == 1 else LIGHT
    red, green, blue = colorsys.hls_to_rgb(
        (0.05 + 0.381966 * (number - 3)) % 1.0, 0.45 + 0.1 * (number % 3), 0.5
    )
    return round(red * 255), round(green * 255), round(blue * 255)


def _against(palette: tuple[RGB, ...], number: int) -> int:
    """The color, from 1, that stands out most from color ``number``; the first where that is 0."""
    if not number:
        return 1
    return 1 + max(range(len(palette)), key=lambda at: _distance(palette[at], palette[number - 1]))


def _distance(one: RGB, two: RGB) -> float:
    """How far apart two colors are in lightness (weights of ITU-R BT.601 luma), hue counting a little."""
    differences = [a - b for a, b in zip(one, two, strict=True)]
    luma = 0.299 * differences[0] + 0.587 * differences[1] + 0.114 * differences[2]
    return abs(luma) + 0.1 * sum(map(abs, differences))

"""The trade-off between width and length as a staircase: sizes under it can be woven.

Each corner is a link. A round one is limited by a yarn and has its color; a square one by loom, reed or
heddles. Words for both stand in the table under the picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.media.pictures import Strips
from loomready.colors import hex_color
from loomready.units import WIDTH_MM, Shown, factor

RGB = tuple[int, int, int]
WIDE, NARROW, HIGH = 900, 340, 360
LEFT, RIGHT, TOP, LOW = 64, 18, 26, 48
FEW = 7  # points that can all carry their words
STEPS = (1, 2, 2.5, 5, 10)


@dataclass(frozen=True, slots=True)
class Point:
    """A corner of the staircase. ``color``: of the yarn that binds; None: something else does."""

    width_mm: float
    sets: int
    words: str
    address: str
    color: RGB | None
    chosen: bool


def picture(points: Sequence[Point], planned: tuple[float, int], show: Shown) -> Strips:
    """The staircase for a wide and for a narrow screen. ``planned``: finished width in mm, sets."""
    wide, narrow = (str(_Drawing(points, planned, show, width).svg()) for width in (WIDE, NARROW))
    return Strips(wide, narrow)


class _Drawing:
    def __init__(self, points: Sequence[Point], planned: tuple[float, int], show: Shown, width: int) -> None:
        self.points, self.planned, self.show, self.wide = points, planned, show, width
        self.unit_mm = factor(WIDTH_MM.inside, "inch" if show.us else "cm")
        self.most_mm = max(*(point.width_mm for point in points), planned[0]) * 1.06
        self.most_sets = max(*(point.sets for point in points), planned[1])

    def x(self, width_mm: float) -> float:
        return round(LEFT + (self.wide - LEFT - RIGHT) * width_mm / self.most_mm, 1)

    def y(self, sets: float) -> float:
        share = sets / (self.most_sets + 0.4)
        return round(HIGH - LOW - (HIGH - LOW - TOP) * share, 1)

    def svg(self) -> SafeString:
        return format_html(
            '<svg class="stairs" viewBox="0 0 {} {}" role="group" aria-label="{}">{}{}{}{}</svg>',
            self.wide,
            HIGH,
            _("Width against length: sizes under the line can be woven"),
            self._axes(),
            self._room(),
            self._planned(),
            format_html_join("", "{}", ((self._corner(point),) for point in self.points)),
        )

    def _room(self) -> SafeString:
        """The possible sizes: an area under the corners."""
        base = self.y(0)
        path = f"M{self.x(0)} {base}V{self.y(self.points[0].sets)}"
        for point in self.points:
            path += f"V{self.y(point.sets)}H{self.x(point.width_mm)}"
        return format_html('<path class="room" d="{}V{}Z"/>', path, base)

    def _axes(self) -> SafeString:
        across = format_html_join(
            "",
            '<path class="rule" d="M{} {}V{}"/><text x="{}" y="{}" text-anchor="middle">{}</text>',
            (
                (x, TOP, self.y(0), x, self.y(0) + 18, f"{tick:g}")
                for tick in self._widths()
                for x in (self.x(tick * self.unit_mm),)
            ),
        )
        up = format_html_join(
            "",
            '<path class="rule" d="M{} {}H{}"/><text x="{}" y="{}" text-anchor="end">{}</text>',
            (
                (LEFT, y, self.wide - RIGHT, LEFT - 8, y + 5, tick)
                for tick in self._sets()
                for y in (self.y(tick),)
            ),
        )
        return format_html(
            '{}{}<text class="axis" x="{}" y="{}" text-anchor="end">{}</text>'
            '<text class="axis" x="4" y="{}">{}</text>',
            across,
            up,
            self.wide - RIGHT,
            HIGH - 8,
            _("finished width, in") if self.show.us else _("finished width, cm"),
            TOP - 10,
            _("sets"),
        )

    def _widths(self) -> list[float]:
        """Round numbers along the width, no more than fit."""
        most = self.most_mm / self.unit_mm
        wanted = most / (9 if self.wide == WIDE else 4)
        scale = 10 ** math.floor(math.log10(wanted))
        step = next(each * scale for each in STEPS if each * scale >= wanted)
        return [number * step for number in range(int(most / step) + 1)]

    def _sets(self) -> list[int]:
        """Whole numbers up the side, no closer than a line of text."""
        kept: list[int] = []
        for sets in range(self.most_sets + 1):
            if not kept or self.y(kept[-1]) - self.y(sets) >= 22:
                kept.append(sets)
        return kept

    def _planned(self) -> SafeString:
        x, y = self.x(self.planned[0]), self.y(self.planned[1])
        right = x > self.wide * 0.6
        return format_html(
            '<path class="planned" d="M{} {}l9 9l-9 9l-9 -9z"/>'
            '<text class="axis" x="{}" y="{}" text-anchor="{}">{}</text>',
            x,
            y - 9,
            x - 14 if right else x + 14,
            y + 24,
            "end" if right else "start",
            _("planned"),
        )

    def _corner(self, point: Point) -> SafeString:
        x, y = self.x(point.width_mm), self.y(point.sets)
        if point.color is None:
            shape = format_html('<rect class="bound" x="{}" y="{}" width="18" height="18"/>', x - 9, y - 9)
        else:
            shape = format_html(
                '<circle class="bound" cx="{}" cy="{}" r="10" fill="{}"/>', x, y, hex_color(point.color)
            )
        ring = format_html('<circle class="ring" cx="{}" cy="{}" r="16"/>', x, y) if point.chosen else ""
        # A narrow picture has no space beside its corners; the panel below it has the same heading.
        told = self.wide == WIDE and (point.chosen or len(self.points) <= FEW)
        right = x > self.wide * 0.72
        words = format_html(
            '<text class="told" x="{}" y="{}" text-anchor="{}" aria-hidden="true">{}</text>',
            x if right else x + 14,
            y - 18 if right else y - 12,
            "end" if right else "start",
            self._short(point),
        )
        return format_html(
            '<a href="{}" aria-label="{}"{}><title>{}</title><circle class="touch" cx="{}" cy="{}" r="22"/>'
            "{}{}{}</a>",
            point.address,
            point.words,
            SafeString(' aria-current="true"') if point.chosen else "",
            point.words,
            x,
            y,
            ring,
            shape,
            words if told else "",
        )

    def _short(self, point: Point) -> str:
        sets = ngettext("%d set", "%d sets", point.sets) % point.sets
        return f"{self.show.width(point.width_mm)} · {sets}"

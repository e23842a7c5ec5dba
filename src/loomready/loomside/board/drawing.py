"""A board drawn to scale as SVG: its pegs, and a path over them with its ties."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import escape
from itertools import pairwise

from loomready.loomside.board.ties import Mark
from loomready.model.guild import Board, Peg

PEG_MM = 12.0  # drawn radius; pegs are about an inch thick, common practice, no source
_UNITS = 36  # height or width of a drawing, in letters
_LETTER = 0.62  # width of a letter, in units
_INK, _PAPER, _QUIET, _PATH, _TIE = "#26221e", "#fffdf6", "#655c50", "#2c4f72", "#96331f"


Spot = tuple[float, float, str]  # x, y, how the name is anchored there


@dataclass(frozen=True, slots=True)
class Frame:
    """The part of the plane that is drawn, mm: its left and lower edges and its size.

    ``unit``: the size from which letters and lines are sized.
    """

    left: float
    bottom: float
    width: float
    height: float
    unit: float

    def x(self, mm: float) -> float:
        return round(mm - self.left, 2)

    def y(self, mm: float) -> float:
        """Down the drawing."""
        return round(self.bottom + self.height - mm, 2)


def frame_of(pegs: Sequence[Peg], letters: int = 0) -> Frame:
    """Space for the pegs and for their names outside them; the longest name has ``letters`` letters."""
    xs, ys = [peg.x_mm for peg in pegs], [peg.y_mm for peg in pegs]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    edge = max(60.0, max(wide, high) * 0.09)
    # The names are a share of the whole drawing, which they make wider.
    share = 2 * letters * _LETTER / _UNITS
    beside = max(edge, max(high, wide / max(0.4, 1 - share)) * share / 2 + edge / 2)
    width, height = wide + 2 * beside, high + 2 * edge
    return Frame(min(xs) - beside, min(ys) - edge, width, height, max(width, height) / _UNITS)


def _around(frame: Frame, spots: dict[str, Spot]) -> tuple[Frame, dict[str, Spot]]:
    """A frame high enough for the names too, and where they are placed in it."""
    tops = [top for _x, top, _anchor in spots.values()]
    above = max(0.0, 1.6 * frame.unit - min(tops))
    below = max(0.0, max(tops) + 0.8 * frame.unit - frame.height)
    higher = replace(frame, bottom=frame.bottom - below, height=frame.height + above + below)
    return higher, {name: (x, top + above, anchor) for name, (x, top, anchor) in spots.items()}


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture as SVG, and its size in mm of the board."""

    svg: str
    width: float
    height: float


def board_svg(board: Board, path: Sequence[str] = (), ties: Sequence[Mark] = (), label: str = "") -> str:
    """The board as seen from the winder's side. Colors are attributes, which a style sheet can change."""
    return board_drawing(board, path, ties, label).svg


def board_drawing(
    board: Board, path: Sequence[str] = (), ties: Sequence[Mark] = (), label: str = ""
) -> Drawing:
    """The same picture with its size."""
    order = {name: number for number, name in enumerate(path, 1)}
    named = {peg.name: _said(peg, order.get(peg.name)) for peg in board.pegs}
    frame = frame_of(board.pegs, max(map(len, named.values())))
    unit = frame.unit
    frame, spots = _around(frame, _spots(board.pegs, named, frame))
    parts = [
        f'<svg class="board" xmlns="http://www.w3.org/2000/svg" '
        f'viewBox="0 0 {frame.width:.2f} {frame.height:.2f}" '
        f'font-size="{unit * 1.05:.2f}" font-family="Source Sans Pro, sans-serif" role="img" '
        f'aria-label="{escape(label or board.name, quote=True)}">'
    ]
    if path:
        parts.append(_path(board, path, ties, frame))
    for peg in board.pegs:
        idle = bool(path) and peg.name not in order
        parts.append(_peg(board, peg, frame, idle, named[peg.name], spots[peg.name]))
    parts += [_tie(mark, frame) for mark in ties if mark.kind != "loop"]
    parts.append("</svg>")
    return Drawing("".join(parts), frame.width, frame.height)


def _said(peg: Peg, number: int | None) -> str:
    return f"{number}. {peg.name}" if number is not None else peg.name


def _spots(pegs: Sequence[Peg], named: dict[str, str], frame: Frame) -> dict[str, Spot]:
    """Where each name goes: beside pegs at the sides, above or below the others, farther away if need be."""
    xs = [peg.x_mm for peg in pegs]
    aside = 0.02 * (max(xs) - min(xs))
    unit = frame.unit
    radius = max(PEG_MM, unit * 0.5)
    spots: dict[str, Spot] = {}
    placed: list[tuple[float, float, float]] = []  # left, right, height of names
    lowest = min(peg.y_mm for peg in pegs)

    def over(left: float, right: float, height: float) -> bool:
        return any(left < other and one < right and abs(height - at) < unit for one, other, at in placed)

    for peg in sorted(pegs, key=lambda peg: (-peg.y_mm, peg.x_mm)):
        x, y = frame.x(peg.x_mm), frame.y(peg.y_mm)
        wide = len(named[peg.name]) * _LETTER * unit
        side = 0
        if max(xs) > min(xs):
            side = (peg.x_mm >= max(xs) - aside) - (peg.x_mm <= min(xs) + aside)
        near, height = x + side * (radius + unit * 0.5), y + unit * 0.35
        left, right = min(near, near + side * wide), max(near, near + side * wide)
        anchor = "end" if side < 0 else "start"
        if not side or over(left, right, height):
            near, left, right, anchor = x, x - wide / 2, x + wide / 2, "middle"
            below = peg.y_mm <= lowest + 0.1 * frame.height
            height = y + radius + unit * 1.2 if below else y - radius - unit * 0.45
            while over(left, right, height):
                height += unit * (1.15 if below else -1.15)
        placed.append((left, right, height))
        spots[peg.name] = (near, height, anchor)
    return spots


def _peg(board: Board, peg: Peg, frame: Frame, idle: bool, said: str, spot: Spot) -> str:
    x, y, unit = frame.x(peg.x_mm), frame.y(peg.y_mm), frame.unit
    radius = max(PEG_MM, unit * 0.5)
    role = "start" if peg.name == board.start else "cross" if peg.name in board.cross else "plain"
    ink = _QUIET if idle else _INK
    fill = _PAPER if role == "plain" or idle else _PATH if role == "start" else _TIE
    left, top, anchor = spot
    return (
        f'<g class="peg {role}{" idle" if idle else ""}">'
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:.2f}" fill="{fill}" stroke="{ink}" '
        f'stroke-width="{unit * 0.14:.2f}"/>'
        f'<text x="{left:.2f}" y="{top:.2f}" text-anchor="{anchor}" '
        f'fill="{ink}" font-weight="{400 if idle else 600}">{escape(said)}</text></g>'
    )


def _path(board: Board, path: Sequence[str], ties: Sequence[Mark], frame: Frame) -> str:
    points = [(frame.x(peg.x_mm), frame.y(peg.y_mm)) for peg in map(board.peg, path)]
    drawn = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    made = [
        f'<polyline class="way" points="{drawn}" fill="none" stroke="{_PATH}" '
        f'stroke-width="{frame.unit * 0.24:.2f}" stroke-linejoin="round"/>'
    ]
    size = frame.unit * 0.55
    tied = [(frame.x(mark.at[0]), frame.y(mark.at[1])) for mark in ties if mark.kind != "loop"]
    for (x1, y1), (x2, y2) in pairwise(points):
        length = max(1e-9, ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5)
        along, across = ((x2 - x1) / length, (y2 - y1) / length), (-(y2 - y1) / length, (x2 - x1) / length)
        # The arrowhead is a little past the middle, or where no tie is.
        tips = [(x1 + share * (x2 - x1), y1 + share * (y2 - y1)) for share in (0.58, 0.36, 0.47, 0.69)]
        clear = (at for at in tips if all(math.dist(at, place) >= 2.2 * frame.unit for place in tied))
        tip = next(clear, tips[0])
        corners = [tip] + [
            (
                tip[0] - 1.6 * size * along[0] + side * size * across[0],
                tip[1] - 1.6 * size * along[1] + side * size * across[1],
            )
            for side in (0.8, -0.8)
        ]
        head = " ".join(f"{x:.2f},{y:.2f}" for x, y in corners)
        made.append(f'<polygon class="head" points="{head}" fill="{_PATH}"/>')
    return "".join(made)


def _tie(mark: Mark, frame: Frame) -> str:
    x, y, size = frame.x(mark.at[0]), frame.y(mark.at[1]), frame.unit * 0.7
    if mark.kind == "cross":
        wide = 2 * size
        drawn = f"M{x - size:.2f} {y - size:.2f}l{wide:.2f} {wide:.2f}m0 {-wide:.2f}l{-wide:.2f} {wide:.2f}"
        return (
            f'<path class="tie cross" d="{drawn}" stroke="{_TIE}" stroke-width="{size * 0.5:.2f}" '
            f'fill="none"/>'
        )
    return (
        f'<rect class="tie choke" x="{x - size * 0.5:.2f}" y="{y - size * 0.5:.2f}" width="{size:.2f}" '
        f'height="{size:.2f}" fill="{_TIE}" stroke="{_PAPER}" stroke-width="{size * 0.25:.2f}"/>'
    )

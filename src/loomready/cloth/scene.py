"""A drawing as a short list of shapes in whole pixels, and its two writers: SVG and pixels."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import groupby
from typing import Literal

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, ImageFont

from loomready.cloth.look import INK, PAPER, SERIF
from loomready.cloth.svg import decimal, document, safe, true_runs
from loomready.colors import RGB, hex_color
from loomready.draft.structure.periods import runs

Anchor = Literal["start", "middle", "end"]
Bools = npt.NDArray[np.bool_]
Pixels = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Box:
    x: int
    y: int
    width: int
    height: int
    fill: RGB


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines one pixel thick: each (x, y, length), all across or all down."""

    down: bool
    segments: tuple[tuple[int, int, int], ...]
    color: RGB


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Filled cells of a grid, bool[rows, columns]."""

    x: int
    y: int
    cell: int
    filled: Bools
    color: RGB


@dataclass(frozen=True, slots=True, eq=False)
class Weave:
    """A drawdown: ``up`` bool[rows, columns] shows the column's color, else the row's.

    ``column_kind`` int[columns]: columns of one kind are alike (one shaft), so an SVG draws them once.
    """

    x: int
    y: int
    cell: int
    up: Bools
    column_kind: npt.NDArray[np.intp]
    column_colors: npt.NDArray[np.uint8]
    row_colors: npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Text:
    """``y`` is the base line."""

    x: int
    y: int
    text: str
    size: int
    anchor: Anchor = "middle"
    color: RGB = INK
    serif: bool = False
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A ring (o) or a cross (x) in a square cell whose upper left corner is given."""

    shape: Literal["o", "x"]
    x: int
    y: int
    cell: int
    color: RGB


Shape = Box | Lines | Cells | Weave | Text | Mark


@dataclass(slots=True)
class Scene:
    width: int
    height: int
    title: str
    description: str
    shapes: list[Shape] = field(default_factory=list)

    def svg(self, paper: RGB = PAPER) -> str:
        body = [f'<rect width="{self.width}" height="{self.height}" fill="{hex_color(paper)}"/>']
        for kind, same in groupby(self.shapes, key=_style):
            if kind is None:
                for shape in same:
                    body.extend(_svg(shape))
            else:
                body.append(f"<g {kind}>")
                for shape in same:
                    body.extend(_svg(shape))
                body.append("</g>")
        return document(self.width, self.height, self.title, self.description, body)

    def image(self) -> Image.Image:
        canvas = np.empty((self.height, self.width, 3), dtype=np.uint8)
        canvas[:] = PAPER
        for shape in self.shapes:
            if not isinstance(shape, Text | Mark):
                _paint(canvas, shape)
        image = Image.fromarray(canvas)
        pen = ImageDraw.Draw(image)
        for shape in self.shapes:
            if isinstance(shape, Text):
                pen.text(
                    (shape.x, shape.y),
                    shape.text,
                    fill=shape.color,
                    font=font(shape.size, shape.serif, shape.bold),
                    anchor={"start": "ls", "middle": "ms", "end": "rs"}[shape.anchor],
                )
            elif isinstance(shape, Mark):
                image.paste(shape.color, (shape.x, shape.y), _stamp(shape.shape, shape.cell))
        return image


def text_width(text: str, size: int, serif: bool = False, bold: bool = False) -> int:
    """The width of a text in pixels, rounded up."""
    return int(-(-font(size, serif, bold).getlength(text) // 1))


@functools.lru_cache(maxsize=64)
def font(size: int, serif: bool, bold: bool) -> ImageFont.FreeTypeFont:
    """The house's own letters, from the packages that ship them."""
    import font_source_sans_pro
    import font_source_serif_pro

    weight = "Semibold" if bold else ""
    if serif:
        return ImageFont.truetype(font_source_serif_pro.font_files_ttf[f"SourceSerifPro{weight}"], size)
    return ImageFont.truetype(font_source_sans_pro.font_files_ttf[f"SourceSansPro{weight}"], size)


def _style(shape: Shape) -> str | None:
    """What shapes in a row have in common, written once around them."""
    if isinstance(shape, Text):
        style = f'font-size="{shape.size}" text-anchor="{shape.anchor}" fill="{hex_color(shape.color)}"'
        style += ' font-weight="600"' if shape.bold else ""
        return style + (f' font-family="{SERIF}"' if shape.serif else "")
    if isinstance(shape, Mark):
        thick = decimal(_mark_pen(shape.cell))
        return f'fill="none" stroke="{hex_color(shape.color)}" stroke-width="{thick}" stroke-linecap="round"'
    return None


def _svg(shape: Shape) -> Iterator[str]:
    match shape:
        case Box(x, y, width, height, fill):
            yield f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{hex_color(fill)}"/>'
        case Lines(down, segments, color):
            turn = "v" if down else "h"
            path = "".join(
                f"M{x + 0.5:g} {y}{turn}{length}" if down else f"M{x} {y + 0.5:g}{turn}{length}"
                for x, y, length in segments
            )
            yield f'<path d="{path}" stroke="{hex_color(color)}" fill="none"/>'
        case Cells(x, y, cell, filled, color):
            path = "".join(
                f"M{x + start * cell} {y + row * cell}h{length * cell}v{cell}h-{length * cell}z"
                for row in range(len(filled))
                for start, length in true_runs(filled[row])
            )
            yield f'<path d="{path}" fill="{hex_color(color)}"/>'
        case Weave():
            yield from _svg_weave(shape)
        case Text(x, y, text):
            yield f'<text x="{x}" y="{y}">{safe(text)}</text>'
        case Mark("o", x, y, cell):
            middle = cell / 2 + 0.5
            radius = decimal(cell * 0.24)
            yield f'<circle cx="{decimal(x + middle)}" cy="{decimal(y + middle)}" r="{radius}"/>'
        case Mark(_, x, y, cell):
            low, long = decimal(x + cell * 0.29 + 0.5), decimal(cell * 0.42)
            top = decimal(y + cell * 0.29 + 0.5)
            yield f'<path d="M{low} {top}l{long} {long}m0-{long}l-{long} {long}"/>'


def _svg_weave(weave: Weave) -> Iterator[str]:
    cell = weave.cell
    width = weave.up.shape[1] * cell
    codes = (weave.row_colors.astype(np.int64) * [65536, 256, 1]).sum(axis=1)
    for start, length in runs(codes):
        fill = f"#{int(codes[start]):06x}"
        yield (
            f'<rect x="{weave.x}" y="{weave.y + start * cell}" width="{width}" '
            f'height="{length * cell}" fill="{fill}"/>'
        )
    kinds, first = np.unique(weave.column_kind, return_index=True)
    yield "<defs>"
    for kind, column in zip(kinds.tolist(), first.tolist(), strict=True):
        path = "".join(
            f"M0 {start * cell}h{cell}v{length * cell}h-{cell}z"
            for start, length in true_runs(weave.up[:, column])
        )
        yield f'<path id="@k{kind}" d="{path or "M0 0"}"/>'
    yield "</defs>"
    codes = (weave.column_colors.astype(np.int64) * [65536, 256, 1]).sum(axis=1)
    for start, length in runs(codes):
        yield f'<g fill="#{int(codes[start]):06x}">'
        for column in range(start, start + length):
            kind, x = int(weave.column_kind[column]), weave.x + column * cell
            yield f'<use href="#@k{kind}" x="{x}" y="{weave.y}"/>'
        yield "</g>"


def _paint(canvas: Pixels, shape: Shape) -> None:
    match shape:
        case Box(x, y, width, height, fill):
            canvas[y : y + height, x : x + width] = fill
        case Lines(down, segments, color):
            for x, y, length in segments:
                if down:
                    canvas[y : y + length, x] = color
                else:
                    canvas[y, x : x + length] = color
        case Cells(x, y, cell, filled, color):
            large = filled.repeat(cell, axis=0).repeat(cell, axis=1)
            canvas[y : y + large.shape[0], x : x + large.shape[1]][large] = color
        case Weave(x, y, cell, up):
            # A strip of rows at a time, so that no second picture stands beside the first.
            step = max(1, 4_000_000 // max(1, up.shape[1] * cell * cell))
            warp, weft = shape.column_colors[None], shape.row_colors[:, None]
            for start in range(0, len(up), step):
                rows = slice(start, start + step)
                large = (
                    np.where(up[rows, :, None], warp, weft[rows]).repeat(cell, axis=0).repeat(cell, axis=1)
                )
                top = y + start * cell
                canvas[top : top + large.shape[0], x : x + large.shape[1]] = large
        case _:
            raise TypeError(f"{type(shape).__name__} is drawn with a pen")


def _mark_pen(cell: int) -> float:
    return max(1.2, cell * 0.11)


@functools.lru_cache(maxsize=32)
def _stamp(shape: str, cell: int) -> Image.Image:
    """A mark as a mask, drawn large and scaled down so that its edge is smooth."""
    fine = 8
    side = cell + 1
    large = Image.new("L", (side * fine, side * fine), 0)
    pen = ImageDraw.Draw(large)
    middle, thick = side * fine / 2, round(_mark_pen(cell) * fine)
    if shape == "o":
        reach = cell * 0.24 * fine + thick / 2
        pen.ellipse(
            (middle - reach, middle - reach, middle + reach, middle + reach), outline=255, width=thick
        )
    else:
        reach = cell * 0.21 * fine
        for slope in (1, -1):
            ends = (middle - reach, middle - slope * reach, middle + reach, middle + slope * reach)
            pen.line(ends, fill=255, width=thick)
            for x, y in (ends[:2], ends[2:]):
                pen.ellipse((x - thick / 2, y - thick / 2, x + thick / 2, y + thick / 2), fill=255)
    return large.resize((side, side), Image.Resampling.BOX)

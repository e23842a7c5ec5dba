"""The cloth in its colors: threads drawn as threads, seen from the front face.

How it lies, here and in every other picture: **pick 1 at the top**, the next below it, as in the drawdown
under its threading; end 1 at the right unless the guild reads from the left.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from PIL import Image

from loomready.cloth.limits import MAX_PIXELS, check_cell, check_draft, check_pixels
from loomready.cloth.tiles import level_count, shade_table, thread_tiles
from loomready.cloth.vector import cloth_svg
from loomready.colors import RGB
from loomready.draft.draft import Draft, shed
from loomready.model.guild import Side
from loomready.phrases import phrase, word
from loomready.problems import BadInput, Impossible

__all__ = ["ClothImage", "cloth_array", "cloth_image", "cloth_png", "cloth_svg", "png_bytes"]

Pixels = npt.NDArray[np.uint8]
Indexes = npt.NDArray[np.intp]

_CHUNK = 1_000_000  # crossings worked on at a time


@dataclass(frozen=True, slots=True)
class ClothImage:
    """A PNG of cloth with the size at which it is true to scale."""

    png: bytes
    width_px: int
    height_px: int
    width_mm: float
    height_mm: float


def cloth_array(
    draft: Draft,
    cell: int | tuple[int, int],
    *,
    picks: Sequence[int] | None = None,
    ends: Sequence[int] | None = None,
    end_1: Side = "right",
) -> Pixels:
    """The cloth as pixels, uint8[height, width, 3].

    :param cell: pixels an end and a pick, or (pixels an end, pixels a pick); at 1 a plain pixel a crossing
    :param picks, ends: which ones, numbered from 0, in any order; numbers past the draft continue its repeat.
        Left out: all of them
    :param end_1: the side where the first of ``ends`` lies
    :raises BadInput: nothing to picture; :raises Impossible: more than 100 million pixels
    """
    plan = _plan(draft, cell, picks, ends, end_1)
    return _compose(plan, plan.table)


def cloth_png(
    draft: Draft,
    cell: int | tuple[int, int],
    *,
    picks: Sequence[int] | None = None,
    ends: Sequence[int] | None = None,
    end_1: Side = "right",
) -> bytes:
    """:func:`cloth_array` as a PNG, with a palette where 256 shades are enough."""
    plan = _plan(draft, cell, picks, ends, end_1)
    if len(plan.table) > 256:
        return png_bytes(Image.fromarray(_compose(plan, plan.table)))
    numbers = np.arange(len(plan.table), dtype=np.uint8)[:, None]
    indexed = _compose(plan, numbers)
    image = Image.frombuffer("P", (indexed.shape[1], indexed.shape[0]), indexed, "raw", "P", 0, 1)
    image.putpalette(plan.table.tobytes())
    return png_bytes(image)


def cloth_image(
    draft: Draft,
    *,
    mm_per_end: float,
    mm_per_pick: float,
    width_px: int = 1600,
    picks: Sequence[int] | None = None,
    ends: Sequence[int] | None = None,
    end_1: Side = "right",
) -> ClothImage:
    """The cloth true to scale: ends and picks as close as they lie, at most about ``width_px`` wide.

    Cells are whole pixels; the image's pixels are not quite square then, and its size in mm is exact.
    """
    check_draft(draft)
    if not (0 < mm_per_end < 1000 and 0 < mm_per_pick < 1000):
        raise BadInput(
            phrase(
                "threads {ends:g} and {picks:g} mm apart; expected 0 to 1000 mm",
                ends=mm_per_end,
                picks=mm_per_pick,
            )
        )
    across = draft.ends if ends is None else len(ends)
    down = draft.picks if picks is None else len(picks)
    cell = _true_cell(mm_per_pick / mm_per_end, max(1, width_px // max(1, across)), across * down)
    return ClothImage(
        png=cloth_png(draft, cell, picks=picks, ends=ends, end_1=end_1),
        width_px=across * cell[0],
        height_px=down * cell[1],
        width_mm=across * mm_per_end,
        height_mm=down * mm_per_pick,
    )


def png_bytes(image: Image.Image) -> bytes:
    """The image as PNG, written fast rather than small."""
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=2)
    return out.getvalue()


def _true_cell(ratio: float, widest: int, crossings: int) -> tuple[int, int]:
    """The widest cell whose height over width is within 5 % of ``ratio``, else the nearest."""
    fits = [
        (width, max(1, round(width * ratio)))
        for width in range(1, min(widest, 64) + 1)
        if width * max(1, round(width * ratio)) * crossings <= MAX_PIXELS
    ] or [(1, max(1, round(ratio)))]
    good = [cell for cell in fits if abs(cell[1] / cell[0] / ratio - 1) <= 0.05]
    return good[-1] if good else min(fits, key=lambda cell: abs(cell[1] / cell[0] / ratio - 1))


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    """What is drawn: columns as they lie on the page, left to right, and rows from the top."""

    draft: Draft
    columns: Indexes
    rows: Indexes
    before: int  # the end left of the first column
    after: int  # the end right of the last
    cell: tuple[int, int]
    levels: int
    table: Pixels  # uint8[colors * levels, 3]
    warp: Indexes  # color number of each column
    weft: Indexes  # color number of each row


def _plan(
    draft: Draft,
    cell: int | tuple[int, int],
    picks: Sequence[int] | None,
    ends: Sequence[int] | None,
    end_1: Side,
) -> _Plan:
    check_draft(draft)
    width, height = cell if isinstance(cell, tuple) else (cell, cell)
    check_cell(width)
    check_cell(height)
    columns = _numbers(ends, draft.ends, "ends")
    rows = _numbers(picks, draft.picks, "picks")
    larger = max(width, height)
    check_pixels(
        lambda size: (
            len(columns) * max(1, width * size // larger),
            len(rows) * max(1, height * size // larger),
        ),
        larger,
    )
    before, after = (int(columns[0]) - 1) % draft.ends, (int(columns[-1]) + 1) % draft.ends
    if end_1 == "right":
        columns, before, after = columns[::-1], after, before
    used, numbers = np.unique(
        np.concatenate([draft.warp_colors[columns], draft.weft_colors[rows]]), return_inverse=True
    )
    colors: tuple[RGB, ...] = tuple(draft.palette[color] for color in used.tolist())
    levels = level_count(len(colors), (width, height))
    return _Plan(
        draft=draft,
        columns=columns,
        rows=rows,
        before=before,
        after=after,
        cell=(width, height),
        levels=levels,
        table=shade_table(colors, levels),
        warp=numbers[: len(columns)],
        weft=numbers[len(columns) :],
    )


def _numbers(wanted: Sequence[int] | None, there: int, name: str) -> Indexes:
    if wanted is not None and len(wanted) > MAX_PIXELS // 100:
        raise Impossible(
            phrase(
                "{count} {ends_or_picks} in one picture; at most {most} will do",
                count=len(wanted),
                ends_or_picks=word(name),
                most=MAX_PIXELS // 100,
            )
        )
    numbers = np.arange(there) if wanted is None else np.asarray(wanted, dtype=np.intp).reshape(-1)
    if not len(numbers):
        raise BadInput(phrase("no {ends_or_picks} to picture", ends_or_picks=word(name)))
    return numbers % there


def _compose(plan: _Plan, pixel: Pixels) -> Pixels:
    """The picture from ready-made tiles; ``pixel`` uint8[table, n] gives the bytes of each shade.

    Picks that look alike (lifts of this and both neighbors, weft color) are drawn once.
    """
    bytes_each = pixel.shape[1]
    width, height = plan.cell
    lifts, lift_of = np.unique(plan.draft.lifts, axis=0, return_inverse=True)
    picks = plan.draft.picks
    looks = np.stack(
        [lift_of[(plan.rows - 1) % picks], lift_of[plan.rows], lift_of[(plan.rows + 1) % picks], plan.weft],
        axis=1,
    )
    kinds, kind_of = np.unique(looks, axis=0, return_inverse=True)
    alike = 2 * len(kinds) <= len(looks)
    drawn = kinds if alike else looks
    strips = np.empty((len(drawn), height, len(plan.columns)), dtype=np.dtype((np.void, width * bytes_each)))
    for color in np.unique(drawn[:, 3]).tolist():
        tiles = _tile_bytes(plan, color, pixel)
        rows = np.flatnonzero(drawn[:, 3] == color)
        step = max(1, _CHUNK // len(plan.columns))
        for some in (rows[start : start + step] for start in range(0, len(rows), step)):
            numbers = _tile_numbers(plan, lifts, drawn[some])
            whole = len(some) == some[-1] - some[0] + 1
            target = strips[some[0] : some[-1] + 1] if whole else strips[some]
            for line in range(height):
                target[:, line] = tiles[line].take(numbers)
            if not whole:
                strips[some] = target
    if alike:
        strips = strips.take(kind_of, axis=0)
    return strips.view(np.uint8).reshape(len(plan.rows) * height, len(plan.columns) * width, bytes_each)


def _tile_numbers(plan: _Plan, lifts: npt.NDArray[np.bool_], looks: Indexes) -> Indexes:
    """Which tile stands at each crossing, intp[rows, columns]: 8 kinds x the columns' colors."""
    ends = np.concatenate([[plan.before], plan.columns, [plan.after]])
    threading = plan.draft.threading[ends]
    sheds = np.ascontiguousarray(shed(lifts[looks[:, 1]], threading))
    up, left, right = sheds[:, 1:-1], sheds[:, :-2], sheds[:, 2:]
    above = shed(lifts[looks[:, 0]], threading[1:-1])
    below = shed(lifts[looks[:, 2]], threading[1:-1])
    before = np.where(up, ~above, left).view(np.uint8)
    after = np.where(up, ~below, right).view(np.uint8)
    kind = up.view(np.uint8) * np.uint8(4) + before * np.uint8(2) + after
    colors = len(plan.table) // plan.levels
    return kind.astype(np.intp) * colors + plan.warp


def _tile_bytes(plan: _Plan, weft: int, pixel: Pixels) -> list[npt.NDArray[np.void]]:
    """For each line of a cell, that line of every tile with this weft color, kind by kind, warp by warp."""
    width, height = plan.cell
    tiles = thread_tiles(width, height, plan.levels)
    warps = np.arange(len(plan.table) // plan.levels)[None, :, None, None]
    warp_on_top = (np.arange(8) >= 4)[:, None, None, None]
    shows_warp = tiles.top[:, None] == warp_on_top
    shade = np.where(shows_warp, warps, weft) * plan.levels + tiles.level[:, None]
    drawn = pixel[shade]  # uint8[8, colors, height, width, bytes]
    piece = np.dtype((np.void, width * pixel.shape[1]))
    return [
        np.ascontiguousarray(drawn[:, :, line]).view(np.uint8).reshape(-1).view(piece)
        for line in range(height)
    ]

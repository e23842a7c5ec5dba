"""The draft on paper: whole on one page, smaller or turned if need be; a large one in parts with a map.

The sizes of a thread on paper are our choice: what can still be followed with a pencil.
"""

from __future__ import annotations

import base64
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from loomready.cloth.diagram import draft_scene, drawn_size, legend_of
from loomready.draft.draft import Draft, drawdown
from loomready.packet.pictures import WHITE, cut_out, recolored
from loomready.phrases import ENGLISH, Catalog, Phrase, joined, phrase
from loomready.warp.result import WarpPlan

LARGEST_MM = 2.6  # a thread
NUMBERED_PX, PLAIN_PX = 12, 6  # drawn with numbers in the cells, or without
LEAST_MM = {NUMBERED_PX: 2.0, PLAIN_PX: 1.1}  # that such a thread may be
BESIDE_MM = 1.6  # a thread of a draft that shares its page
ROOMIEST = 1.35  # times its size that a small draft may have where its page has room
BESIDE_SHARE = 0.55  # of the width, at most, with words beside it
SMALLEST_MM = {NUMBERED_PX: BESIDE_MM, PLAIN_PX: LEAST_MM[PLAIN_PX]}  # drawn smaller to stay on its page
SHARE = 0.45  # of a page that a draft may take without taking all of it
TURN = 1.15  # turned only where that makes it so much larger
PARTS_MM = (1.25, 1.2, 1.15, 1.1)  # a thread of a draft in parts
MOST_PARTS = 12  # more are not printed: the map alone
MAP_MM = (80.0, 60.0)
_MAP_PX = 900
_BESIDE, _ABOVE = 12, 14  # threads that colors, numbers and margins of a drawing take


@dataclass(frozen=True, slots=True)
class Part:
    """A drawing of a part of the draft, or of all of it. ``ends``, ``picks``: first and last, from 1.

    ``width_mm``: on paper, before it is turned. ``least``, ``most``: times of it that it may be drawn in.
    """

    svg: str
    width_mm: float
    height_mm: float
    least: float
    most: float
    turned: bool
    ends: tuple[int, int]
    picks: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Map:
    """The whole cloth of the draft, small. ``parts``: for each part where it lies on it, as shares of its
    width and height: left, top, width, height."""

    svg: str
    width_mm: float
    height_mm: float
    parts: tuple[tuple[float, float, float, float], ...]


@dataclass(frozen=True, slots=True)
class WholeDraft:
    """``left_out``: parts that would be needed, where they are too many to print."""

    parts: tuple[Part, ...]
    map: Map | None
    left_out: int
    says: Phrase


def whole_draft(plan: WarpPlan, room_mm: tuple[float, float], catalog: Catalog = ENGLISH) -> WholeDraft:
    """The draft in the colors of the warp's yarns.

    :param room_mm: width and height of a page
    :param catalog: for the words in the drawings
    """
    draft = _bare(recolored(plan, plan.draft))
    guild, on_shafts = plan.guild, not plan.loom.has_open_ends
    told = list(legend_of(draft, guild.end_1, guild.shaft_1, on_shafts=on_shafts))
    if plan.treadles is not None and (draft.treadles or 0) > plan.treadles.there:
        told.append(phrase("the draft's own tie-up; tie the loom as the weaving sheet says"))
    says = joined(" · ", told)
    found = _on_one_page(plan, draft, room_mm)
    if found is not None:
        px, cell_mm, turned = found
        part = _drawn(plan, draft, (1, draft.ends), (1, draft.picks), px, cell_mm, turned, room_mm, catalog)
        return WholeDraft((part,), None, 0, says)
    part_mm, cuts = min(((mm, _cuts(draft, room_mm, mm)) for mm in PARTS_MM), key=lambda way: len(way[1]))
    shown = cuts if len(cuts) <= MOST_PARTS else []
    parts = tuple(
        _drawn(plan, draft, ends, picks, PLAIN_PX, part_mm, False, room_mm, catalog) for ends, picks in shown
    )
    return WholeDraft(parts, _map(plan, draft, shown), len(cuts) - len(shown), says)


def _on_one_page(
    plan: WarpPlan, draft: Draft, room_mm: tuple[float, float]
) -> tuple[int, float, bool] | None:
    """Pixels of a cell, its size on paper, and whether it is turned; None: it does not fit on a page."""
    width, height = room_mm
    sizes = {px: drawn_size(draft, px, end_1=plan.guild.end_1) for px in LEAST_MM}
    for px, least in LEAST_MM.items():
        cell = _cell(sizes[px], px, (width, height * SHARE))
        if cell >= max(least, BESIDE_MM):
            return px, cell, False
    for px, least in LEAST_MM.items():
        upright, turned = _cell(sizes[px], px, room_mm), _cell(sizes[px], px, (height, width))
        cell = upright if upright * TURN >= turned and upright >= least else turned
        if cell >= least:
            return px, cell, cell != upright
    return None


def _cell(size: tuple[int, int], px: int, room_mm: tuple[float, float]) -> float:
    return min(LARGEST_MM, px * room_mm[0] / size[0], px * room_mm[1] / size[1])


def _cuts(
    draft: Draft, room_mm: tuple[float, float], part_mm: float
) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """First and last end and pick of each part, from end 1 and pick 1 on, in tens, about equally large."""
    side = draft.treadles if draft.treadles is not None else draft.shafts
    across = _tens(draft.ends, int(room_mm[0] / part_mm) - side - _BESIDE)
    down = _tens(draft.picks, int(room_mm[1] / part_mm) - draft.shafts - _ABOVE)
    return [(ends, picks) for picks in down for ends in across]


def _tens(threads: int, room: int) -> list[tuple[int, int]]:
    most = max(10, room // 10 * 10)
    size = math.ceil(threads / math.ceil(threads / most) / 10) * 10
    return [(first + 1, min(threads, first + size)) for first in range(0, threads, size)]


def _drawn(
    plan: WarpPlan,
    draft: Draft,
    ends: tuple[int, int],
    picks: tuple[int, int],
    px: int,
    cell_mm: float,
    turned: bool,
    room_mm: tuple[float, float],
    catalog: Catalog,
) -> Part:
    whole = (ends, picks) == ((1, draft.ends), (1, draft.picks))
    scene = draft_scene(
        draft if whole else cut_out(draft, slice(ends[0] - 1, ends[1]), slice(picks[0] - 1, picks[1])),
        px,
        end_1=plan.guild.end_1,
        shaft_1=plan.guild.shaft_1,
        catalog=catalog,
        first=(ends[0], picks[0]),
        legend=False,
    )
    mm = cell_mm / px
    least = min(1.0, SMALLEST_MM[px] / cell_mm)
    most = max(1.0, min(ROOMIEST, room_mm[0] * BESIDE_SHARE / (scene.width * mm)))
    return Part(scene.svg(WHITE), scene.width * mm, scene.height * mm, least, most, turned, ends, picks)


def _map(plan: WarpPlan, draft: Draft, cuts: list[tuple[tuple[int, int], tuple[int, int]]]) -> Map:
    right = plan.guild.end_1 == "right"
    scale = min(MAP_MM[0] / draft.ends, MAP_MM[1] / draft.picks)
    parts = tuple(_places(draft, cuts, right))
    width, height = max(6.0, draft.ends * scale), max(6.0, draft.picks * scale)
    return Map(_small(draft, right), width, height, parts)


def _places(
    draft: Draft, cuts: list[tuple[tuple[int, int], tuple[int, int]]], right: bool
) -> Iterator[tuple[float, float, float, float]]:
    for (first, last), (top, bottom) in cuts:
        left = draft.ends - last if right else first - 1
        yield (
            left / draft.ends,
            (top - 1) / draft.picks,
            (last - first + 1) / draft.ends,
            (bottom - top + 1) / draft.picks,
        )


def _small(draft: Draft, right: bool) -> str:
    """Each crossing in the color on top; threads left out where they are more than pixels."""
    across = np.linspace(0, draft.ends - 1, min(_MAP_PX, draft.ends)).astype(int)
    down = np.linspace(0, draft.picks - 1, min(_MAP_PX, draft.picks)).astype(int)
    some_of = cut_out(draft, across, down)
    palette = np.array(some_of.palette, dtype=np.uint8)
    warp, weft = palette[some_of.warp_colors][None, :], palette[some_of.weft_colors][:, None]
    pixels = np.where(drawdown(some_of)[:, :, None], warp, weft)
    out = io.BytesIO()
    Image.fromarray(pixels[:, ::-1] if right else pixels).save(out, "PNG", compress_level=6)
    size = f'width="{len(across)}" height="{len(down)}"'
    png = base64.b64encode(out.getvalue()).decode("ascii")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {len(across)} {len(down)}" '
        f'preserveAspectRatio="none"><image {size} href="data:image/png;base64,{png}"/></svg>'
    )


def _bare(draft: Draft) -> Draft:
    """Its words stand outside of the picture."""
    return replace(draft, title=None, notes=None)

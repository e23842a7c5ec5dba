"""How large a picture may be, and what to say when it would be larger."""

from __future__ import annotations

from collections.abc import Callable

from loomready.draft.draft import Draft
from loomready.phrases import phrase
from loomready.problems import BadInput, Impossible

MAX_PIXELS = 100_000_000
MAX_SVG_CROSSINGS = 4_000_000
MAX_CELL = 400

Size = tuple[int, int]


def check_cell(cell: int) -> None:
    """:raises BadInput: a cell that is no whole number of pixels from 1 to 400"""
    if isinstance(cell, bool) or not isinstance(cell, int) or not 1 <= cell <= MAX_CELL:
        raise BadInput(
            phrase(
                "a cell of {pixels} pixels; expected a whole number from 1 to {most}",
                pixels=cell,
                most=MAX_CELL,
            )
        )


def check_draft(draft: Draft) -> None:
    """:raises BadInput: a draft without ends or picks has no picture"""
    if not draft.ends or not draft.picks:
        raise BadInput(
            phrase(
                "a draft of {ends} ends and {picks} picks; a picture needs one of each",
                ends=draft.ends,
                picks=draft.picks,
            )
        )


def check_pixels(size_of: Callable[[int], Size], cell: int) -> None:
    """Refuse a picture of more than 100 million pixels; ``size_of`` gives width and height for a cell.

    :raises Impossible: names the largest cell that would do
    """
    width, height = size_of(cell)
    if width * height <= MAX_PIXELS:
        return
    fits = [smaller for smaller in range(1, cell) if _pixels(size_of(smaller)) <= MAX_PIXELS]
    advice = (
        phrase("a cell of {pixels} would do", pixels=fits[-1])
        if fits
        else phrase("even a cell of 1 is too much: picture fewer ends or picks")
    )
    raise Impossible(
        phrase(
            "the picture would be {width} x {height} pixels, over {most} million; {advice}",
            width=width,
            height=height,
            most=MAX_PIXELS // 10**6,
            advice=advice,
        )
    )


def check_crossings(ends: int, picks: int) -> None:
    """:raises Impossible: an SVG of more than 4 million crossings, which no viewer would open"""
    if ends * picks > MAX_SVG_CROSSINGS:
        raise Impossible(
            phrase(
                "an SVG of {ends} ends x {picks} picks has {crossings:.1f} million crossings, over {most} "
                "million; make a PNG, or picture fewer ends or picks",
                ends=ends,
                picks=picks,
                crossings=ends * picks / 1e6,
                most=MAX_SVG_CROSSINGS // 10**6,
            )
        )


def _pixels(size: Size) -> int:
    return size[0] * size[1]

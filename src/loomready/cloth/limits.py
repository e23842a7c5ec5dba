"""How large a picture may be, and what to say when it would be larger."""

from __future__ import annotations

from collections.abc import Callable

from loomready.draft.draft import Draft
from loomready.problems import BadInput, Impossible

MAX_PIXELS = 100_000_000
MAX_SVG_CROSSINGS = 4_000_000
MAX_CELL = 400

Size = tuple[int, int]


def check_cell(cell: int) -> None:
    """:raises BadInput: a cell that is no whole number of pixels from 1 to 400"""
    if isinstance(cell, bool) or not isinstance(cell, int) or not 1 <= cell <= MAX_CELL:
        raise BadInput(f"a cell of {cell} pixels; expected a whole number from 1 to {MAX_CELL}")


def check_draft(draft: Draft) -> None:
    """:raises BadInput: a draft without ends or picks has no picture"""
    if not draft.ends or not draft.picks:
        raise BadInput(f"a draft of {draft.ends} ends and {draft.picks} picks; a picture needs one of each")


def check_pixels(size_of: Callable[[int], Size], cell: int) -> None:
    """Refuse a picture of more than 100 million pixels; ``size_of`` gives width and height for a cell.

    :raises Impossible: names the largest cell that would do
    """
    width, height = size_of(cell)
    if width * height <= MAX_PIXELS:
        return
    fits = [smaller for smaller in range(1, cell) if _pixels(size_of(smaller)) <= MAX_PIXELS]
    advice = (
        f"a cell of {fits[-1]} would do"
        if fits
        else "even a cell of 1 is too much: picture fewer ends or picks"
    )
    raise Impossible(
        f"the picture would be {width} x {height} pixels, over {MAX_PIXELS // 10**6} million; {advice}"
    )


def check_crossings(ends: int, picks: int) -> None:
    """:raises Impossible: an SVG of more than 4 million crossings, which no viewer would open"""
    if ends * picks > MAX_SVG_CROSSINGS:
        raise Impossible(
            f"an SVG of {ends} ends x {picks} picks has {ends * picks / 1e6:.1f} million crossings, "
            f"over {MAX_SVG_CROSSINGS // 10**6} million; make a PNG, or picture fewer ends or picks"
        )


def _pixels(size: Size) -> int:
    return size[0] * size[1]

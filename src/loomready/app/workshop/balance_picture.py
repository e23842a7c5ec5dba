"""Where a threading is not symmetrical: threading above, cloth below, the mirror line through both.

A repeat with too many ends to show one by one is drawn small as a whole, with enlarged windows around the
mirror line and around the ends that don't mirror.
"""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
from django.urls import reverse
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from PIL import Image

from loomready.app.drafts import draft_preview
from loomready.cloth.picture import cloth_png
from loomready.draft.draft import Draft
from loomready.model.guild import Side

_CELL = 8  # units of the drawing an end is wide
_PICKS = 24
_TOLD_APART = 200  # ends that a page shows one by one
_WINDOW = 32  # ends of a place drawn enlarged
_PLACES = 4
_LARGEST_PX, _TALLEST_PX = 14, 560  # a cell, a drawing: where there is room
_INK = (138, 111, 77)  # readable on a light and on a dark page


def leaning(draft: Draft, axis: int, marked: Sequence[int], end_1: Side, words: str) -> SafeString:
    """One repeat as an SVG for the page: classes only, so that the page's colors dress it.

    :param axis: end e meets end ``axis`` - e, counted from 1; :param marked: ends (from 1) to point at
    """
    if draft.ends <= _TOLD_APART:
        return mark_safe(_near(draft, range(draft.ends), axis, marked, end_1, words))
    figures = []
    windows = places(draft.ends, axis, marked)
    for ends in windows if end_1 == "left" else windows[::-1]:
        said = _("Ends %(first)d to %(last)d") % {"first": ends.start + 1, "last": ends.stop}
        near = _near(draft, ends, axis, marked, end_1, said)
        figures.append(f"<figure>{near}<figcaption>{escape(said)}</figcaption></figure>")
    return mark_safe(
        f'{_from_afar(draft, axis, marked, end_1, words)}<div class="near">{"".join(figures)}</div>'
    )


def places(ends: int, axis: int, marked: Sequence[int]) -> list[range]:
    """Windows of ends (from 0) about the mirror line and about what is marked, a few that do not overlap."""
    made: list[range] = []
    for middle in ((axis // 2 - 1) % ends, *(run.start - 1 for run in _runs(marked))):
        first = max(0, min(middle - _WINDOW // 2, ends - _WINDOW))
        apart = all(first >= other.stop or first + _WINDOW <= other.start for other in made)
        if len(made) < _PLACES and (apart or not made):
            made.append(range(first, first + _WINDOW))
    return sorted(made, key=lambda each: each.start)


def _runs(marked: Sequence[int]) -> list[range]:
    """Ends that follow one another, as runs."""
    made: list[range] = []
    for end in sorted(marked):
        if made and made[-1].stop == end:
            made[-1] = range(made[-1].start, end + 1)
        else:
            made.append(range(end, end + 1))
    return made


def _lines(draft: Draft, axis: int) -> tuple[tuple[float, str], tuple[float, str]]:
    """Where it mirrors, in ends from the outside of end 1: near, and on the far side of the round."""
    near, far = ((at - 1) % draft.ends + 0.5 for at in (axis / 2, axis / 2 + draft.ends / 2))
    return (near, "axis"), (far, "axis far")


def _near(draft: Draft, ends: range, axis: int, marked: Sequence[int], end_1: Side, words: str) -> str:
    """Each end for itself."""
    shafts, picks, count = draft.shafts, min(_PICKS, max(8, draft.picks)), len(ends)
    width, high = count * _CELL, shafts * _CELL
    top = high + _CELL
    height = top + picks * _CELL

    def across(end: float) -> float:
        """Left to right, of what is so many ends past the window's first."""
        return (end if end_1 == "left" else count - end) * _CELL

    def left(end: int) -> float:
        return across(end - ends.start + (end_1 == "right"))

    # One path for all ends, however many: a square for each on its shaft, shaft 1 lowest.
    squares = "".join(
        f"M{left(end) + 1:g} {(shafts - 1 - int(draft.threading[end])) * _CELL + 1}h6v6h-6z"
        for end in ends
        if draft.threading[end] >= 0
    )
    parts = [f'<rect class="ground" width="{width}" height="{high}"/><path class="ends" d="{squares}"/>']
    parts.append(_cloth(draft, ends, picks, _CELL, end_1, (width, top)))
    for end in marked:
        if end - 1 in ends:
            x = left(end - 1)
            parts.append(f'<rect class="spoils" x="{x:g}" width="{_CELL}" height="{height}"/>')
            parts.append(f'<path class="point" d="M{x:g} {height}h8l-4 -6z"/>')
    for at, kind in _lines(draft, axis):
        if 0 < at - ends.start < count:
            parts.append(f'<path class="{kind}" d="M{across(at - ends.start):g} 0V{height}"/>')
    cell = min(_LARGEST_PX, _TALLEST_PX * _CELL // height)
    return _svg("leaning", width, height, count * cell, words, parts)


def _from_afar(draft: Draft, axis: int, marked: Sequence[int], end_1: Side, words: str) -> str:
    """All ends across the page: the way of the threading, the cloth, the lines, what is marked."""
    ends, shafts = draft.ends, draft.shafts
    width, high = _TOLD_APART * _CELL, max(12, shafts) * 4
    top, below = high + _CELL, 12 * _CELL
    dots = np.zeros((shafts, ends, 4), dtype=np.uint8)
    in_heddles = np.flatnonzero(draft.threading >= 0)
    dots[shafts - 1 - draft.threading[in_heddles], in_heddles] = (*_INK, 255)
    stream = io.BytesIO()
    Image.fromarray(dots if end_1 == "left" else dots[:, ::-1]).save(stream, "PNG", optimize=True)
    parts = [f'<rect class="ground" width="{width}" height="{high}"/>']
    parts.append(_image(stream.getvalue(), width, 0, high))
    parts.append(_cloth(draft, range(ends), below // _CELL, 1, end_1, (width, top)))

    def across(end: float) -> float:
        return (end if end_1 == "left" else ends - end) * width / ends

    for run in _runs(marked):
        wide = max(2, len(run) * width / ends)
        x = across((run.start + run.stop) / 2 - 1)
        parts.append(
            f'<rect class="spoils" x="{x - wide / 2:.1f}" width="{wide:.1f}" height="{top + below}"/>'
        )
        parts.append(f'<path class="point" d="M{x - 5:.1f} {top + below}h10l-5 -8z"/>')
    for at, kind in _lines(draft, axis):
        parts.append(f'<path class="{kind}" d="M{across(at):.1f} 0V{top + below}"/>')
    return _svg("leaning afar", width, top + below, width, words, parts)


def _svg(kind: str, width: int, height: int, shown_px: int, words: str, parts: Sequence[str]) -> str:
    return (
        f'<svg class="{kind}" viewBox="0 0 {width} {height}" width="{shown_px}" '
        f'role="img" aria-label="{escape(words)}">{"".join(parts)}</svg>'
    )


def _cloth(draft: Draft, ends: range, picks: int, cell: int, end_1: Side, place: tuple[int, int]) -> str:
    width, top = place
    return _image(
        cloth_png(draft, cell, ends=ends, picks=range(picks), end_1=end_1), width, top, picks * _CELL
    )


def _image(png: bytes, width: int, top: int, height: int) -> str:
    address = reverse("workshop-picture", args=[draft_preview.keep(png, width, height).name])
    return f'<image href="{address}" y="{top}" width="{width}" height="{height}" preserveAspectRatio="none"/>'

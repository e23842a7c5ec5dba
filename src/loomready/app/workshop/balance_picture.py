"""Where a threading leans: threading above, cloth below, the mirror line through both."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from django.urls import reverse
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from loomready.app.workshop import shown
from loomready.cloth.picture import cloth_png
from loomready.draft.draft import Draft
from loomready.model.guild import Side

_CELL = 8  # units of the drawing an end is wide
_PICKS = 24
_WIDEST_PX = 2400


def leaning(draft: Draft, axis: int, marked: Sequence[int], end_1: Side, words: str) -> SafeString:
    """One repeat as an SVG for the page: classes only, so that the page's colors dress it.

    :param axis: end e meets end ``axis`` - e, counted from 1; :param marked: ends (from 1) to point at
    """
    ends, shafts, picks = draft.ends, draft.shafts, min(_PICKS, max(8, draft.picks))
    places = np.arange(ends) if end_1 == "left" else ends - 1 - np.arange(ends)
    width, high = ends * _CELL, shafts * _CELL
    cloth_top = high + _CELL
    height = cloth_top + picks * _CELL
    parts = [f'<rect class="ground" width="{width}" height="{high}"/>']
    # One path for all ends, however many: a square for each on its shaft, shaft 1 lowest.
    in_heddles = np.flatnonzero(draft.threading >= 0)
    squares = "".join(
        f"M{places[end] * _CELL + 1} {(shafts - 1 - int(draft.threading[end])) * _CELL + 1}h6v6h-6z"
        for end in in_heddles.tolist()
    )
    parts.append(f'<path class="ends" d="{squares}"/>')
    parts.append(_cloth(draft, picks, end_1, width, cloth_top))
    for end in marked:
        parts.append(
            f'<rect class="spoils" x="{places[end - 1] * _CELL}" width="{_CELL}" height="{height}"/>'
        )
        parts.append(f'<path class="point" d="M{places[end - 1] * _CELL} {height}h8l-4 -6z"/>')
    for at, kind in ((axis / 2, "axis"), (axis / 2 + ends / 2, "axis far")):
        place = (at - 1) % ends + 0.5  # the middle of an end, or the line between two
        x = (place if end_1 == "left" else ends - place) * _CELL
        parts.append(f'<path class="{kind}" d="M{x:g} 0V{height}"/>')
    return mark_safe(
        f'<svg class="leaning" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        f'role="img" aria-label="{escape(words)}">{"".join(parts)}</svg>'
    )


def _cloth(draft: Draft, picks: int, end_1: Side, width: int, top: int) -> str:
    cell = max(1, min(_CELL, _WIDEST_PX // draft.ends))
    png = cloth_png(draft, cell, ends=range(draft.ends), picks=range(picks), end_1=end_1)
    picture = shown.keep(png, width, picks * _CELL)
    address = reverse("workshop-picture", args=[picture.name])
    return (
        f'<image href="{address}" y="{top}" width="{width}" height="{picks * _CELL}" '
        'preserveAspectRatio="none"/>'
    )

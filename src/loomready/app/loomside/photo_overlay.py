"""A photograph with what was read drawn over it, as SVG in the pixels of the picture that is shown."""

from __future__ import annotations

import numpy as np
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from loomready.app.loomside.photo_task import PhotoResult
from loomready.slips.infer import UNSEEN

_ROOM = 26  # pixels above and below for numbers
_EVERY = 10  # ends between two numbers
_AROUND = 9  # ends at each side of a slip, close up


def _places(made: PhotoResult) -> tuple[np.ndarray, np.ndarray]:
    left, top, _right, _bottom = made.shown.box
    return (made.found.x - left) * made.shown.scale, (made.found.y - top) * made.shown.scale + _ROOM


def whole(made: PhotoResult, picture: str) -> SafeString:
    """The stretch with end numbers from both sides, the cells, and a ring around each slip.

    :param picture: address of the picture
    """
    x, y = _places(made)
    wide, high = made.shown.size
    rings = format_html_join(
        "",
        '<g class="ring {}">{}<text x="{}" y="{}">{}</text></g>',
        [
            (
                "found" if each.certain else "check",
                _ring(x[:, each.column], y[:, each.column], made),
                round(float(x[:, each.column].mean())),
                round(float(y[:, each.column].min()) - 10),
                number,
            )
            for number, each in enumerate(made.found.slips, start=1)
            if each.slip.end is not None
        ],
    )
    return format_html(
        '<svg class="photo" viewBox="0 0 {} {}" width="{}" height="{}" role="img" aria-label="{}">'
        '<image href="{}" x="0" y="{}" width="{}" height="{}"/>{}{}{}</svg>',
        wide,
        high + 2 * _ROOM,
        wide,
        high + 2 * _ROOM,
        _("The photograph with the cells that were read"),
        picture,
        _ROOM,
        wide,
        high,
        _cells(made, x, y, range(x.shape[1])),
        rings,
        _numbers(made, x, high),
    )


def close(made: PhotoResult, column: int, picture: str, says: str) -> SafeString:
    """The ends around a slip, large."""
    x, y = _places(made)
    first, last = max(column - _AROUND, 0), min(column + _AROUND, x.shape[1] - 1)
    near = slice(first, last + 1)
    pad = 24
    left, right = float(x[:, near].min()) - pad, float(x[:, near].max()) + pad
    top, bottom = float(y[:, near].min()) - pad, float(y[:, near].max()) + pad
    wide, high = made.shown.size
    return format_html(
        '<svg class="photo close" viewBox="{} {} {} {}" role="img" aria-label="{}">'
        '<image href="{}" x="0" y="{}" width="{}" height="{}"/>{}<g class="ring found">{}</g></svg>',
        *(str(round(each)) for each in (left, top, right - left, bottom - top)),
        says,
        picture,
        _ROOM,
        wide,
        high,
        _cells(made, x, y, range(first, last + 1)),
        _ring(x[:, column], y[:, column], made),
    )


def _ring(x: np.ndarray, y: np.ndarray, made: PhotoResult) -> SafeString:
    space = made.shown.size[0] / max(made.found.x.shape[1], 1)
    return format_html(
        '<ellipse cx="{}" cy="{}" rx="{}" ry="{}"/>',
        round(float(x.mean()), 1),
        round(float(y.mean()), 1),
        round(float(np.ptp(x)) / 2 + 0.9 * space, 1),
        round(float(np.ptp(y)) / 2 + 0.9 * space, 1),
    )


def _cells(made: PhotoResult, x: np.ndarray, y: np.ndarray, columns: range) -> SafeString:
    """A bar along the warp where it is on top, one along the weft where that is; nothing where unsure."""
    up, down = [], []
    for column in columns:
        for pick in range(len(x)):
            cell = made.found.cells[pick, column]
            if cell == UNSEEN:
                continue
            at_x, at_y = x[pick, column], y[pick, column]
            if cell:
                up.append(f"M{at_x:.0f} {at_y - 3:.0f}v6")
            else:
                down.append(f"M{at_x - 3:.0f} {at_y:.0f}h6")
    return format_html(
        '<g class="read"><path class="halo" d="{0}{1}"/><path class="warp" d="{0}"/>'
        '<path class="weft" d="{1}"/></g>',
        "".join(up),
        "".join(down),
    )


def _numbers(made: PhotoResult, x: np.ndarray, high: int) -> SafeString:
    """Every tenth end, counted from end 1 above and from the other edge below."""
    web = len(made.planned.threading)
    rows = []
    for column, end in enumerate(made.found.end.tolist()):
        at = round(float(x[:, column].mean()))
        if end and end % _EVERY == 0:
            rows.append((at, 18, end))
        if end and (web + 1 - end) % _EVERY == 0:
            rows.append((at, high + 2 * _ROOM - 8, web + 1 - end))
    return format_html_join("", '<text class="number" x="{}" y="{}">{}</text>', rows)

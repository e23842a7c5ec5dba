"""The web strip: the warp as it will lie, every end in its color, with that page's matter beneath.

Paper, screen and loom show the same thing in the same place.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.cloth.color import to_code, to_light
from loomready.cloth.look import INK, QUIET, RULE
from loomready.cloth.scene import text_width
from loomready.cloth.svg import decimal, document, safe
from loomready.colors import RGB, hex_color
from loomready.draft.structure.periods import runs
from loomready.model.guild import Side
from loomready.phrases import ENGLISH, Catalog, Phrase, listed, phrase, plural, translated, word
from loomready.problems import BadInput, shorten

_LETTER = 11
_LANE = 21  # bracket and label
_FINEST_PX = 0.35  # ends finer than this are mixed as the eye mixes them
_THREAD_PX = 2.0  # from here on there is room to shade each end


Places = npt.NDArray[np.float64]  # [ends, 2]

_TITLE = phrase("The warp on the loom")


@dataclass(frozen=True, slots=True)
class Mark:
    """A stretch of the web to be bracketed: ends counted from 1 in web order, both included."""

    first_end: int
    last_end: int
    label: str


def strip_svg(
    colors: Sequence[RGB],
    width: int,
    height: int,
    marks: Sequence[Mark] = (),
    *,
    end_1: Side = "right",
    title: str = _TITLE,
    words: str | None = None,
    catalog: Catalog = ENGLISH,
    places: Places | None = None,
) -> str:
    """The web strip as a self-contained SVG of ``width`` x ``height`` pixels.

    Marks take their room from the height: a bracket and a label; those that overlap lie one under another. A
    label that does not fit its bracket is left out, the bracket stays.

    :param colors: one for each end, end 1 first
    :param words: what is read aloud of the whole, ahead of the marks; None: how many ends, and where end 1 is
    :param catalog: the language of its words
    :param places: where each end lies across the web, as shares of its width (near edge, far edge) from end 1
        on; None: side by side. Between them the reed is empty
    :raises BadInput: no ends, too little room, or a mark that lies outside the web
    """
    ends = len(colors)
    if not ends:
        raise BadInput(phrase("a web strip without ends; expected one color per end"))
    lanes = _lanes(marks, ends)
    bar = height - _LANE * len(lanes)
    if width < 20 or bar < 8:
        raise BadInput(
            phrase(
                "a web strip of {width} x {height} pixels is too small; expected at least 20 x {lowest}",
                width=width,
                height=height,
                lowest=8 + _LANE * len(lanes),
            )
        )
    laid = np.array(colors[::-1] if end_1 == "right" else colors, dtype=np.uint8).reshape(ends, 3)
    body = ["<defs>", *_LIGHT, "</defs>"]
    if places is None:
        even = np.linspace(0, 1, ends + 1)
        places = np.column_stack([even[:-1], even[1:]])
        body.extend(_ends(laid, width, bar))
        body.extend(_shade(ends, width, bar))
    else:
        body.extend(_spaced(np.array(colors, dtype=np.uint8).reshape(ends, 3), places, width, bar, end_1))
    body.extend(_frame(width, bar))
    for lane, these in enumerate(lanes):
        body.extend(_brackets(these, places, width, bar + lane * _LANE, end_1, catalog))
    if words is None:
        words = plural(
            ends,
            "{count} end, end 1 at the {left_or_right}",
            "{count} ends, end 1 at the {left_or_right}",
            left_or_right=word(end_1),
        )
    if marks:
        words = phrase("{web}: {marks}", web=words, marks=listed(map(_read_aloud, marks)))
    return document(width, height, translated(title, catalog), translated(words, catalog), body)


def _read_aloud(mark: Mark) -> Phrase:
    return phrase("{mark} ends {first}-{last}", mark=mark.label, first=mark.first_end, last=mark.last_end)


_LIGHT = (
    '<linearGradient id="@round" x1="0" y1="0" x2="0" y2="1">',
    '<stop offset="0" stop-color="#fff" stop-opacity="0.16"/>',
    '<stop offset="0.35" stop-color="#fff" stop-opacity="0"/>',
    '<stop offset="0.7" stop-color="#000" stop-opacity="0"/>',
    '<stop offset="1" stop-color="#000" stop-opacity="0.16"/>',
    "</linearGradient>",
)


def _ends(laid: np.ndarray[tuple[int, ...], np.dtype[np.uint8]], width: int, bar: int) -> Iterator[str]:
    """Runs of one color, left to right; each reaches a little under the next, so that no seam shows."""
    bins = laid
    if width / len(laid) < _FINEST_PX:
        # The mean light of each stretch, from differences of the running sum.
        total = np.concatenate([np.zeros((1, 3)), to_light(laid).cumsum(axis=0)])
        edges = np.linspace(0, len(laid), int(width / _FINEST_PX) + 1)
        sums = np.stack(
            [np.interp(edges, np.arange(len(laid) + 1), total[:, part]) for part in range(3)], axis=1
        )
        bins = to_code(np.diff(sums, axis=0) / np.diff(edges)[:, None])
    px = width / len(bins)
    codes = (bins.astype(np.int64) * [65536, 256, 1]).sum(axis=1)
    for start, length in runs(codes):
        far = min(float(width), (start + length) * px + 0.4)
        near = start * px
        yield (
            f'<rect x="{decimal(near)}" width="{decimal(far - near)}" height="{bar}" '
            f'fill="#{int(codes[start]):06x}"/>'
        )


def _shade(ends: int, width: int, bar: int) -> Iterator[str]:
    px = width / ends
    if px >= _THREAD_PX:
        bands = 3 if px < 6 else 6 if px < 16 else 12
        for band in range(bands):
            place = (band + 0.5) / bands
            # Round and lit from the left: brightest a third across, dark at the far edge.
            light = 1.15 * math.cos((place - 0.36) * 2.2) - 0.9
            color, opacity = ("#fff", light * 0.7) if light > 0 else ("#000", -light * 0.42)
            path = "".join(f"M{decimal((end + place) * px)} 0v{bar}" for end in range(ends))
            yield (
                f'<path d="{path}" stroke="{color}" stroke-opacity="{decimal(opacity)}" '
                f'stroke-width="{decimal(px / bands)}" fill="none"/>'
            )


def _spaced(
    colors: np.ndarray[tuple[int, ...], np.dtype[np.uint8]], places: Places, width: int, bar: int, end_1: Side
) -> Iterator[str]:
    """Each end in its place, one path for each color; the reed between them stays the page's own."""
    near, far = places[:, 0] * width, places[:, 1] * width
    if end_1 == "right":
        near, far = width - far, width - near
    middle, thick = (near + far) / 2, (far - near) * 0.9
    codes = (colors.astype(np.int64) * [65536, 256, 1]).sum(axis=1)
    looks = np.column_stack([codes, np.round(thick * 100).astype(np.int64)])
    for code, hundredths in np.unique(looks, axis=0).tolist():
        these = np.flatnonzero((looks[:, 0] == code) & (looks[:, 1] == hundredths))
        path = "".join(f"M{decimal(middle[end])} 0v{bar}" for end in these.tolist())
        yield (
            f'<path d="{path}" stroke="#{code:06x}" stroke-width="{decimal(max(hundredths / 100, 0.1))}" '
            'fill="none"/>'
        )


def _frame(width: int, bar: int) -> Iterator[str]:
    yield f'<rect width="{width}" height="{bar}" fill="url(#@round)"/>'
    yield (
        f'<rect x="0.5" y="0.5" width="{width - 1}" height="{bar - 1}" fill="none" '
        f'stroke="{hex_color(RULE)}" stroke-width="1"/>'
    )


def _lanes(marks: Sequence[Mark], ends: int) -> list[list[Mark]]:
    """Marks in as few lanes as hold them without overlap, in the order given."""
    lanes: list[list[Mark]] = []
    for mark in marks:
        if not 1 <= mark.first_end <= mark.last_end <= ends:
            raise BadInput(
                phrase(
                    'the mark "{mark}" covers ends {first} to {last}; expected ends from 1 to {ends}',
                    mark=shorten(mark.label),
                    first=mark.first_end,
                    last=mark.last_end,
                    ends=ends,
                )
            )
    for mark in sorted(marks, key=lambda mark: (mark.first_end, -mark.last_end)):
        free = next((lane for lane in lanes if lane[-1].last_end < mark.first_end), None)
        if free is None:
            lanes.append([mark])
        else:
            free.append(mark)
    return lanes


def label_fits(label: str, bracket: float) -> bool:
    """Whether there is room for a label under a bracket so wide, in pixels."""
    return text_width(label[:200], _LETTER) <= bracket - 2


def _brackets(
    marks: Sequence[Mark], places: Places, width: int, top: int, end_1: Side, catalog: Catalog
) -> Iterator[str]:
    path = []
    labels = []
    for mark in marks:
        near, far = places[mark.first_end - 1][0] * width, places[mark.last_end - 1][1] * width
        if end_1 == "right":
            near, far = width - far, width - near
        gap = min(1.0, (far - near) / 5)
        near, far = near + gap, far - gap
        path.append(f"M{decimal(near)} {top + 3}v4H{decimal(far)}v-4")
        label = translated(mark.label, catalog)
        text = safe(label)
        if text and label_fits(label, far - near):
            labels.append(f'<text x="{decimal((near + far) / 2)}" y="{top + 18}">{text}</text>')
    yield f'<path d="{"".join(path)}" stroke="{hex_color(QUIET)}" fill="none"/>'
    yield f'<g font-size="{_LETTER}" text-anchor="middle" fill="{hex_color(INK)}">'
    yield from labels
    yield "</g>"

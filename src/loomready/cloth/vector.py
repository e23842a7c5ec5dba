"""The cloth as an SVG: every float a rounded, shaded bar. Threads that run alike are drawn once."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from loomready.cloth.color import mix_linear, to_code, to_light
from loomready.cloth.limits import check_cell, check_crossings, check_draft
from loomready.cloth.svg import decimal, document, true_runs
from loomready.colors import RGB, hex_color
from loomready.draft.draft import Draft, drawdown
from loomready.model.guild import Side
from loomready.phrases import ENGLISH, Catalog, phrase, translated, word

Bools = npt.NDArray[np.bool_]

# Share of light, width beyond the bar's core, shift towards the light: all in cells.
_LAYERS = ((0.30, 0.62, 0.0), (0.62, 0.54, -0.012), (1.0, 0.38, -0.045), (1.22, 0.06, -0.10))
_SIDE, _END, _ROUND = 0.06, 0.05, 0.26


def cloth_svg(draft: Draft, cell: int = 8, *, end_1: Side = "right", catalog: Catalog = ENGLISH) -> str:
    """The cloth in its colors as a self-contained SVG, pick 1 at the top.

    Its size grows with the different columns (shaft, color) and rows (lifts, color), not with the crossings.

    :raises BadInput: nothing to draw, or no such cell; :raises Impossible: more than 4 million crossings
    """
    check_draft(draft)
    check_cell(cell)
    check_crossings(draft.ends, draft.picks)
    order = np.arange(draft.ends)[::-1] if end_1 == "right" else np.arange(draft.ends)
    up = np.ascontiguousarray(drawdown(draft)[:, order])
    shafts = draft.threading[order].astype(np.intp)
    lift_of = np.unique(draft.lifts, axis=0, return_inverse=True)[1].reshape(-1)
    body = [_ground(draft, up, cell)]
    body.extend(_threads(draft, "a", up.T, shafts, draft.warp_colors[order], cell, warp=True))
    body.extend(_threads(draft, "b", ~up, lift_of, draft.weft_colors, cell, warp=False))
    words = phrase(
        "Cloth of {ends} ends and {picks} picks, end 1 at the {left_or_right}, pick 1 at the top",
        ends=draft.ends,
        picks=draft.picks,
        left_or_right=word(end_1),
    )
    title = draft.title or phrase("Cloth")
    return document(
        draft.ends * cell, draft.picks * cell, translated(title, catalog), translated(words, catalog), body
    )


def _ground(draft: Draft, up: Bools, cell: int) -> str:
    """What is seen between the threads: their mixture, in shadow."""
    used = np.concatenate([draft.warp_colors, draft.weft_colors])
    counts = np.bincount(used, minlength=len(draft.palette))
    dark = _shaded(mix_linear(draft.palette, counts.tolist()), 0.14)
    return f'<rect width="{up.shape[1] * cell}" height="{up.shape[0] * cell}" fill="{dark}"/>'


def _threads(
    draft: Draft,
    name: str,
    on_top: Bools,
    kinds: npt.NDArray[np.intp],
    colors: npt.NDArray[np.int16],
    cell: int,
    *,
    warp: bool,
) -> Iterator[str]:
    """All threads of one direction: ``on_top`` bool[threads, crossings], threads of one kind alike."""
    looks, first, look_of = np.unique(
        np.stack([kinds, colors.astype(np.intp)], axis=1), axis=0, return_index=True, return_inverse=True
    )
    drawn: set[int] = set()
    empty: set[int] = set()
    layers = _LAYERS if cell >= 6 else _LAYERS[1:3]
    yield "<defs>"
    for number, (kind, color) in enumerate(looks.tolist()):
        if kind not in drawn:
            path = _bars(on_top[int(first[number])], cell, warp)
            drawn.add(kind)
            if path:
                yield f'<path id="@{name}{kind + 1}" d="{path}"/>'
            else:
                empty.add(kind)
        if kind in empty:
            continue
        yield f'<g id="@{name}{kind + 1}-{color}" stroke-linejoin="round">'
        for light, thick, shift in layers:
            fill = _shaded(draft.palette[color], light)
            moved = f' x="{decimal(shift * cell)}" y="{decimal(shift * cell)}"' if shift else ""
            yield (
                f'<use href="#@{name}{kind + 1}"{moved} fill="{fill}" stroke="{fill}" '
                f'stroke-width="{decimal(thick * cell)}"/>'
            )
        yield "</g>"
    yield "</defs>"
    for place, look in enumerate(look_of.reshape(-1).tolist()):
        kind, color = looks[look].tolist()
        if kind not in empty:
            along = f'x="{place * cell}"' if warp else f'y="{place * cell}"'
            yield f'<use href="#@{name}{kind + 1}-{color}" {along}/>'


def _bars(on_top: Bools, cell: int, warp: bool) -> str:
    """The cores of a thread's floats; the strokes around them make them round.

    A float that goes on in the next repeat runs off the edge.
    """
    wide = (1 - 2 * _SIDE - 2 * _ROUND) * cell
    near = (_SIDE + _ROUND) * cell
    parts = []
    whole = len(on_top)
    for start, length in true_runs(on_top):
        low = start * cell + (_END + _ROUND) * cell
        high = (start + length) * cell - (_END + _ROUND) * cell
        if start == 0 and on_top[-1]:
            low = -float(cell)
        if start + length == whole and on_top[0]:
            high = float((whole + 1) * cell)
        long, across = decimal(high - low), decimal(wide)
        if warp:
            parts.append(f"M{decimal(near)} {decimal(low)}h{across}v{long}h-{across}z")
        else:
            parts.append(f"M{decimal(low)} {decimal(near)}h{long}v{across}h-{long}z")
    return "".join(parts)


def _shaded(color: RGB, light: float) -> str:
    gleam = 0.02 if light > 1 else 0.0
    red, green, blue = to_code(to_light(color) * light + gleam).tolist()
    return hex_color((red, green, blue))

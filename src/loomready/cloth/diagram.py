"""The draft as weavers draw it: threading on top, tie-up in the corner, treadling or lift plan at the side.

Everything is read outward from the corner where the tie-up stands: it stands at the side of end 1, pick 1
is the row under the threading. Shaft 1 in front is the row next to the drawdown (nearest the weaver); at
the back it is the top row. Treadles and levers are numbered from the left, as they lie at the loom.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from loomready.cloth.limits import check_cell, check_crossings, check_draft, check_pixels
from loomready.cloth.look import HAIRLINE, INK, MADDER, QUIET, RULE, WOAD, WOAD_TINT
from loomready.cloth.picture import png_bytes
from loomready.cloth.scene import Bools, Box, Cells, Lines, Mark, Scene, Text, Weave, text_width
from loomready.colors import RGB
from loomready.draft.draft import Draft, drawdown
from loomready.draft.structure.periods import runs
from loomready.model.guild import Side
from loomready.phrases import ENGLISH, Catalog, Phrase, phrase, plural, some, translated, word

Shaft1 = Literal["front", "back"]
Order = npt.NDArray[np.intp]

_GROUND: RGB = (255, 253, 248)
_STEPS = (5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
_NUMBERED = 12  # from this cell on there is room for a number in it


def draft_svg(
    draft: Draft,
    cell: int = 12,
    *,
    end_1: Side = "right",
    shaft_1: Shaft1 = "front",
    colored: bool = False,
    catalog: Catalog = ENGLISH,
) -> str:
    """The draft with its drawdown as a self-contained SVG.

    :param cell: pixels a thread; from 12 on the cells are numbered
    :param end_1: the side where end 1 and the tie-up stand; :param shaft_1: where shaft 1 hangs
    :param colored: each crossing in the color of the thread on top; else dark where the warp is
    :param catalog: the language of its legend
    :raises BadInput: nothing to draw, or no such cell; :raises Impossible: too many threads or pixels
    """
    return draft_scene(draft, cell, end_1=end_1, shaft_1=shaft_1, colored=colored, catalog=catalog).svg()


def draft_scene(
    draft: Draft,
    cell: int = 12,
    *,
    end_1: Side = "right",
    shaft_1: Shaft1 = "front",
    colored: bool = False,
    catalog: Catalog = ENGLISH,
    first: tuple[int, int] = (1, 1),
    legend: bool = True,
) -> Scene:
    """The drawing of :func:`draft_svg` with its size, still to be written on a paper.

    :param first: numbers of the first end and the first pick, where the draft is a part of another
    :param legend: whether sentences about it stand under it
    """
    check_draft(draft)
    check_cell(cell)
    check_crossings(draft.ends, draft.picks)
    return _draw(draft, cell, end_1, shaft_1, colored, catalog, first, legend)


def drawn_size(draft: Draft, cell: int, *, end_1: Side = "right") -> tuple[int, int]:
    """Width and height in pixels of the drawing without its legend, without drawing it."""
    at = _layout(draft, cell, end_1, ())
    return at.width, at.height


def draft_png(
    draft: Draft,
    cell: int = 12,
    *,
    end_1: Side = "right",
    shaft_1: Shaft1 = "front",
    colored: bool = False,
    catalog: Catalog = ENGLISH,
) -> bytes:
    """The same drawing as :func:`draft_svg`, as a PNG."""
    check_draft(draft)
    check_cell(cell)
    return png_bytes(_draw(draft, cell, end_1, shaft_1, colored, catalog).image())


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where the parts stand, in pixels."""

    cell: int
    letter: int  # size of labels
    width: int
    height: int
    cloth_x: int
    cloth_y: int
    side_x: int
    thread_y: int
    warp_bar_y: int
    weft_bar_x: int
    bar: int
    title_y: int
    legend: tuple[str, ...]
    legend_y: int


def _layout(draft: Draft, cell: int, end_1: Side, words: tuple[str, ...]) -> _Layout:
    letter = max(10, min(30, round(cell * 0.62)))
    margin = max(14, cell)
    gap = max(5, cell // 2)
    bar = max(6, round(cell * 0.8))
    columns = draft.treadles if draft.treadles is not None else draft.shafts
    label = text_width(str(max(draft.picks, draft.shafts)), letter) + letter // 2
    cloth, side = draft.ends * cell + 1, columns * cell + 1
    inner = max(cloth + gap + side + gap + bar + label, 26 * letter if words else 0)
    lines = _wrap(words, letter, inner)
    title_y = margin + round(letter * 1.5) if draft.title else margin - letter // 2
    warp_bar_y = title_y + letter // 2 + round(letter * 1.6)
    thread_y = warp_bar_y + bar + gap
    cloth_y = (
        thread_y + draft.shafts * cell + 1 + max(gap, round(letter * 1.3) if draft.treadles is None else gap)
    )
    legend_y = cloth_y + draft.picks * cell + 1 + round(letter * 1.9)
    if end_1 == "right":
        cloth_x = margin
        side_x = cloth_x + cloth + gap
        weft_bar_x = side_x + side + gap
    else:
        weft_bar_x = margin + label
        side_x = weft_bar_x + bar + gap
        cloth_x = side_x + side + gap
    return _Layout(
        cell=cell,
        letter=letter,
        width=inner + 2 * margin,
        height=legend_y + (len(lines) - 1) * round(letter * 1.35) + margin,
        cloth_x=cloth_x,
        cloth_y=cloth_y,
        side_x=side_x,
        thread_y=thread_y,
        warp_bar_y=warp_bar_y,
        weft_bar_x=weft_bar_x,
        bar=bar,
        title_y=title_y,
        legend=lines,
        legend_y=legend_y,
    )


def _wrap(words: tuple[str, ...], letter: int, width: int) -> tuple[str, ...]:
    """The sayings of the legend, as many to a line as fit."""
    lines: list[str] = []
    for each in words:
        joined = f"{lines[-1]} · {each}" if lines else each
        if lines and text_width(joined, letter) <= width:
            lines[-1] = joined
        else:
            lines.append(each)
    return tuple(lines)


def legend_of(
    draft: Draft, end_1: Side, shaft_1: Shaft1, colored: bool = False, *, on_shafts: bool = True
) -> tuple[Phrase, ...]:
    """What stands under the drawing. ``on_shafts``: the loom has shafts; else they are only the draft's."""
    words = [
        some(draft.ends, "end"),
        some(draft.picks, "pick"),
        some(draft.shafts, "shaft")
        if on_shafts
        else plural(draft.shafts, "{count} shaft of the draft", "{count} shafts of the draft"),
        some(draft.treadles, "treadle") if draft.treadles is not None else phrase("lift plan"),
        phrase("end 1 at the {left_or_right}", left_or_right=word(end_1)),
    ]
    words.append(
        {
            ("front", True): phrase("shaft 1 in front, the bottom row"),
            ("front", False): phrase("shaft 1 the bottom row"),
            ("back", True): phrase("shaft 1 at the back, the top row"),
            ("back", False): phrase("shaft 1 the top row"),
        }[shaft_1, on_shafts]
    )
    words.append(phrase("pick 1 at the top"))
    words.append(phrase("each crossing in the color on top") if colored else phrase("dark: warp on top"))
    if draft.treadles is not None:
        words.append(phrase("o rises") if draft.rising else phrase("x sinks, the other shafts rise"))
    loose = int((draft.threading < 0).sum())
    if loose:
        words.append(plural(loose, "{count} end not threaded", "{count} ends not threaded"))
    return tuple(words)


def _draw(
    draft: Draft,
    cell: int,
    end_1: Side,
    shaft_1: Shaft1,
    colored: bool,
    catalog: Catalog,
    first: tuple[int, int] = (1, 1),
    legend: bool = True,
) -> Scene:
    told = tuple(translated(each, catalog) for each in legend_of(draft, end_1, shaft_1, colored))
    words = told if legend else ()

    def size_of(smaller: int) -> tuple[int, int]:
        layout = _layout(draft, smaller, end_1, words)
        return layout.width, layout.height

    check_pixels(size_of, cell)
    at = _layout(draft, cell, end_1, words)
    title = draft.title or translated(phrase("Weaving draft"), catalog)
    scene = Scene(at.width, at.height, title, ", ".join(told))
    flip = end_1 == "right"
    columns = np.arange(draft.ends)[::-1] if flip else np.arange(draft.ends)
    rows = np.arange(draft.shafts)[::-1] if shaft_1 == "front" else np.arange(draft.shafts)
    _title(scene, at, draft)
    _warp_bar(scene, at, draft, columns, flip, first[0] - 1)
    _weft_bar(scene, at, draft, flip, first[1] - 1)
    _threading(scene, at, draft, columns, rows, flip)
    _side(scene, at, draft)
    if draft.tieup is not None:
        _tieup(scene, at, draft.tieup[rows], draft.rising)
    _shaft_numbers(scene, at, draft, rows, flip)
    _cloth(scene, at, draft, columns, colored, flip)
    step = round(at.letter * 1.35)
    start = at.cloth_x if flip else at.weft_bar_x
    for number, line in enumerate(at.legend):
        scene.shapes.append(
            Text(start, at.legend_y + number * step, line, at.letter, anchor="start", color=QUIET)
        )
    return scene


def _title(scene: Scene, at: _Layout, draft: Draft) -> None:
    if not draft.title:
        return
    size = round(at.letter * 1.6)
    text = " ".join(draft.title[:200].split())
    room = scene.width - 2 * min(at.cloth_x, at.weft_bar_x)
    while text and text_width(text, size, serif=True, bold=True) > room:
        text = text.removesuffix("…")[:-1].rstrip() + "…" if len(text) > 2 else ""
    start = min(at.cloth_x, at.weft_bar_x)
    scene.shapes.append(Text(start, at.title_y, text, size, anchor="start", serif=True, bold=True))


def _warp_bar(scene: Scene, at: _Layout, draft: Draft, columns: Order, flip: bool, before: int) -> None:
    width = draft.ends * at.cell
    scene.shapes.append(Box(at.cloth_x, at.warp_bar_y - 1, width + 1, at.bar + 2, RULE))
    colors = draft.warp_colors[columns]
    for start, length in runs(colors):
        x = at.cloth_x + start * at.cell
        fill = draft.palette[int(colors[start])]
        scene.shapes.append(
            Box(x + (start == 0), at.warp_bar_y, length * at.cell - (start == 0), at.bar, fill)
        )
    base = at.warp_bar_y - at.letter // 2
    for number in _labels(draft.ends, at, text_width(str(before + draft.ends), at.letter) + at.letter):
        place = draft.ends - number if flip else number - 1
        x = at.cloth_x + place * at.cell + (at.cell + 1) // 2
        anchor: Literal["start", "middle", "end"] = "middle"
        half = text_width(str(before + number), at.letter) // 2
        if x - half < at.cloth_x:
            anchor, x = "start", at.cloth_x
        elif x + half > at.cloth_x + width:
            anchor, x = "end", at.cloth_x + width
        scene.shapes.append(Text(x, base, str(before + number), at.letter, anchor=anchor, color=QUIET))


def _weft_bar(scene: Scene, at: _Layout, draft: Draft, flip: bool, before: int) -> None:
    height = draft.picks * at.cell
    scene.shapes.append(Box(at.weft_bar_x - 1, at.cloth_y, at.bar + 2, height + 1, RULE))
    for start, length in runs(draft.weft_colors):
        y = at.cloth_y + start * at.cell
        fill = draft.palette[int(draft.weft_colors[start])]
        scene.shapes.append(
            Box(at.weft_bar_x, y + (start == 0), at.bar, length * at.cell - (start == 0), fill)
        )
    x = at.weft_bar_x + at.bar + at.letter // 2 if flip else at.weft_bar_x - at.letter // 2
    for number in _labels(draft.picks, at, round(at.letter * 1.3)):
        base = at.cloth_y + (number - 1) * at.cell + at.cell // 2 + round(at.letter * 0.34)
        anchor: Literal["start", "end"] = "start" if flip else "end"
        scene.shapes.append(Text(x, base, str(before + number), at.letter, anchor=anchor, color=QUIET))


def _labels(count: int, at: _Layout, room: int) -> list[int]:
    """Which threads are numbered: the first, and every 5th, 10th, ... as far as there is room."""
    step = next((step for step in _STEPS if step * at.cell >= room), _STEPS[-1])
    numbers = list(range(step, count + 1, step))
    return numbers if numbers and (step - 1) * at.cell < room * 0.8 else [1, *numbers]


def _threading(scene: Scene, at: _Layout, draft: Draft, columns: Order, rows: Order, flip: bool) -> None:
    filled = draft.threading[columns][None, :] == rows[:, None]
    _filled(scene, at.cloth_x, at.thread_y, at, filled)
    _grid(scene, at.cloth_x, at.thread_y, at, draft.shafts, draft.ends, from_right=flip, from_bottom=True)
    if at.cell >= _NUMBERED:
        for row, column in np.argwhere(filled).tolist():
            _number(scene, at.cloth_x, at.thread_y, at, row, column, int(rows[row]) + 1)


def _side(scene: Scene, at: _Layout, draft: Draft) -> None:
    filled = draft.lifts if draft.treadling is None else draft.treadling
    _filled(scene, at.side_x, at.cloth_y, at, filled)
    _grid(scene, at.side_x, at.cloth_y, at, draft.picks, filled.shape[1])
    if at.cell >= _NUMBERED:
        for row, column in np.argwhere(filled).tolist():
            _number(scene, at.side_x, at.cloth_y, at, row, column, column + 1)
    base = (at.thread_y if draft.treadles is not None else at.cloth_y) - at.letter // 2
    for number in _few(filled.shape[1], at.cell, text_width("00", at.letter)):
        x = at.side_x + (number - 1) * at.cell + (at.cell + 1) // 2
        scene.shapes.append(Text(x, base, str(number), at.letter, color=QUIET))


def _tieup(scene: Scene, at: _Layout, tied: Bools, rising: bool) -> None:
    scene.shapes.append(
        Box(at.side_x, at.thread_y, tied.shape[1] * at.cell + 1, tied.shape[0] * at.cell + 1, _GROUND)
    )
    color = WOAD if rising else MADDER
    if at.cell < 6:
        scene.shapes.append(Cells(at.side_x, at.thread_y, at.cell, tied, color))
    _grid(scene, at.side_x, at.thread_y, at, *tied.shape)
    if at.cell >= 6:
        for row, column in np.argwhere(tied).tolist():
            x, y = at.side_x + column * at.cell, at.thread_y + row * at.cell
            scene.shapes.append(Mark("o" if rising else "x", x, y, at.cell, color))


def _shaft_numbers(scene: Scene, at: _Layout, draft: Draft, rows: Order, flip: bool) -> None:
    """At the outer edge of the tie-up; beside the threading where there is none."""
    tied = draft.treadles * at.cell + 1 if draft.treadles is not None else -at.letter // 2
    x = at.side_x + tied + at.letter // 2 if flip else at.side_x - at.letter // 2
    if draft.treadles is None and not flip:
        x = at.cloth_x - at.letter // 2
    shown = set(_few(draft.shafts, at.cell, round(at.letter * 1.1)))
    for row, shaft in enumerate(rows.tolist()):
        if shaft + 1 in shown:
            base = at.thread_y + row * at.cell + at.cell // 2 + round(at.letter * 0.34)
            scene.shapes.append(
                Text(x, base, str(shaft + 1), at.letter, anchor="start" if flip else "end", color=QUIET)
            )


def _few(count: int, cell: int, room: int) -> list[int]:
    """Which shafts or treadles are numbered: all with room, else every second, fourth, ..."""
    if not count:
        return []
    step = next((step for step in (1, 2, 4, 8, 16) if step * cell >= room), 32)
    return [number for number in range(1, count + 1) if step == 1 or number % step == 0] or [count]


def _cloth(scene: Scene, at: _Layout, draft: Draft, columns: Order, colored: bool, flip: bool) -> None:
    palette = np.array(draft.palette, dtype=np.uint8)
    if colored:
        warp, weft = palette[draft.warp_colors[columns]], palette[draft.weft_colors]
    else:
        warp = np.broadcast_to(np.array(INK, dtype=np.uint8), (draft.ends, 3))
        weft = np.broadcast_to(np.array(_GROUND, dtype=np.uint8), (draft.picks, 3))
    scene.shapes.append(
        Weave(
            at.cloth_x,
            at.cloth_y,
            at.cell,
            drawdown(draft)[:, columns],
            draft.threading[columns].astype(np.intp) + 1,
            warp,
            weft,
        )
    )
    _grid(scene, at.cloth_x, at.cloth_y, at, draft.picks, draft.ends, from_right=flip)


def _filled(scene: Scene, x: int, y: int, at: _Layout, filled: Bools) -> None:
    rows, columns = filled.shape
    scene.shapes.append(Box(x, y, columns * at.cell + 1, rows * at.cell + 1, _GROUND))
    scene.shapes.append(Cells(x, y, at.cell, filled, WOAD_TINT if at.cell >= _NUMBERED else WOAD))


def _number(scene: Scene, x: int, y: int, at: _Layout, row: int, column: int, number: int) -> None:
    size = round(at.cell * (0.72 if number < 10 else 0.64))
    middle_x = x + column * at.cell + (at.cell + 1) // 2
    base = y + row * at.cell + round(at.cell / 2 + size * 0.33) + 1
    scene.shapes.append(Text(middle_x, base, str(number), size, bold=True))


def _grid(
    scene: Scene,
    x: int,
    y: int,
    at: _Layout,
    rows: int,
    columns: int,
    *,
    from_right: bool = False,
    from_bottom: bool = False,
) -> None:
    """Hairlines, every fifth and tenth darker, counted from thread 1; fewer in small cells."""
    width, height = columns * at.cell, rows * at.cell
    for step, color, least in ((1, HAIRLINE, 5), (5, RULE, 2), (10, QUIET, 2)):
        if at.cell < least:
            continue
        down = [number for number in range(columns + 1) if _shown(number, step)]
        across = [number for number in range(rows + 1) if _shown(number, step)]
        xs = [x + width - number * at.cell if from_right else x + number * at.cell for number in down]
        ys = [y + height - number * at.cell if from_bottom else y + number * at.cell for number in across]
        if xs:
            scene.shapes.append(Lines(True, tuple((place, y, height + 1) for place in xs), color))
        if ys:
            scene.shapes.append(Lines(False, tuple((x, place, width + 1) for place in ys), color))
    frame = ((x, y, height + 1), (x + width, y, height + 1))
    scene.shapes.append(Lines(True, frame, QUIET))
    scene.shapes.append(Lines(False, ((x, y, width + 1), (x, y + height, width + 1)), QUIET))


def _shown(number: int, step: int) -> bool:
    """A line belongs to its darkest step only."""
    darkest = 10 if number % 10 == 0 else 5 if number % 5 == 0 else 1
    return darkest == step

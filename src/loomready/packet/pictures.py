"""The pictures of a packet: the web strip with each sheet's matter, the draft, the cloth, QR codes."""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from loomready.cloth.picture import ClothImage, cloth_image
from loomready.cloth.spaced import spaced_image
from loomready.cloth.strip import Mark, label_fits, strip_svg
from loomready.draft.draft import Draft
from loomready.loomside.board.choice import choose
from loomready.loomside.board.drawing import board_drawing
from loomready.loomside.board.ties import marks
from loomready.loomside.steps.groups import groups
from loomready.loomside.steps.sleying import ends_of_dents
from loomready.loomside.steps.tying_in import left_out
from loomready.loomside.steps.words import span
from loomready.model.guild import MAX_PICKS
from loomready.phrases import ENGLISH, Catalog, joined, phrase, plural, some, word
from loomready.warp.across import columns, places, up_to
from loomready.warp.double_cloth import layers_in
from loomready.warp.length import pick_roles
from loomready.warp.result import Ints, WarpPlan, Weft
from loomready.warp.rigid import reed_words
from loomready.warp.stripes import laid, roles_in_stripes
from loomready.warp.width import roles_of

STRIP_WIDTH, STRIP_HEIGHT = 700, 55  # px; as wide as the text on the page
CLOTH_MM = (92.0, 62.0)  # room for the cloth at true size
BOARD_MM = (92.0, 76.0)  # room for the board with its path
WHITE = (255, 255, 255)  # the sheet's own paper
MOST_STRETCHES = 12  # of dents
_GAPS_PX = 2  # between two brackets


@dataclass(slots=True)
class Pictures:
    """SVG pictures by name, in the order in which they were added."""

    made: dict[str, str] = field(default_factory=dict)

    def add(self, name: str, svg: str) -> str:
        self.made[name] = svg
        return name


def board_picture(plan: WarpPlan) -> tuple[str, float] | None:
    """The path over the guild's board as SVG, and how much higher than wide it is; None: no board."""
    chosen = choose(plan)
    if chosen is None:
        return None
    board, path = chosen
    drawn = board_drawing(board, path.pegs, marks(board, path.pegs, plan.guild.units == "us"))
    return drawn.svg, drawn.height / drawn.width


def strips(plan: WarpPlan, catalog: Catalog = ENGLISH, scale: float = 1.0) -> dict[str, str]:
    """The web strip of each sheet, as SVG, its labels in the catalog's language.

    :param scale: of the letters on the page, which the strip takes all the width of
    """
    width, height = round(STRIP_WIDTH / scale), round(STRIP_HEIGHT / scale)
    colors = [plan.guild.yarn(key).color for key in plan.order.warp_yarns]
    ends = [colors[role] for role in plan.web.role.tolist()]
    as_wound, lie = [ends[place] for place in plan.wound_order.tolist()], places(plan)
    whole = [Mark(1, plan.web.ends, some(plan.web.ends, "end"))]
    marks = {
        "project": whole,
        "winding": _bouts(plan, width) if plan.loom.kind != "inkle" else whole,
        "dressing": _dents(plan, width),
        "threading": _groups(plan, width),
        "test_weave": _groups(plan, width),
        "weaving": _repeats(plan, width),
        "finishing": whole,
    }
    return {
        sheet: strip_svg(
            as_wound if sheet == "winding" else ends,
            width,
            height,
            shown,
            end_1=plan.guild.end_1,
            catalog=catalog,
            places=None if sheet == "winding" and plan.second is not None else lie,
        )
        for sheet, shown in marks.items()
    }


def _bouts(plan: WarpPlan, width: int) -> list[Mark]:
    first = 1 if plan.sections is None else plan.sections.first
    numbers = [
        Mark(bout.first_end, bout.last_end, f"{number}") for number, bout in enumerate(plan.bouts, first)
    ]
    told = [
        replace(mark, label=phrase("bout {number} · {ends}", number=bout.number, ends=bout.ends))
        for mark, bout in zip(numbers, plan.bouts, strict=True)
    ]
    # Bouts lie as they are wound, each end as wide as the next.
    even = width / plan.web.ends
    fit = all(label_fits(mark.label, (mark.last_end - mark.first_end + 1) * even - _GAPS_PX) for mark in told)
    return told if fit and plan.sections is None else numbers


def _dents(plan: WarpPlan, width: int) -> list[Mark]:
    """Stretches of 10, 20, 50 ... dents, each named by its dents."""
    if plan.sley is None:
        return [Mark(1, plan.web.ends, phrase("no reed fits"))]
    dents, first = ends_of_dents(plan, plan.sley), plan.sley.first_dent
    has_room, marks = _room(plan, width), list[Mark]()
    for step in (5, 10, 20, 50, 100, 200, 500, 1000, 5000, 20000):
        marks = []
        for at in range(0, len(dents), step):
            inside = [dent for dent in dents[at : at + step] if dent[1] >= dent[0]]
            if inside:
                last = min(at + step, len(dents)) - 1
                marks.append(Mark(inside[0][0], inside[-1][1], f"{first + at}–{first + last}"))
        if marks:
            dents_word = word(f"{reed_words(plan.loom)[1]}s")
            marks[0] = replace(marks[0], label=joined(" ", (dents_word, marks[0].label)))
        if len(dents) / step <= MOST_STRETCHES and all(map(has_room, marks[:-1] or marks)):
            break
    return marks


def _groups(plan: WarpPlan, width: int) -> list[Mark]:
    """Groups by their numbers; where no sheet has these, because the threading stays, by their ends."""
    made = groups(plan.web)
    parts = [(group.first, group.stop) for group in made]
    if "threading" in left_out(plan):

        def ends_of(first: int, last: int) -> str:
            return span(made[first - 1].first + 1, made[last - 1].stop)

        return _numbered(plan, width, parts, ends_of, lambda _count, told: phrase("ends {ends}", ends=told))
    return _numbered(plan, width, parts, span)


def _repeats(plan: WarpPlan, width: int) -> list[Mark]:
    parts = list(pairwise(plan.web.repeat_starts[: plan.web.repeats + 1]))
    return _numbered(
        plan,
        width,
        parts,
        span,
        lambda count, told: plural(count, "repeat {numbers}", "repeats {numbers}", numbers=told),
    )


def _room(plan: WarpPlan, width: int) -> Callable[[Mark], bool]:
    """Whether a mark's label has room under its bracket, on a strip so wide in pixels."""
    lie = places(plan)
    even = width / plan.web.ends

    def has_room(mark: Mark) -> bool:
        first, stop = mark.first_end - 1, mark.last_end
        wide = (stop - first) * even if lie is None else width * float(lie[stop - 1][1] - lie[first][0])
        return label_fits(mark.label, wide - _GAPS_PX)

    return has_room


def _numbered(
    plan: WarpPlan,
    width: int,
    parts: Sequence[tuple[int, int]],
    told: Callable[[int, int], str],
    named: Callable[[int, str], str] | None = None,
) -> list[Mark]:
    """Parts of the web, as (first end, stop) from 0, under their numbers; so many under one bracket that the
    numbers have room. Parts at the edges may be narrower.

    :param width: of the strip, in pixels
    :param told: how the parts from one number to another, from 1, are written
    :param named: so many parts with the word for them, which stands under the first bracket
    """
    has_room = _room(plan, width)
    for step in range(1, len(parts) + 1):
        some_parts = [(at, parts[at : at + step]) for at in range(0, len(parts), step)]
        marks = [Mark(each[0][0] + 1, each[-1][1], told(at + 1, at + len(each))) for at, each in some_parts]
        if named is not None:
            marks[0] = replace(marks[0], label=named(len(some_parts[0][1]), marks[0].label))
        inner = marks[:-1] if named else marks[1:-1]
        if all(map(has_room, inner or marks)):
            return marks
    return []


def recolored(plan: WarpPlan, part: Draft) -> Draft:
    """A part of the warp's draft in the colors of the yarns that take its color roles."""
    keys = (*plan.order.warp_yarns, *plan.order.weft_yarns)
    start = plan.web.floating // 2 + plan.web.selvedge
    warp = (
        np.resize(plan.web.role[start : plan.web.ends - start], part.ends)
        if plan.order.stripes
        else roles_of(plan.draft.warp_colors)
    )
    weft = (
        roles_in_stripes(plan.order.weft_stripes, part.picks)
        if plan.order.weft_stripes
        else roles_of(plan.draft.weft_colors)
    )
    if int(weft.max(initial=0)) >= len(plan.order.weft_yarns):
        return part  # every item brings a draft of its own: no yarns were named for this one's picks
    return replace(
        part,
        palette=tuple(plan.guild.yarn(key).color for key in keys),
        warp_colors=warp[: part.ends].astype(np.int16),
        weft_colors=(weft[: part.picks] + len(plan.order.warp_yarns)).astype(np.int16),
    )


def corner(draft: Draft, ends: int, picks: int) -> Draft:
    """The first ends and picks of a draft."""
    return cut_out(draft, slice(0, ends), slice(0, picks))


def cut_out(draft: Draft, e: slice | Ints, p: slice | Ints) -> Draft:
    """Some ends and picks of a draft: a slice, or their places."""
    return replace(
        draft,
        threading=draft.threading[e],
        lifts=draft.lifts[p],
        treadling=None if draft.treadling is None else draft.treadling[p],
        warp_colors=draft.warp_colors[e],
        weft_colors=draft.weft_colors[p],
        title=None,
        notes=None,
        warp_spacing_mm=None,
        weft_spacing_mm=None,
        warp_thickness_mm=None,
        weft_thickness_mm=None,
        extra=(),
    )


def cloth_picture(plan: WarpPlan) -> ClothImage:
    """The washed cloth at true size, in its yarns' colors, from end 1 on, as much as there is room for."""
    return cloth_of(plan, CLOTH_MM, 1600)


def cloth_of(plan: WarpPlan, room_mm: tuple[float, float], width_px: int) -> ClothImage:
    """The washed cloth from end 1 on, as much as a room (width, height) holds at true size."""
    draft = in_yarn_colors(plan)
    mm_per_end = plan.finished_width_mm / plan.web.ends
    mm_per_pick = 10 / plan.wefts[0].picks_per_cm * (1 - plan.order.shrink_length)
    ends = min(plan.web.ends, max(1, int(room_mm[0] / mm_per_end)))
    picks = max(1, min(plan.wefts[0].picks, int(room_mm[1] / mm_per_pick)))
    face = face_of(plan)
    if face is not None:
        on_top, above = face
        pitch_mm = plan.order.layers / plan.order.opens_to * mm_per_end
        return cloth_image(
            draft,
            mm_per_end=pitch_mm,
            mm_per_pick=plan.order.layers * mm_per_pick,
            width_px=width_px,
            picks=above[: max(1, int(room_mm[1] / mm_per_pick / plan.order.layers))].tolist(),
            ends=on_top[: max(1, int(room_mm[0] / pitch_mm))].tolist(),
            end_1=plan.guild.end_1,
        )
    uneven = columns(plan)
    if uneven is not None:
        part, ends = up_to(uneven, room_mm[0] / plan.finished_width_mm)
        return spaced_image(
            corner_of_web(draft, ends),
            part.share * plan.finished_width_mm,
            part.gap,
            mm_per_pick=mm_per_pick,
            width_px=width_px,
            picks=range(picks),
            end_1=plan.guild.end_1,
        )
    return cloth_image(
        draft,
        mm_per_end=mm_per_end,
        mm_per_pick=mm_per_pick,
        width_px=width_px,
        picks=np.arange(picks).tolist(),
        ends=np.arange(ends).tolist(),
        end_1=plan.guild.end_1,
    )


def face_of(plan: WarpPlan) -> tuple[Ints, Ints] | None:
    """The ends of the web and the picks, from 0, of the upper of two layers, which is what you see.

    None: one layer, or layers that change places.
    """
    found = layers_in(plan) if plan.order.layers == 2 and plan.wefts[0].draft is plan.draft else None
    if found is None:
        return None
    on_top = np.flatnonzero(np.isin(plan.web.shaft, found.upper))
    woven = np.resize(np.asarray(found.layer_of_pick), plan.wefts[0].picks)
    return on_top, np.flatnonzero(woven == 0)


def corner_of_web(draft: Draft, ends: int) -> Draft:
    """The first ends of a web as a draft, in its colors."""
    return replace(draft, threading=draft.threading[:ends], warp_colors=draft.warp_colors[:ends])


def in_svg(cloth: ClothImage) -> str:
    """A PNG as an SVG that holds it: typst is handed text only."""
    png = base64.b64encode(cloth.png).decode("ascii")
    size = f'width="{cloth.width_px}" height="{cloth.height_px}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {cloth.width_px} {cloth.height_px}" '
        f'preserveAspectRatio="none"><image {size} href="data:image/png;base64,{png}"/></svg>'
    )


def _long_enough(weft: Weft) -> Draft:
    """The draft with as many picks as the longest section that stripes color; else as it is."""
    if not weft.stripes:
        return weft.draft
    picks = min(MAX_PICKS, max(picks for _, picks, _ in weft.pieces))
    return laid(weft.draft, picks=pick_roles(weft, picks))


def in_yarn_colors(plan: WarpPlan) -> Draft:
    """The web as a draft, end for end, in the colors of its yarns; woven as its first weft says."""
    weft = plan.wefts[0]
    keys = tuple(dict.fromkeys((*plan.order.warp_yarns, *weft.yarns)))
    warp = np.asarray([keys.index(key) for key in plan.order.warp_yarns], dtype=np.int16)
    woven = np.asarray([keys.index(key) for key in weft.yarns], dtype=np.int16)
    draft = _long_enough(weft)
    return replace(
        corner(draft, 0, draft.picks),
        threading=plan.web.shaft.astype(np.int16),
        warp_colors=warp[plan.web.role],
        weft_colors=woven[pick_roles(weft, draft.picks)],
        palette=tuple(plan.guild.yarn(key).color for key in keys),
    )

"""How long the warp is, and how many picks are woven on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import lru_cache

import numpy as np

from loomready.draft.draft import Draft
from loomready.draft.structure.periods import number, number_rows, smallest_period
from loomready.model.guild import Loom, WarpOrder
from loomready.phrases import joined
from loomready.warp.pieces import Weave, in_weave, label_of, pieces_of, weaves_of, woven_m
from loomready.warp.result import Ints, Lengths, Weft
from loomready.warp.second import take_up_of
from loomready.warp.stripes import by_yarn, roles_in_stripes
from loomready.warp.width import roles_of


def unwoven_m(order: WarpOrder, loom: Loom) -> float:
    """Warp that cannot be woven: the loom's, or what the order says of a warp tied on to an old one."""
    return loom.waste_m if order.tied_waste_m is None else order.tied_waste_m


def lengths(order: WarpOrder, waste_m: float) -> Lengths:
    """The parts of the warp's length. Take-up is added to what is woven, headers included."""
    woven = sum(woven_m(item, order) * item.count for item in order.items)
    fringe = sum(2 * item.fringe_m * item.count for item in order.items)
    in_waste = _in_waste_m(order, waste_m)
    return Lengths(
        woven_m=woven,
        cloth_m=woven * (1 + order.take_up),
        fringe_m=fringe - in_waste,
        sample_m=order.sample_m * (1 + order.take_up),
        waste_m=waste_m,
        header_m=sum(item.header_m * item.count for item in order.items) * (1 + order.take_up),
        fringe_in_waste_m=in_waste,
    )


def second_lengths(order: WarpOrder, waste_m: float) -> Lengths:
    """The parts of the second warp's length: those of the first, in its own take-up."""
    return lengths(replace(order, take_up=take_up_of(order)), waste_m)


def _in_waste_m(order: WarpOrder, waste_m: float) -> float:
    """Fringe that lies in the loom waste: the last, and the first unless a sample or header comes before."""
    if not order.fringe_in_waste or not order.items:
        return 0.0
    return min(waste_m, order.items[-1].fringe_m + front_fringe_m(order))


def front_fringe_m(order: WarpOrder) -> float:
    """The fringe that lies in the loom waste before the first pick; 0.0 where a sample or header is first."""
    if not order.fringe_in_waste or not order.items or order.sample_m or order.items[0].header_m:
        return 0.0
    return order.items[0].fringe_m


def wefts(order: WarpOrder, drafts: Mapping[str, Draft]) -> tuple[Weft, ...]:
    """What is woven on the warp. Sections with the same draft, yarns and ppi are grouped; hems come last.

    Picks are rounded up for each section, and every section begins at pick 1 of its draft.
    """
    pieces = pieces_of(order)
    made = []
    for weave in weaves_of(pieces):
        alike = [(piece, *found) for piece in pieces for found in in_weave(piece, weave)]
        made.append(
            Weft(
                label=joined(
                    "; ", (label_of(piece, section.part, section.number) for piece, section, _ in alike)
                ),
                draft=drafts[weave.draft],
                yarns=weave.yarns,
                picks_per_cm=weave.picks_per_cm,
                woven_m=sum(section.woven_m * count for _, section, count in alike),
                pieces=tuple((piece.number, section.picks, count) for piece, section, count in alike),
                stripes=weave.stripes,
                strands=weave.strands,
            )
        )
    return tuple(made)


def picks_by_yarn(weft: Weft) -> dict[str, int]:
    """Picks of each yarn: each section weaves the draft as a continuous repeat from its pick 1."""
    found: dict[str, int] = {}
    for _, picks, count in weft.pieces:
        for key, once in _in_section(weft.draft, weft, picks).items():
            found[key] = found.get(key, 0) + count * once
    return found


def first_strands_by_yarn(order: WarpOrder, drafts: Mapping[str, Draft], picks: int) -> dict[str, int]:
    """Strands of weft of each yarn in the first ``picks`` of the warp, in the order in which it is woven."""
    found: dict[str, int] = {}
    for weave, woven in _first_sections(order, picks):
        for key, count in _in_section(drafts[weave.draft], weave, woven).items():
            found[key] = found.get(key, 0) + count * weave.strands
    return found


def _first_sections(order: WarpOrder, picks: int) -> Iterator[tuple[Weave, int]]:
    """The sections among the first picks of the warp, and how many picks of each."""
    sections = (
        section for piece in pieces_of(order) for _ in range(piece.count) for section in piece.sections
    )
    for section in sections:
        if picks <= 0:
            break
        woven = min(picks, section.picks)
        yield section.weave, woven
        picks -= woven


def pick_roles(weft: Weft, picks: int) -> Ints:
    """The place in the weft's yarns of each of the first ``picks`` of a section, int[picks]."""
    if weft.stripes:
        return roles_in_stripes(weft.stripes, picks)
    return np.asarray(np.resize(roles_of(weft.draft.weft_colors), picks))


def _in_section(draft: Draft, weave: Weft | Weave, picks: int) -> dict[str, int]:
    """Picks of each yarn in a number of picks counted from pick 1 of a draft."""
    if weave.stripes:
        return by_yarn(weave.stripes, picks)
    yarns = weave.yarns
    role = roles_of(draft.weft_colors)[: _repeat_of(draft)]
    size = len(yarns)
    whole, part = divmod(picks, role.size)
    once = whole * np.bincount(role, minlength=size) + np.bincount(role[:part], minlength=size)
    found: dict[str, int] = {}
    for key, count in zip(yarns, once.tolist(), strict=True):
        found[key] = found.get(key, 0) + count
    return found


@lru_cache(maxsize=256)
def _repeat_of(draft: Draft) -> int:
    """Picks after which lifts and colors repeat; a partial last repeat counts as one."""
    return smallest_period(number(number_rows(draft.lifts).ids, draft.weft_colors).ids)


def weft_m_by_yarn(made: tuple[Weft, ...], width_in_reed_mm: float, weft_take_up: float) -> dict[str, float]:
    """Meters of weft of each yarn: every pick runs the width in the reed and its take-up."""
    each_m = width_in_reed_mm / 1000 * (1 + weft_take_up)
    total: dict[str, float] = {}
    for weft in made:
        for key, count in picks_by_yarn(weft).items():
            total[key] = total.get(key, 0.0) + count * weft.strands * each_m
    return total

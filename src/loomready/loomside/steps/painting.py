"""Painting a warp: bands measured from the knots, what each dye takes, where they come up in weaving."""

from __future__ import annotations

from loomready.cloth.strip import Mark, strip_svg
from loomready.colors import RGB
from loomready.phrases import ENGLISH, Catalog, Phrase, joined, phrase, some
from loomready.units import Shown
from loomready.warp.length import front_fringe_m
from loomready.warp.painted import Stretch, first_pick_m, front_m, painted
from loomready.warp.pieces import Piece, picks_in
from loomready.warp.result import WarpPlan

_SLICES = 600  # parts of the warp that the picture colors one by one
_UNDYED: RGB = (236, 230, 216)
_NO_COLOR: RGB = (128, 128, 128)

# Common practice, no source.
LOOSE_TIES = phrase(
    "Tie them loosely, so that dye runs under them: a tight one leaves a white mark in its band. Tie them "
    "tight once the dyed warp is dry, before it is beamed."
)


def stretches(plan: WarpPlan) -> tuple[Stretch, ...]:
    return painted(plan.order, plan.loom)


def dye_of(each: Stretch) -> Phrase | str:
    return each.dye or phrase("dyed")


def where(plan: WarpPlan, each: Stretch) -> Phrase:
    """Which part of which finished piece a band is, and the fringes over which it goes on."""
    show = Shown(plan.guild.units)
    span = {"start": show.piece(each.start_m), "stop": show.piece(each.stop_m)}
    count = plan.order.items[each.piece - 1].count
    falls = (
        phrase(
            "piece {number}, {copy} of {count}: {start} to {stop}",
            number=each.piece,
            copy=each.copy,
            count=count,
            **span,
        )
        if count > 1
        else phrase("piece {number}: {start} to {stop}", number=each.piece, **span)
    )
    over = [
        *(
            [phrase("{length} of fringe before it", length=show.piece(each.before_m))]
            if each.before_m
            else []
        ),
        *([phrase("{length} of fringe after it", length=show.piece(each.after_m))] if each.after_m else []),
        *([phrase("in the loom waste")] if each.in_waste else []),
    ]
    return phrase("{falls}, with {fringes}", falls=falls, fringes=joined(", ", over)) if over else falls


def band_told(plan: WarpPlan, number: int, each: Stretch) -> Phrase:
    """A band in a line, with the number that it has in the picture."""
    show = Shown(plan.guild.units)
    return phrase(
        "Band {number}: {dye} from {from_knots} to {to_knots} ({where})",
        number=number,
        dye=dye_of(each),
        from_knots=show.piece(each.from_m),
        to_knots=show.piece(each.to_m),
        where=where(plan, each),
    )


def measured_from(plan: WarpPlan) -> Phrase:
    """Where bands are measured from, and what lies in front of the first piece."""
    show, order = Shown(plan.guild.units), plan.order
    first, longer = order.items[0], 1 + order.take_up
    front, in_waste = show.piece(front_m(order, plan.loom)), front_fringe_m(order)
    parts = [
        phrase("{front} of loom waste, {fringe} of fringe in it", front=front, fringe=show.piece(in_waste))
        if in_waste
        else phrase("{front} of loom waste", front=front),
        *(
            [phrase("{length} of sample", length=show.piece(order.sample_m * longer))]
            if order.sample_m
            else []
        ),
        *(
            [phrase("{length} of header", length=show.piece(first.header_m * longer))]
            if first.header_m
            else []
        ),
        *(
            [phrase("{length} of fringe", length=show.piece(first.fringe_m))]
            if first.fringe_m and not in_waste
            else []
        ),
    ]
    return phrase(
        "Measure the bands along the stretched warp from the knots at the front: the first pick of piece 1 "
        "is {first_pick} from them ({parts}).",
        first_pick=show.piece(first_pick_m(order, plan.loom)),
        parts=joined(", ", parts),
    )


def dyes_told(plan: WarpPlan) -> list[Phrase]:
    """What each dye takes: how many bands, and how much of the whole warp."""
    show, found = Shown(plan.guild.units), stretches(plan)
    lines = []
    for dye in dict.fromkeys(dye_of(each) for each in found):
        bands = [each.to_m - each.from_m for each in found if dye_of(each) == dye]
        weight = sum(need.warp_m / need.yarn.grist_m_per_g for need in plan.yarns)
        lines.append(
            phrase(
                "{dye}: {bands}, {length} of the warp in all, {weight} of yarn",
                dye=dye,
                bands=some(len(bands), "band"),
                length=show.length(sum(bands)),
                weight=show.weight(weight * sum(bands) / plan.warp_length_m),
            )
        )
    return lines


def lines(plan: WarpPlan) -> list[Phrase]:
    """All of it, a line each; none for a warp that is not painted."""
    found = stretches(plan)
    if not found:
        return []
    return [
        measured_from(plan),
        *dyes_told(plan),
        *(band_told(plan, number, each) for number, each in enumerate(found, 1)),
    ]


def at_picks(plan: WarpPlan, piece: Piece) -> Phrase | str:
    """Where the bands of a piece change while it is woven; "" for one that is not painted."""
    if not piece.number:
        return ""
    told, at = [], 0.0
    for band in plan.order.items[piece.number - 1].painted:
        at += band.length_m / (1 - plan.order.shrink_length)
        dye = band.dye or (phrase("dyed") if band.color else phrase("undyed"))
        told.append(phrase("{dye} to about pick {pick:,}", dye=dye, pick=_pick_at(piece, at)))
    return phrase("Bands: {bands}", bands=joined(", ", told)) if told else ""


def _pick_at(piece: Piece, woven_m: float) -> int:
    """The picks of a piece up to a length woven of it: its hems may have picks of their own."""
    picks = 0
    for section in piece.sections:
        here = min(max(0.0, woven_m), section.woven_m)
        picks += min(section.picks, picks_in(here, section.weave.picks_per_cm))
        woven_m -= section.woven_m
    return picks


def picture(plan: WarpPlan, width: int, height: int, catalog: Catalog = ENGLISH) -> str:
    """The warp along its length, the knots at the left, as SVG; "" for a warp that is not painted."""
    found = stretches(plan)
    if not found:
        return ""
    step = plan.warp_length_m / _SLICES
    colors = [_UNDYED] * _SLICES
    marks = []
    for number, each in enumerate(found, 1):
        first, last = round(each.from_m / step), max(round(each.from_m / step), round(each.to_m / step) - 1)
        last = min(last, _SLICES - 1)
        colors[first : last + 1] = [each.color or _NO_COLOR] * (last + 1 - first)
        marks.append(Mark(first + 1, last + 1, f"{number}"))
    return strip_svg(
        colors,
        width,
        height,
        marks,
        end_1="left",
        title=phrase("The warp along its length, the knots at the left"),
        words=phrase("{bands}, the knots at the left", bands=some(len(found), "band")),
        catalog=catalog,
    )

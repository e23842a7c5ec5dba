"""Cutting lines and the pieces as they come off, in words."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.loomside.steps import second_told
from loomready.model.guild import Item
from loomready.phrases import Phrase, joined, phrase, plural
from loomready.units import Shown
from loomready.warp.cutting import Cut, cuts_of
from loomready.warp.result import WarpPlan

MOST = 24  # pieces that are listed one by one


@dataclass(frozen=True, slots=True)
class CutRow:
    """A piece as it comes off: where it is cut, and what becomes of it."""

    name: Phrase
    between: str
    says: Phrase


def cut_rows(plan: WarpPlan) -> tuple[CutRow, ...]:
    """A row for each piece; of very many alike one row for all of them."""
    cuts = cuts_of(plan)
    each = len(cuts) <= MOST
    return tuple(_row(plan, cut, each=each) for cut in cuts if each or cut.copy == 1)


def cutting_told(plan: WarpPlan) -> list[Phrase]:
    """What is done with the pieces off the loom, where more than cutting: opened, twisted, sewn."""
    show, made = Shown(plan.guild.units), []
    if plan.order.double_cloth == "double width":
        made.append(
            phrase(
                "Off the loom, unfold each piece: it is {width} wide. Do not cut the fold.",
                width=show.width(plan.finished_width_mm),
            )
        )
    if plan.order.double_cloth == "tube":
        made.append(phrase("Off the loom, each piece is a tube, open at both ends."))
    for number, item in enumerate(plan.order.items, start=1):
        made += _of_item(plan, number, item, show)
    made += second_told.cutting_told(plan)
    if plan.lengths.fringe_in_waste_m:
        made.append(
            phrase(
                "{length} of fringe comes from the loom waste: do not trim it off the ends of the cloth.",
                length=show.piece(plan.lengths.fringe_in_waste_m),
            )
        )
    return made


def _of_item(plan: WarpPlan, number: int, item: Item, show: Shown) -> list[Phrase]:
    made = []
    if item.twisted_fringe_m:
        made.append(
            phrase(
                "Piece {number}: leave {unwoven} of fringe at each end; twisted, it is {twisted} long "
                "({share} shorter).",
                number=number,
                unwoven=show.piece(item.fringe_m),
                twisted=show.piece(item.twisted_fringe_m),
                share=show.share(item.twist),
            )
        )
    if item.sewn > 1:
        made.append(
            plural(
                item.count // item.sewn,
                "Piece {number}: sew {sewn} side by side into one, {width} × {length} before the seams.",
                "Piece {number}: sew {sewn} side by side into one, {count} times: {width} × {length} before "
                "the seams.",
                number=number,
                sewn=item.sewn,
                width=show.width(item.sewn * plan.finished_width_mm),
                length=show.piece(item.finished_length_m),
            )
        )
    return made


def _row(plan: WarpPlan, cut: Cut, *, each: bool) -> CutRow:
    show, piece = Shown(plan.guild.units), cut.piece
    name = phrase("Sample") if piece.number == 0 else phrase("Piece {number}", number=piece.number)
    if piece.count > 1:
        name = (
            phrase("{piece}, {copy} of {count}", piece=name, copy=cut.copy, count=piece.count)
            if each
            else phrase("{piece}, {count} times", piece=name, count=piece.count)
        )
    between = f"{show.length(cut.from_m)} – {show.length(cut.to_m)}"
    if not each and piece.count > 1:
        between = phrase("{length} each", length=show.piece(cut.to_m - cut.from_m))
    parts = []
    if piece.header_m:
        parts.append(phrase("header {length}, cut away", length=show.piece(piece.header_m)))
    if piece.fringe_m:
        parts.append(phrase("fringe {length} at each end", length=show.piece(piece.fringe_m)))
    parts.append(phrase("{length} woven", length=show.piece(piece.woven_m)))
    if piece.number:
        item = plan.order.items[piece.number - 1]
        parts.append(
            phrase(
                "{width} × {length} finished",
                width=show.width(plan.finished_width_mm),
                length=show.piece(item.finished_length_m),
            )
        )
    return CutRow(name, between, joined("; ", parts))

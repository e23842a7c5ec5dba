"""What is woven on a warp, piece by piece: header, hems, body, fringes, and the picks of each.

A hem without a weave of its own is part of its piece and goes on in the piece's draft. A hem with a draft,
weft or picks of its own is its own section: it begins at pick 1 of its draft, and so does the body
after it. Picks are rounded up for each section.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from loomready.model.guild import Item, Sample, WarpOrder, WeftStripe
from loomready.phrases import Phrase, phrase
from loomready.warp.rounding import whole_up

Part = Literal["sample", "hem", "body"]


@dataclass(frozen=True, slots=True)
class Weave:
    """What makes two sections woven alike: the draft's key, its weft yarns, picks per cm.

    ``stripes``: the picks by yarn from pick 1 on; without them the draft's weft colors say. ``strands``: of
    weft together in each pick.
    """

    draft: str
    yarns: tuple[str, ...]
    picks_per_cm: float
    stripes: tuple[WeftStripe, ...] = ()
    strands: int = 1


@dataclass(frozen=True, slots=True)
class Section:
    """A run of picks from pick 1 of its draft: the sample, a hem with its own weave, or a body.

    ``number``: of a sample in parts, which of them, from 1; else 0.
    """

    part: Part
    weave: Weave
    woven_m: float
    picks: int
    number: int = 0


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of cloth as it is woven, ``count`` times; ``number`` in the order from 1, 0: the sample.

    header_m  woven in waste yarn before it and cut away, as measured on the loom
    fringe_m  left unwoven at each of its ends
    hem_m, hem_picks   woven at each end for a hem, part of the sections
    """

    number: int
    count: int
    sections: tuple[Section, ...]
    header_m: float = 0.0
    fringe_m: float = 0.0
    hem_m: float = 0.0
    hem_picks: int = 0

    @property
    def picks(self) -> int:
        return sum(section.picks for section in self.sections)

    @property
    def woven_m(self) -> float:
        return sum(section.woven_m for section in self.sections)


def picks_in(length_m: float, picks_per_cm: float) -> int:
    """Picks of a woven length: rounded up, each section separately."""
    return whole_up(length_m * 100 * picks_per_cm)


def woven_m(item: Item, order: WarpOrder) -> float:
    """Length of one item on the loom, hems included: dividing by (1 - shrinkage) adds what will shrink."""
    return (item.finished_length_m + 2 * item.hem_m) / (1 - order.shrink_length)


def pieces_of(order: WarpOrder) -> tuple[Piece, ...]:
    """Every piece in the order in which it is woven, the sample first."""
    made = [_piece(number, item, order) for number, item in enumerate(order.items, start=1)]
    if order.samples:
        parts = [
            _section("sample", body_weave(each, order), each.length_m, number)
            for number, each in enumerate(order.samples, start=1)
        ]
        made.insert(0, Piece(0, 1, tuple(parts)))
    elif order.sample_m:
        made.insert(0, Piece(0, 1, (_section("sample", order_weave(order), order.sample_m),)))
    return tuple(made)


def _piece(number: int, item: Item, order: WarpOrder) -> Piece:
    weave = body_weave(item, order)
    hem_m = item.hem_m / (1 - order.shrink_length)
    sections: tuple[Section, ...]
    if hem_m and item.has_own_hems:
        hem = _section("hem", hem_weave(item, order), hem_m)
        body_m = item.finished_length_m / (1 - order.shrink_length)
        sections, hem_picks = (hem, _section("body", weave, body_m), hem), hem.picks
    else:
        body = _section("body", weave, woven_m(item, order))
        sections, hem_picks = (body,), min(body.picks, picks_in(hem_m, weave.picks_per_cm))
    return Piece(number, item.count, sections, item.header_m, item.fringe_m, hem_m, hem_picks)


def _section(part: Part, weave: Weave, length_m: float, number: int = 0) -> Section:
    return Section(part, weave, length_m, picks_in(length_m, weave.picks_per_cm), number)


def order_weave(order: WarpOrder) -> Weave:
    """What the order says for its sample and for pieces that say nothing else."""
    return Weave(order.draft, order.weft_yarns, order.picks_per_cm, order.weft_stripes, order.weft_strands)


def body_weave(own: Item | Sample, order: WarpOrder) -> Weave:
    """The weave of a piece's body or of a part of the sample, or the order's where it gives none."""
    stripes = own.weft_stripes if isinstance(own, Item) else ()
    return Weave(
        own.draft or order.draft,
        own.weft_yarns or order.weft_yarns,
        own.picks_per_cm or order.picks_per_cm,
        stripes if own.weft_yarns else order.weft_stripes,
        own.weft_strands or order.weft_strands,
    )


def hem_weave(item: Item, order: WarpOrder) -> Weave:
    """The weave of the item's hems, or the item's own where it gives none."""
    body = body_weave(item, order)
    return Weave(
        item.hem_draft or body.draft,
        item.hem_weft_yarns or body.yarns,
        item.hem_picks_per_cm or body.picks_per_cm,
        () if item.hem_weft_yarns else body.stripes,
        item.hem_weft_strands or body.strands,
    )


def weaves_of(pieces: Iterable[Piece]) -> tuple[Weave, ...]:
    """Each weave once: those of the sample and of bodies first, then those used only in a sample of several
    parts, then those used for hems only."""
    sections = [section for piece in pieces for section in piece.sections]
    ordered = sorted(sections, key=lambda section: (section.part == "hem", section.number > 0))
    return tuple(dict.fromkeys(section.weave for section in ordered))


def in_weave(piece: Piece, weave: Weave) -> Iterator[tuple[Section, int]]:
    """The different sections of a piece in that weave, each with how often it is woven on the warp."""
    for section in dict.fromkeys(piece.sections):
        if section.weave == weave:
            yield section, piece.sections.count(section) * piece.count


def label_of(piece: Piece, part: Part, number: int = 0) -> Phrase:
    """The name of a section of a piece; ``number``: which part of a sample, 0 of a sample that is one."""
    if part == "sample":
        return phrase("sample {number}", number=number) if number else phrase("sample")
    if part == "hem":
        return phrase("hems of piece {piece}", piece=piece.number)
    if piece.count > 1:
        return phrase("piece {piece}, {count} times", piece=piece.number, count=piece.count)
    return phrase("piece {piece}", piece=piece.number)

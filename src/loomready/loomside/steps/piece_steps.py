"""The steps of each piece in order: header, fringe, hems, body, cut line. Used by pages and sheets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from loomready.loomside.steps import stripes_told
from loomready.loomside.steps.doubled_told import strands_told
from loomready.loomside.steps.lifting import lifting
from loomready.loomside.steps.threading import loom_shaft
from loomready.phrases import Phrase, joined, listed, phrase, some
from loomready.units import Shown
from loomready.warp.pieces import Part, Piece, Section
from loomready.warp.result import WarpPlan

NAMES = {
    "sample": phrase("Cloth"),
    "hem": phrase("Hem"),
    "body": phrase("Body"),
    "header": phrase("Header"),
    "fringe": phrase("Fringe"),
    "cut": phrase("Cut line"),
}


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do, in order.

    length  as shown, measured on the loom with the tension off; "" for a cut line
    picks   to weave; 0 where none are counted
    times   those picks as repeats of the draft: "12 repeats of 40 picks, then 17 picks"
    note    what else there is to say
    number  which part of a sample in several, from 1; else 0
    """

    part: Part | Literal["header", "fringe", "cut"]
    length: str = ""
    picks: int = 0
    times: str = ""
    note: str = ""
    number: int = 0

    @property
    def name(self) -> Phrase:
        return phrase("Sample {number}", number=self.number) if self.number else NAMES[self.part]

    @property
    def line(self) -> Phrase:
        """The whole step: "Hem 1.63 in, 27 picks: 6 repeats of 4 picks, then 3 picks"."""
        told = joined(" ", filter(None, (self.name, self.length)))
        if self.picks:
            told = phrase(
                "{part}, {picks}: {repeats}", part=told, picks=some(self.picks, "pick"), repeats=self.times
            )
        return phrase("{part}, {note}", part=told, note=self.note) if self.note else told


@dataclass(frozen=True, slots=True)
class Told:
    """A piece in words, woven ``count`` times: its steps, and its finished length."""

    name: str
    count: int
    finished: str
    steps: tuple[Step, ...]

    @property
    def title(self) -> Phrase:
        times = phrase(", {count:,} times", count=self.count) if self.count > 1 else ""
        finished = phrase(" ({length} finished)", length=self.finished) if self.finished else ""
        return joined("", (self.name, times, finished))


def pieces_told(plan: WarpPlan) -> tuple[Told, ...]:
    """Every different piece in the order in which they are woven, the sample first."""
    show, items = Shown(plan.guild.units), plan.order.items
    return tuple(
        Told(
            name=phrase("Sample") if piece.number == 0 else phrase("Piece {number}", number=piece.number),
            count=piece.count,
            finished="" if piece.number == 0 else show.piece(items[piece.number - 1].finished_length_m),
            steps=(*opening(plan, piece), *_sections(plan, piece), *closing(plan, piece)),
        )
        for piece in plan.pieces
    )


def opening(plan: WarpPlan, piece: Piece) -> Iterator[Step]:
    """Before the first pick of a piece."""
    show = Shown(plan.guild.units)
    if piece.header_m:
        yield Step("header", show.piece(piece.header_m), note=phrase("in waste yarn, cut away later"))
    yield from _fringe(show, piece)


def closing(plan: WarpPlan, piece: Piece) -> Iterator[Step]:
    """After the last pick of a piece."""
    yield from _fringe(Shown(plan.guild.units), piece)
    yield Step("cut")


def _fringe(show: Shown, piece: Piece) -> Iterator[Step]:
    if piece.fringe_m:
        yield Step("fringe", show.piece(piece.fringe_m), note=phrase("left unwoven"))


def _sections(plan: WarpPlan, piece: Piece) -> Iterator[Step]:
    show = Shown(plan.guild.units)
    for section in piece.sections:
        notes = []
        if section.part == "body" and piece.hem_m and len(piece.sections) == 1:
            notes.append(
                phrase(
                    "of that a hem of {length} ({picks}) at each end",
                    length=show.piece(piece.hem_m),
                    picks=some(piece.hem_picks, "pick"),
                )
            )
        yield Step(
            section.part,
            show.piece(section.woven_m),
            section.picks,
            repeats_in(section.picks, repeat_of(plan, section)),
            listed((*_woven_in(plan, section), *notes)),
            section.number,
        )


def _woven_in(plan: WarpPlan, section: Section) -> Iterator[Phrase]:
    """Which draft and which weft, where the warp has several."""
    names = plan.guild.names_of_yarns
    if section.weave.stripes:
        yield stripes_told.weft_told(section.weave.stripes, section.picks, names)
    elif len({weft.yarns for weft in plan.wefts}) > 1:
        yield phrase("weft {yarns}", yarns=listed(names[key] for key in dict.fromkeys(section.weave.yarns)))
    if section.weave.strands > 1 or len({weft.strands for weft in plan.wefts}) > 1:
        yield strands_told(section.weave.strands) if section.weave.strands > 1 else phrase("weft single")
    if len(plan.order.drafts) > 1:
        yield phrase("in {draft}", draft=plan.weft_of(section).draft.title or section.weave.draft)


def repeat_of(plan: WarpPlan, section: Section) -> int:
    """Picks after which the section's treadling and colors begin again; treadling alone with weft stripes."""
    weft = plan.weft_of(section)
    woven = lifting(weft.draft, plan.loom, loom_shaft(plan), plan.treadles, in_stripes=bool(weft.stripes))
    return woven.repeat


def repeats_in(picks: int, repeat: int) -> Phrase:
    """Picks as repeats of a draft, from its pick 1.

    >>> repeats_in(497, 40), repeats_in(40, 40), repeats_in(7, 40)
    ('12 repeats of 40 picks, then 17 picks', '1 repeat of 40 picks', 'the first 7 picks of 40')
    """
    whole, over = divmod(picks, repeat)
    if not whole:
        return phrase("the first {picks} of {repeat:,}", picks=some(picks, "pick"), repeat=repeat)
    more = phrase(", then {picks}", picks=some(over, "pick")) if over else ""
    return phrase(
        "{repeats} of {picks}{more}", repeats=some(whole, "repeat"), picks=some(repeat, "pick"), more=more
    )

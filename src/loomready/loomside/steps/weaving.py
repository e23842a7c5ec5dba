"""Weaving: every pick from the first of the first piece to the last, as the loom of this warp makes it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loomready.loomside.steps.cutting_told import cutting_told
from loomready.loomside.steps.direct import feet
from loomready.loomside.steps.lifting import lifting
from loomready.loomside.steps.painting import at_picks
from loomready.loomside.steps.piece_steps import closing, opening, repeats_in
from loomready.loomside.steps.threading import loom_shaft
from loomready.phrases import Phrase, phrase
from loomready.warp.length import pick_roles
from loomready.warp.pieces import Part
from loomready.warp.pieces import Piece as Woven
from loomready.warp.result import WarpPlan, Weft
from loomready.warp.rigid import through


@dataclass(frozen=True, slots=True)
class Pick:
    """``up``: loom shafts (from 1) that are up; ``treadles``: pressed, None: levers; ``yarn``: its key, ""
    where stripes say.

    ``heddles``: how the heddles of a rigid heddle loom stand, "" on another loom. ``feet``: which foot takes
    which treadles of a direct tie-up, "" on another.
    """

    up: tuple[int, ...]
    treadles: tuple[int, ...] | None
    yarn: str
    heddles: str = ""
    feet: str = ""


@dataclass(frozen=True, slots=True)
class Stretch:
    """The picks of one section of a piece, ``first`` to ``last`` from 1, from pick 1 of its draft.

    ``part``: "sample", "body", or "hem" where hems have a weave of their own. ``repeat`` is woven as a
    continuous repeat; ``times`` says how often: "12 repeats of 40 picks, then 17 picks". ``colors``: (yarn,
    picks) of its weft stripes, likewise from its first pick; empty where the picks of the repeat say.
    ``strands``: of weft together in each pick.
    """

    first: int
    last: int
    label: str
    mm_per_pick: float
    repeat: tuple[Pick, ...]
    part: Part
    times: str
    colors: tuple[tuple[str, int], ...] = ()
    strands: int = 1

    @property
    def yarns(self) -> tuple[str, ...]:
        """The yarn of each pick, until they begin again."""
        striped = tuple(key for key, count in self.colors for _ in range(count))
        return striped or tuple(pick.yarn for pick in self.repeat)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of cloth or the sample. ``border``: picks of its closing hem, 0 without one.

    ``fringe_m``: warp left unwoven at both its ends together. ``header_m``: woven in waste yarn before it.
    ``before``: what to do before its first pick, from the last pick of the piece before; short lines.
    """

    first: int
    last: int
    label: str
    border: int
    fringe_m: float
    header_m: float
    before: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Weaving:
    """All picks of a warp. ``after``: what to do after the last of them, short lines."""

    picks: int
    shafts: tuple[int, ...]
    stretches: tuple[Stretch, ...]
    pieces: tuple[Piece, ...]
    after: tuple[str, ...]


def weaving(plan: WarpPlan) -> Weaving:
    """Every piece in the order in which it is woven, the sample first; each begins at pick 1 of its draft."""
    stretches: list[Stretch] = []
    pieces: list[Piece] = []
    repeats = {id(weft): _repeat(plan, weft) for weft in plan.wefts}
    at = 0
    before: tuple[str, ...] = ()  # what ends the piece before
    for piece in plan.pieces:
        starts = tuple(step.line for step in opening(plan, piece))
        ends = tuple(step.line for step in closing(plan, piece))
        woven = [(section, repeats[id(plan.weft_of(section))]) for section in piece.sections]
        for copy in range(1, piece.count + 1):
            label = _label(piece, copy)
            first = at + 1
            for section, repeat in woven:
                last = at + section.picks
                mm = 10 / section.weave.picks_per_cm
                times = repeats_in(section.picks, len(repeat))
                colors = tuple((each.yarn, each.picks) for each in section.weave.stripes)
                strands = section.weave.strands
                stretches.append(
                    Stretch(at + 1, last, label, mm, repeat, section.part, times, colors, strands)
                )
                at = last
            bands = at_picks(plan, piece)
            todo = (*before, *starts, *((bands,) if bands else ()))
            fringe_m = 2 * piece.fringe_m
            pieces.append(Piece(first, at, label, piece.hem_picks, fringe_m, piece.header_m, todo))
            before = ends
    used = sorted({shaft for shaft in loom_shaft(plan) if shaft is not None})
    after = (*before, *cutting_told(plan))
    return Weaving(at, tuple(used), tuple(stretches), tuple(pieces), after)


def _label(piece: Woven, copy: int) -> Phrase:
    if piece.number == 0:
        return phrase("sample")
    if piece.count > 1:
        return phrase("piece {number}, {copy} of {count}", number=piece.number, copy=copy, count=piece.count)
    return phrase("piece {number}", number=piece.number)


def _repeat(plan: WarpPlan, weft: Weft) -> tuple[Pick, ...]:
    woven = lifting(weft.draft, plan.loom, loom_shaft(plan), plan.treadles, in_stripes=bool(weft.stripes))
    roles = pick_roles(weft, woven.repeat).tolist()
    pressed = woven.treadles or (None,) * woven.repeat
    way, made = through(plan), []
    for row, treadles, role in zip(woven.up, pressed, roles, strict=True):
        up = tuple((np.flatnonzero(row) + 1).tolist())
        yarn = "" if weft.stripes else weft.yarns[role]
        made.append(Pick(up, treadles, yarn, way.moves(frozenset(up)) if way else "", feet(plan, treadles)))
    return tuple(made)


def signs(plan: WarpPlan) -> list[str]:
    """For each pick its shed and its yarn."""
    found: list[str] = []
    for stretch in weaving(plan).stretches:
        repeat = [",".join(map(str, pick.up)) for pick in stretch.repeat]
        picks = range(stretch.last - stretch.first + 1)
        yarns = stretch.yarns
        strands = f" × {stretch.strands}" if stretch.strands > 1 else ""
        found += [f"{repeat[pick % len(repeat)]} {yarns[pick % len(yarns)]}{strands}" for pick in picks]
    return found

"""Weaving: every pick from the first of the first piece to the last, as the loom of this warp makes it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loomready.loomside.lifting import lifting
from loomready.loomside.threading import loom_shaft
from loomready.model.guild import Item
from loomready.warp.length import picks_in
from loomready.warp.result import WarpPlan, Weft
from loomready.warp.rigid import through
from loomready.warp.width import roles_of


@dataclass(frozen=True, slots=True)
class Pick:
    """``up``: loom shafts (from 1) that are up; ``treadles``: pressed, None: levers; ``yarn``: its key.

    ``heddles``: how the heddles of a rigid heddle loom stand, "" on another loom.
    """

    up: tuple[int, ...]
    treadles: tuple[int, ...] | None
    yarn: str
    heddles: str = ""


@dataclass(frozen=True, slots=True)
class Stretch:
    """The picks of one piece, ``first`` to ``last`` from 1; ``repeat`` is woven as a continuous repeat."""

    first: int
    last: int
    label: str
    mm_per_pick: float
    repeat: tuple[Pick, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of cloth or the sample. ``border``: picks of its closing hem, 0 without one.

    ``fringe_m``: warp left unwoven at both its ends together.
    """

    first: int
    last: int
    label: str
    border: int
    fringe_m: float


@dataclass(frozen=True, slots=True)
class Weaving:
    picks: int
    shafts: tuple[int, ...]
    stretches: tuple[Stretch, ...]
    pieces: tuple[Piece, ...]


def weaving(plan: WarpPlan) -> Weaving:
    """Every piece in the order in which it is woven, the sample first; each begins at pick 1 of its draft."""
    stretches: list[Stretch] = []
    pieces: list[Piece] = []
    at = 0
    woven = {number: (weft, picks) for weft in plan.wefts for number, picks, _ in weft.pieces}
    repeats = {id(weft): _repeat(plan, weft) for weft in plan.wefts}
    for number, copy, item in _in_order(plan):
        weft, picks = woven[number]
        last = at + picks
        hem_m = 0.0 if item is None else item.hem_m / (1 - plan.order.shrink_length)
        label = "sample" if item is None else _label(number, copy, item)
        border = min(picks, picks_in(hem_m, weft.picks_per_cm))
        fringe_m = 0.0 if item is None else 2 * item.fringe_m
        stretches.append(Stretch(at + 1, last, label, 10 / weft.picks_per_cm, repeats[id(weft)]))
        pieces.append(Piece(at + 1, last, label, border, fringe_m))
        at = last
    used = sorted({shaft for shaft in loom_shaft(plan) if shaft is not None})
    return Weaving(at, tuple(used), tuple(stretches), tuple(pieces))


def _in_order(plan: WarpPlan) -> Iterator[tuple[int, int, Item | None]]:
    """(number, copy, item) of each piece; number 0 and no item: the sample."""
    if plan.order.sample_m:
        yield 0, 1, None
    for number, item in enumerate(plan.order.items, start=1):
        for copy in range(1, item.count + 1):
            yield number, copy, item


def _label(number: int, copy: int, item: Item) -> str:
    return f"item {number}" if item.count == 1 else f"item {number}, {copy} of {item.count}"


def _repeat(plan: WarpPlan, weft: Weft) -> tuple[Pick, ...]:
    woven = lifting(weft.draft, plan.loom, loom_shaft(plan), plan.treadles)
    roles = roles_of(weft.draft.weft_colors)[: woven.repeat].tolist()
    pressed = woven.treadles or (None,) * woven.repeat
    way, made = through(plan), []
    for row, treadles, role in zip(woven.up, pressed, roles, strict=True):
        up = tuple((np.flatnonzero(row) + 1).tolist())
        made.append(Pick(up, treadles, weft.yarns[role], way.moves(frozenset(up)) if way else ""))
    return tuple(made)


def signs(plan: WarpPlan) -> list[str]:
    """For each pick its shed and its yarn."""
    found: list[str] = []
    for stretch in weaving(plan).stretches:
        repeat = [f"{','.join(map(str, pick.up))} {pick.yarn}" for pick in stretch.repeat]
        size = stretch.last - stretch.first + 1
        found += (repeat * (size // len(repeat) + 1))[:size]
    return found

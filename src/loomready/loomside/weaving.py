"""Weaving: every pick from the first of the first piece to the last, as the loom of this warp makes it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loomready.loomside.lifting import lifting
from loomready.loomside.threading import loom_shaft
from loomready.warp.length import woven_m
from loomready.warp.result import WarpPlan, Weft
from loomready.warp.rounding import whole_up
from loomready.warp.width import roles_of


@dataclass(frozen=True, slots=True)
class Pick:
    """``up``: loom shafts (from 1) that are up; ``treadles``: pressed, None: levers; ``yarn``: its key."""

    up: tuple[int, ...]
    treadles: tuple[int, ...] | None
    yarn: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """Picks woven on without a break, ``first`` to ``last`` from 1; ``repeat`` is woven round and round."""

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
    stretches, at = [], 0
    for weft in plan.wefts:
        stretches.append(_stretch(plan, weft, at + 1))
        at += weft.picks
    used = sorted({shaft for shaft in loom_shaft(plan) if shaft is not None})
    return Weaving(at, tuple(used), tuple(stretches), tuple(_pieces(plan)))


def _stretch(plan: WarpPlan, weft: Weft, first: int) -> Stretch:
    woven = lifting(weft.draft, plan.loom, loom_shaft(plan))
    roles = roles_of(weft.draft.weft_colors)[: woven.repeat].tolist()
    pressed = woven.treadles or (None,) * woven.repeat
    picks = tuple(
        Pick(tuple((np.flatnonzero(up) + 1).tolist()), treadles, weft.yarns[role])
        for up, treadles, role in zip(woven.up, pressed, roles, strict=True)
    )
    return Stretch(first, first + weft.picks - 1, weft.label, 10 / weft.picks_per_cm, picks)


def _pieces(plan: WarpPlan) -> list[Piece]:
    """Sample first, then the items; alike ones are woven together, as the stretches are."""
    order = plan.order
    wanted: dict[tuple[object, ...], list[tuple[str, float, float, float, float]]] = {}
    if order.sample_m:
        kind = (order.draft, order.weft_yarns, order.picks_per_cm)
        wanted[kind] = [("sample", order.sample_m, order.picks_per_cm, 0.0, 0.0)]
    for number, item in enumerate(order.items, start=1):
        per_cm = item.picks_per_cm or order.picks_per_cm
        kind = (item.draft or order.draft, item.weft_yarns or order.weft_yarns, per_cm)
        hem_m = item.hem_m / (1 - order.shrink_length)
        for copy in range(1, item.count + 1):
            label = f"item {number}" if item.count == 1 else f"item {number}, {copy} of {item.count}"
            made = (label, woven_m(item, order), per_cm, hem_m, 2 * item.fringe_m)
            wanted.setdefault(kind, []).append(made)
    pieces, exact, done = [], 0.0, 0
    for label, length_m, per_cm, hem_m, fringe_m in (each for group in wanted.values() for each in group):
        exact += per_cm * 100 * length_m
        last = max(done, min(plan.picks, whole_up(exact)))
        if last > done:
            border = min(last - done, round(hem_m * 100 * per_cm))
            pieces.append(Piece(done + 1, last, label, border, fringe_m))
        done = last
    return pieces


def signs(plan: WarpPlan) -> list[str]:
    """For each pick its shed and its yarn."""
    found: list[str] = []
    for stretch in weaving(plan).stretches:
        repeat = [f"{','.join(map(str, pick.up))} {pick.yarn}" for pick in stretch.repeat]
        size = stretch.last - stretch.first + 1
        found += (repeat * (size // len(repeat) + 1))[:size]
    return found

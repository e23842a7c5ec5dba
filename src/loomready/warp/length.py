"""How long the warp is, and how many picks go into it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from loomready.draft.draft import Draft
from loomready.model.guild import Item, WarpOrder
from loomready.warp.result import Lengths, Weft
from loomready.warp.rounding import whole_up
from loomready.warp.width import roles_of


def woven_m(item: Item, order: WarpOrder) -> float:
    """Length of one item on the loom: what shrinks away is added by division, hems too."""
    return (item.finished_length_m + 2 * item.hem_m) / (1 - order.shrink_length)


def lengths(order: WarpOrder, waste_m: float) -> Lengths:
    """The parts of the warp's length. Take-up is added to what is woven; fringes and waste are not woven."""
    woven = sum(woven_m(item, order) * item.count for item in order.items)
    return Lengths(
        woven_m=woven,
        cloth_m=woven * (1 + order.take_up),
        fringe_m=sum(2 * item.fringe_m * item.count for item in order.items),
        sample_m=order.sample_m * (1 + order.take_up),
        waste_m=waste_m,
    )


def wefts(order: WarpOrder, drafts: Mapping[str, Draft]) -> tuple[Weft, ...]:
    """The stretches of weaving. Items alike in draft, yarns and picks are woven on without a break.

    Picks are rounded up in total: each stretch ends where the running total, rounded up, says.
    """
    stretches: dict[tuple[str, tuple[str, ...], float], tuple[list[str], float]] = {}

    def add(label: str, draft: str, yarns: tuple[str, ...], picks_per_cm: float, length_m: float) -> None:
        labels, sofar = stretches.get((draft, yarns, picks_per_cm), ([], 0.0))
        stretches[draft, yarns, picks_per_cm] = ([*labels, label], sofar + length_m)

    if order.sample_m:
        add("sample", order.draft, order.weft_yarns, order.picks_per_cm, order.sample_m)
    for number, item in enumerate(order.items, start=1):
        label = f"item {number}" if item.count == 1 else f"item {number}, {item.count} times"
        yarns = item.weft_yarns or order.weft_yarns
        per_cm = item.picks_per_cm or order.picks_per_cm
        add(label, item.draft or order.draft, yarns, per_cm, woven_m(item, order) * item.count)

    made, exact, done = [], 0.0, 0
    for (draft, yarns, per_cm), (labels, length_m) in stretches.items():
        exact += per_cm * 100 * length_m
        picks = whole_up(exact) - done
        done += picks
        made.append(Weft("; ".join(labels), drafts[draft], yarns, per_cm, length_m, picks))
    return tuple(made)


def picks_by_yarn(weft: Weft) -> dict[str, int]:
    """Picks of each yarn when the draft's picks are woven round and round from pick 1."""
    role = roles_of(weft.draft.weft_colors)
    whole, part = divmod(weft.picks, weft.draft.picks)
    size = len(weft.yarns)
    each = whole * np.bincount(role, minlength=size) + np.bincount(role[:part], minlength=size)
    found: dict[str, int] = {}
    for key, count in zip(weft.yarns, each.tolist(), strict=True):
        found[key] = found.get(key, 0) + count
    return found


def weft_m_by_yarn(made: tuple[Weft, ...], width_in_reed_mm: float, weft_take_up: float) -> dict[str, float]:
    """Meters of weft of each yarn: every pick runs the width in the reed and its take-up."""
    each_m = width_in_reed_mm / 1000 * (1 + weft_take_up)
    total: dict[str, float] = {}
    for weft in made:
        for key, count in picks_by_yarn(weft).items():
            total[key] = total.get(key, 0.0) + count * each_m
    return total

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


def picks_in(length_m: float, picks_per_cm: float) -> int:
    """Picks of one piece of a woven length: rounded up, each piece by itself."""
    return whole_up(length_m * 100 * picks_per_cm)


def wefts(order: WarpOrder, drafts: Mapping[str, Draft]) -> tuple[Weft, ...]:
    """What is woven on the warp, the sample first. Pieces alike in draft, yarns and ppi are grouped.

    Picks are rounded up for each piece, and every piece begins at pick 1 of its draft.
    """
    grouped: dict[tuple[str, tuple[str, ...], float], list[tuple[int, str, float, int]]] = {}
    if order.sample_m:
        kind = (order.draft, order.weft_yarns, order.picks_per_cm)
        grouped[kind] = [(0, "sample", order.sample_m, 1)]
    for number, item in enumerate(order.items, start=1):
        label = f"item {number}" if item.count == 1 else f"item {number}, {item.count} times"
        kind = (
            item.draft or order.draft,
            item.weft_yarns or order.weft_yarns,
            item.picks_per_cm or order.picks_per_cm,
        )
        grouped.setdefault(kind, []).append((number, label, woven_m(item, order), item.count))
    return tuple(
        Weft(
            label="; ".join(label for _, label, _, _ in alike),
            draft=drafts[draft],
            yarns=yarns,
            picks_per_cm=per_cm,
            woven_m=sum(length_m * count for _, _, length_m, count in alike),
            pieces=tuple((n, picks_in(length_m, per_cm), count) for n, _, length_m, count in alike),
        )
        for (draft, yarns, per_cm), alike in grouped.items()
    )


def picks_by_yarn(weft: Weft) -> dict[str, int]:
    """Picks of each yarn: each piece weaves the draft as a continuous repeat from its pick 1."""
    role = roles_of(weft.draft.weft_colors)
    size = len(weft.yarns)
    each = np.zeros(size, dtype=np.int64)
    for _, picks, count in weft.pieces:
        whole, part = divmod(picks, weft.draft.picks)
        once = whole * np.bincount(role, minlength=size) + np.bincount(role[:part], minlength=size)
        each += count * once
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

"""An order with other yarns in the places of its own: in its lists of yarns and in its stripes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

from loomready.model.guild import Item, Stripe, WarpOrder, WeftStripe

Striped = TypeVar("Striped", Stripe, WeftStripe)
Swap = Mapping[str, str]  # the key of a yarn to the key of the one in its place


def with_warp(order: WarpOrder, swap: Swap) -> WarpOrder:
    """The order with other warp yarns."""
    return replace(
        order,
        warp_yarns=_keys(order.warp_yarns, swap),
        stripes=in_yarns(order.stripes, swap),
        second_yarns=None if order.second_yarns is None else _keys(order.second_yarns, swap),
    )


def with_weft(order: WarpOrder, swap: Swap) -> WarpOrder:
    """The order with other weft yarns, those of pieces and hems too."""
    return replace(
        order,
        weft_yarns=_keys(order.weft_yarns, swap),
        weft_stripes=in_yarns(order.weft_stripes, swap),
        items=tuple(_item(item, swap) for item in order.items),
        samples=tuple(
            replace(each, weft_yarns=None if each.weft_yarns is None else _keys(each.weft_yarns, swap))
            for each in order.samples
        ),
    )


def _item(item: Item, swap: Swap) -> Item:
    return replace(
        item,
        weft_yarns=None if item.weft_yarns is None else _keys(item.weft_yarns, swap),
        weft_stripes=in_yarns(item.weft_stripes, swap),
        hem_weft_yarns=None if item.hem_weft_yarns is None else _keys(item.hem_weft_yarns, swap),
    )


def _keys(keys: tuple[str, ...], swap: Swap) -> tuple[str, ...]:
    return tuple(swap.get(key, key) for key in keys)


def in_yarns(stripes: tuple[Striped, ...], swap: Swap) -> tuple[Striped, ...]:
    """Stripes in other yarns; those that then are of one yarn and side by side stay two."""
    return tuple(replace(each, yarn=swap.get(each.yarn, each.yarn)) for each in stripes)

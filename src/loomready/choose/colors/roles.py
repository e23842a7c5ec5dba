"""The color roles of a warp: which of its yarns are chosen together, and the order in other yarns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from loomready.draft.draft import Draft
from loomready.model.guild import Guild, Item, WarpOrder
from loomready.units import PER_CM, near, read
from loomready.warp.other_yarns import in_yarns
from loomready.warp.pieces import body_weave, hem_weave
from loomready.warp.plan import Drafts, plan_once
from loomready.warp.shelf import Shelf

RGB = tuple[int, int, int]
Named = tuple[str, RGB | None]  # a yarn, and the color of its threads in the draft
SAME_SETT = (
    0.02  # a calculated sett may differ by this share and the picks stay: nobody beats more precisely (ours)
)


@dataclass(frozen=True, slots=True)
class Place:
    """One yarn of an order: place ``number`` (from 0) of its warp yarns, weft yarns, an item's, hems' or
    sample's; ``item``: which item or sample, from 0."""

    part: str  # "warp", "weft", "item", "hem" or "sample"
    number: int
    item: int = -1


@dataclass(frozen=True, slots=True)
class Role:
    """Places that one yarn fills together. ``planned``: the yarn that fills them as the order stands."""

    planned: str
    places: tuple[Place, ...]

    @property
    def in_warp(self) -> bool:
        return any(place.part == "warp" for place in self.places)


def roles_of_order(order: WarpOrder, drafts: Drafts) -> tuple[Role, ...]:
    """The roles in the order in which the warp names their yarns.

    Places that hold the same yarn are one role, unless the draft gives them different colors: then each is a
    choice of its own. Of stripes each yarn is one place. A weft yarn that is never used has no role.
    """
    main = drafts[order.draft]
    groups: dict[Named, list[Place]] = {}
    warp = _seen(main, main.warp_colors, order.warp_yarns, order.stripes)
    weft = _seen(main, main.weft_colors, order.weft_yarns, order.weft_stripes)
    for name, number in warp:
        _joined(groups, name).append(Place("warp", number))
    for name, number in weft if weft_is_woven(order) else ():
        _joined(groups, name).append(Place("weft", number))
    for which, item in enumerate(order.items):
        for part, own, stripes, woven_in in (
            ("item", item.weft_yarns, item.weft_stripes, body_weave(item, order).draft),
            ("hem", item.hem_weft_yarns if item.hem_m else None, (), hem_weave(item, order).draft),
        ):
            draft = drafts[woven_in]
            for name, number in _seen(draft, draft.weft_colors, own or (), stripes):
                _joined(groups, name, alike=True).append(Place(part, number, which))
    for which, sample in enumerate(order.samples):
        draft = drafts[body_weave(sample, order).draft]
        for name, number in _seen(draft, draft.weft_colors, sample.weft_yarns or (), ()):
            _joined(groups, name, alike=True).append(Place("sample", number, which))
    return tuple(Role(key, tuple(places)) for (key, _), places in groups.items())


def _joined(groups: dict[Named, list[Place]], name: Named, *, alike: bool = False) -> list[Place]:
    """The places of a role. What has no color of the draft, or is ``alike``, joins a role of its yarn."""
    same = [other for other in groups if other[0] == name[0]]
    if name not in groups and same and (alike or name[1] is None or same[0][1] is None):
        name = same[0]
    return groups.setdefault(name, [])


def _seen(
    draft: Draft, colors: np.ndarray, yarns: Sequence[str], stripes: Sequence[object]
) -> list[tuple[Named, int]]:
    """Yarns with their colors in the draft, and their places; of stripes without a color."""
    if stripes:
        return [((key, None), number) for number, key in enumerate(yarns)]
    seen = [draft.palette[number] for number in dict.fromkeys(colors.tolist())]
    return [((key, color), number) for number, (key, color) in enumerate(zip(yarns, seen, strict=False))]


def weft_is_woven(order: WarpOrder) -> bool:
    """Whether the order's own weft yarns are woven with: for a sample, or an item without its own."""
    of_sample = (
        any(each.weft_yarns is None for each in order.samples) if order.samples else order.sample_m > 0
    )
    return of_sample or any(item.weft_yarns is None for item in order.items)


def recolored(order: WarpOrder, roles: Sequence[Role], yarns: Sequence[str]) -> WarpOrder:
    """The order with ``yarns[i]`` in the places of ``roles[i]``."""
    warp, weft = list(order.warp_yarns), list(order.weft_yarns)
    own = [list(item.weft_yarns or ()) for item in order.items]
    hems = [list(item.hem_weft_yarns or ()) for item in order.items]
    tried = [list(sample.weft_yarns or ()) for sample in order.samples]
    for place, key in _filled(roles, yarns):
        match place.part:
            case "warp":
                warp[place.number] = key
            case "weft":
                weft[place.number] = key
            case "item":
                own[place.item][place.number] = key
            case "sample":
                tried[place.item][place.number] = key
            case _:
                hems[place.item][place.number] = key
    items = tuple(_with_weft(*each) for each in zip(order.items, own, hems, strict=True))
    return replace(
        order,
        warp_yarns=tuple(warp),
        weft_yarns=tuple(weft),
        stripes=in_yarns(order.stripes, dict(zip(order.warp_yarns, warp, strict=True))),
        weft_stripes=in_yarns(order.weft_stripes, dict(zip(order.weft_yarns, weft, strict=True))),
        items=items,
        samples=tuple(
            replace(sample, weft_yarns=None if sample.weft_yarns is None else tuple(keys))
            for sample, keys in zip(order.samples, tried, strict=True)
        ),
    )


def woven_in(
    order: WarpOrder, roles: Sequence[Role], yarns: Sequence[str], guild: Guild, drafts: Drafts, shelf: Shelf
) -> WarpOrder:
    """The order recolored; where the sett is calculated from the yarn, the picks follow it.

    They keep their ratio to the sett, in whole picks per inch or per 10 cm, if it changes by more than 2 %.

    :raises BadInput: the order does not fit its draft
    """
    made = recolored(order, roles, yarns)
    if order.sett_per_cm is not None:
        return made
    before, after = (plan_once(each, guild, drafts, shelf)[0].asked_sett_per_cm for each in (order, made))
    if abs(after / before - 1) <= SAME_SETT:
        return made

    def follow(picks_per_cm: float) -> float:
        unit = "/in" if guild.units == "us" else "/10cm"
        picks = read(near(picks_per_cm * after / before, PER_CM, unit, 0).replace(",", ""), PER_CM)
        return picks or picks_per_cm

    def followed(picks_per_cm: float | None) -> float | None:
        return None if picks_per_cm is None else follow(picks_per_cm)

    items = tuple(
        replace(
            item,
            picks_per_cm=followed(item.picks_per_cm),
            hem_picks_per_cm=followed(item.hem_picks_per_cm),
        )
        for item in made.items
    )
    samples = tuple(replace(each, picks_per_cm=followed(each.picks_per_cm)) for each in made.samples)
    return replace(made, picks_per_cm=follow(order.picks_per_cm), items=items, samples=samples)


def _filled(roles: Sequence[Role], yarns: Sequence[str]) -> Iterator[tuple[Place, str]]:
    for role, key in zip(roles, yarns, strict=True):
        for place in role.places:
            yield place, key


def _with_weft(item: Item, keys: list[str], hem_keys: list[str]) -> Item:
    return replace(
        item,
        weft_yarns=None if item.weft_yarns is None else tuple(keys),
        weft_stripes=in_yarns(item.weft_stripes, dict(zip(item.weft_yarns or (), keys, strict=True))),
        hem_weft_yarns=None if item.hem_weft_yarns is None else tuple(hem_keys),
    )

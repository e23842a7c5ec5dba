"""What a wound warp took of a yarn, where the cones that gave its ends are known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date

from loomready.model.guild import WarpOrder, Yarn
from loomready.warp.result import ConeUse
from loomready.warp.rounding import whole_down
from loomready.warp.shelf import Given, Shelf, Want
from loomready.yarn.taken import comes_off, same_day_unclear


def ends_taken(
    order: WarpOrder, shelf: Shelf, yarn: Yarn, wants: tuple[Want, ...], length_m: float, wound: date
) -> Given:
    """The ends of a yarn come off the cones that the order names, where the weighing does not know of it yet.

    Nothing is ever short: ends that no cone on the shelf gave came from a cone that is gone.

    :param wants: of this yarn; roles take the named ends in order
    :param length_m: of one end
    :param wound: when the warp was wound
    """
    known = Counter[str]()
    for each in order.wound_from:
        known[each.cone] += each.ends
    cones = shelf.cones_of(yarn.key)
    left = {cone.key: known[cone.key] for cone in cones if known[cone.key]}
    roles = {want.role: tuple(_from(left, want.ends)) for want in wants if want.ends}
    uses, unseen = [], 0
    for cone in cones:
        ends = known[cone.key]
        takes_m = ends * length_m if comes_off(wound, cone.weighed) else 0.0
        expected, sure = shelf.expected_m((cone,), yarn), shelf.sure_m((cone,), yarn)
        after = max(0.0, expected - takes_m), max(0.0, sure - takes_m)
        uses.append(ConeUse(cone.key, ends, takes_m, 0.0, expected, sure, *after))
        if takes_m:
            unseen += max(0, ends - whole_down(shelf.usable_m((cone,), yarn, order.reserve) / length_m))
    return Given(
        cones_of_role=roles,
        missing_ends=0,
        missing_weft_m=0.0,
        mixed=False,
        mixing_helps=False,
        weigh_again=unseen,
        unclear=tuple(c.key for c in cones if known[c.key] and same_day_unclear(wound, c.weighed)),
        lots=tuple(dict.fromkeys(cone.lot for cone in cones if known[cone.key])),
        uses=tuple(uses),
    )


def weft_taken(order: WarpOrder, shelf: Shelf, yarn: Yarn, off: date) -> Given:
    """The weft of a yarn comes off the cones that a finished warp names, where no weighing knows of it yet.

    :param off: when the cloth was cut off
    """
    gave = Counter[str]()
    for each in order.woven_from:
        gave[each.cone] += each.length_m  # type: ignore[assignment]
    cones, uses = shelf.cones_of(yarn.key), []
    for cone in cones:
        takes_m = float(gave[cone.key]) if comes_off(off, cone.weighed) else 0.0
        expected, sure = shelf.expected_m((cone,), yarn), shelf.sure_m((cone,), yarn)
        after = max(0.0, expected - takes_m), max(0.0, sure - takes_m)
        uses.append(ConeUse(cone.key, 0, 0.0, takes_m, expected, sure, *after))
    return Given(
        cones_of_role={},
        missing_ends=0,
        missing_weft_m=0.0,
        mixed=False,
        mixing_helps=False,
        weigh_again=0,
        unclear=tuple(c.key for c in cones if gave[c.key] and same_day_unclear(off, c.weighed)),
        lots=tuple(dict.fromkeys(cone.lot for cone in cones if gave[cone.key])),
        uses=tuple(uses),
    )


def _from(left: dict[str, int], ends: int) -> Iterator[tuple[str, int]]:
    for cone in list(left):
        part = min(left[cone], ends)
        if part:
            left[cone], ends = left[cone] - part, ends - part
            yield cone, part

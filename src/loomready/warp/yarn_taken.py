"""What a wound warp took of a yarn, from the cones that gave it where these are recorded."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date

from loomready.model.guild import WarpOrder, Yarn
from loomready.warp.result import ConeUse
from loomready.warp.rounding import whole_down
from loomready.warp.shelf import WEFT, Given, Shelf, Want, took
from loomready.yarn.taken import comes_off, moment_of, same_day_unclear

ROUNDED_M = 0.01  # the length in a row is written to the centimeter


def taken_of(
    shelf: Shelf,
    yarn: Yarn,
    wants: tuple[Want, ...],
    order: WarpOrder,
    length_m: float,
    woven_m: float,
    wound: date,
) -> Given:
    """The ends of a wound warp, its weft known to be woven, and all of its weft once the cloth is off.

    They come off the cones that the order names, or else off those that the plan would have chosen. Weft
    comes off those named as it was woven, each part at its moment.

    :param wants: of this yarn
    :param length_m: of one end
    :param woven_m: weft of the yarn that is known to be woven
    :param wound: when the warp was wound
    """
    weft_m = sum(want.weft_m for want in wants)
    rest_m = max(0.0, weft_m - woven_m) if order.off and not order.cut_early else 0.0
    moments = sorted({each.at for each in order.woven_from if each.at is not None}, key=moment_of)
    named_rest = bool(order.off and any(each.at is None for each in order.woven_from))
    # One taking for as much as possible: weft comes first from a cone that is open for the ends.
    at_once = not woven_m and not moments and not named_rest
    made = [ends_taken(order, shelf, yarn, wants, length_m, wound)] if order.wound_from else []

    def take(ends: bool, meters: float, off: date | None) -> None:
        made.append(
            took(
                _less(shelf, made),
                yarn,
                tuple(
                    replace(want, ends=want.ends if ends else 0, weft_m=meters if want.role == WEFT else 0.0)
                    for want in wants
                ),
                length_m,
                reserve=order.reserve,
                mix_lots=order.mix_lots,
                wound=wound,
                off=off,
            )
        )

    if at_once:
        take(not order.wound_from, rest_m, order.off)
    else:
        unnamed_m = _unnamed_m(order, shelf, yarn, woven_m)
        take(not order.wound_from, unnamed_m, order.woven_at if unnamed_m else None)
        for moment in moments:
            made.append(weft_taken(order, _less(shelf, made), yarn, moment, moment))
        if named_rest and order.off:
            made.append(weft_taken(order, _less(shelf, made), yarn, None, order.off))
        elif order.off:
            take(False, rest_m, order.off)
    whole, *later = made
    for each in later:
        whole = replace(each.after(whole), unclear=tuple(dict.fromkeys((*whole.unclear, *each.unclear))))
    return whole


def _unnamed_m(order: WarpOrder, shelf: Shelf, yarn: Yarn, woven_m: float) -> float:
    """Weft counted as woven that no row names a cone for."""
    rows = [each for each in order.woven_from if each.at is not None or order.cut_early]
    there = {cone.key: cone.yarn for cone in shelf.guild.cones}
    if any(each.cone not in there for each in rows):
        return 0.0  # a cone that is gone may have given it
    named_m = sum(each.length_m for each in rows if there[each.cone] == yarn.key)
    rest_m = woven_m - named_m
    return rest_m if rest_m > ROUNDED_M * (1 + len(rows)) else 0.0


def ends_taken(
    order: WarpOrder, shelf: Shelf, yarn: Yarn, wants: tuple[Want, ...], length_m: float, wound: date
) -> Given:
    """The ends of a yarn come off the cones that the order names, unless these were weighed later.

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
    unseen = sum(
        max(0, known[cone.key] - whole_down(shelf.usable_m((cone,), yarn, order.reserve) / length_m))
        for cone in cones
        if known[cone.key] and comes_off(wound, cone.weighed)
    )
    return replace(_named(shelf, yarn, known, length_m, {}, wound), cones_of_role=roles, weigh_again=unseen)


def weft_taken(order: WarpOrder, shelf: Shelf, yarn: Yarn, at: date | None, when: date) -> Given:
    """The weft of a yarn comes off the cones that a warp names, unless these were weighed later.

    :param at: of the parts that were woven until this moment; None: until the cloth was cut off
    :param when: that moment
    """
    gave_m: dict[str, float] = defaultdict(float)
    for each in order.woven_from:
        if each.at == at:
            gave_m[each.cone] += each.length_m
    return _named(shelf, yarn, {}, 0.0, gave_m, when)


def _named(
    shelf: Shelf,
    yarn: Yarn,
    ends: Mapping[str, int],
    length_m: float,
    weft_m: Mapping[str, float],
    when: date,
) -> Given:
    """What the named cones gave, less what their later weighings already include."""
    cones, uses = shelf.cones_of(yarn.key), []
    gave = [cone for cone in cones if ends.get(cone.key) or weft_m.get(cone.key)]
    for cone in cones:
        open_yet = comes_off(when, cone.weighed)
        warp = ends.get(cone.key, 0) * length_m if open_yet else 0.0
        weft = weft_m.get(cone.key, 0.0) if open_yet else 0.0
        expected, sure = shelf.expected_m((cone,), yarn), shelf.sure_m((cone,), yarn)
        after = max(0.0, expected - warp - weft), max(0.0, sure - warp - weft)
        uses.append(ConeUse(cone.key, ends.get(cone.key, 0), warp, weft, expected, sure, *after))
    return Given(
        cones_of_role={},
        missing_ends=0,
        missing_weft_m=0.0,
        mixed=False,
        mixing_helps=False,
        weigh_again=0,
        unclear=tuple(cone.key for cone in gave if same_day_unclear(when, cone.weighed)),
        lots=tuple(dict.fromkeys(cone.lot for cone in gave)),
        uses=tuple(uses),
    )


def _less(shelf: Shelf, steps: list[Given]) -> Shelf:
    for each in steps:
        shelf = shelf.take(each.uses)
    return shelf


def _from(left: dict[str, int], ends: int) -> Iterator[tuple[str, int]]:
    for cone in list(left):
        part = min(left[cone], ends)
        if part:
            left[cone], ends = left[cone] - part, ends - part
            yield cone, part

"""What a wound warp took of a yarn, from the cones that gave it where these are recorded."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from loomready.model.guild import Guild, WarpOrder, WovenFrom, Yarn
from loomready.warp.result import ConeUse
from loomready.warp.rounding import whole_down
from loomready.warp.shelf import WEFT, Given, Shelf, Want, took
from loomready.yarn.dates_taken import comes_off, moment_of, same_day_unclear

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
    parts = weft_parts(order, yarn, shelf.guild, sum(want.weft_m for want in wants), woven_m)
    # One taking for as much as possible: weft comes first from a cone that is open for the ends.
    at_once = not parts.counted_m and not parts.named
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
        take(not order.wound_from, parts.rest_m, order.off)
    else:
        take(not order.wound_from, parts.counted_m, order.woven_at if parts.counted_m else None)
        for moment in sorted({when for _row, when in parts.named}, key=moment_of):
            rows = [row for row, when in parts.named if when == moment]
            made.append(weft_taken(rows, _less(shelf, made), yarn, moment))
        if parts.rest_m:
            take(False, parts.rest_m, order.off)
    whole, *later = made
    for each in later:
        whole = replace(each.after(whole), unclear=tuple(dict.fromkeys((*whole.unclear, *each.unclear))))
    return whole


@dataclass(frozen=True, slots=True)
class WeftParts:
    """The weft of a yarn that a warp took.

    named      rows of cones that are on the shelf, each with its moment
    counted_m  counted as woven by ``woven_at``, and no row names a cone for it
    rest_m     woven from then until the cloth was cut off, likewise
    """

    named: tuple[tuple[WovenFrom, date], ...]
    counted_m: float
    rest_m: float


def weft_parts(order: WarpOrder, yarn: Yarn, guild: Guild, weft_m: float, woven_m: float) -> WeftParts:
    """What is recorded of the weft of a yarn, and what is left to the plan.

    A row of a cone that is gone may stand for any yarn: then nothing is left to the plan for its time.

    :param weft_m: of the yarn in the whole cloth
    :param woven_m: of it, what is counted as woven by ``woven_at``
    """
    yarn_of = {cone.key: cone.yarn for cone in guild.cones}
    until_off = [row for row in order.woven_from if row.at is None]
    by_count = [row for row in order.woven_from if row.at is not None or order.cut_early]
    rows = [(row, row.at or order.off) for row in order.woven_from if yarn_of.get(row.cone) == yarn.key]
    named_m = sum(row.length_m for row in by_count if yarn_of.get(row.cone) == yarn.key)
    counted_m = woven_m - named_m
    if any(row.cone not in yarn_of for row in by_count) or counted_m <= ROUNDED_M * (1 + len(by_count)):
        counted_m = 0.0
    plans_rest = order.off is not None and not order.cut_early and not until_off
    return WeftParts(
        named=tuple((row, when) for row, when in rows if when is not None),
        counted_m=counted_m,
        rest_m=max(0.0, weft_m - woven_m) if plans_rest else 0.0,
    )


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


def weft_taken(rows: Sequence[WovenFrom], shelf: Shelf, yarn: Yarn, when: date) -> Given:
    """The weft of a yarn comes off the cones in these rows, unless these were weighed later.

    :param when: the moment of the rows
    """
    gave_m: dict[str, float] = defaultdict(float)
    for row in rows:
        gave_m[row.cone] += row.length_m
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

"""The shelf as a screen shows it: each yarn with its cones, what is sure, what each warp speaks for."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from loomready import guildfile
from loomready.app.models import Change, Record
from loomready.app.pictures import bar
from loomready.app.room import Entry, Room
from loomready.model.guild import Cone, WarpOrder, Yarn
from loomready.problems import BadInput
from loomready.units import WEIGHT_G, read
from loomready.warp.result import YarnNeed
from loomready.yarn.cones import heavier, pooled, weighed

UNDATED = "no date"  # the day of a weighing of which nobody wrote the day


@dataclass(frozen=True, slots=True)
class Claim:
    warp: str
    length: str
    short: bool


@dataclass(frozen=True, slots=True)
class ConeRow:
    cone: Cone
    entry: Entry
    gross: str
    net: str
    expected: str
    sure: str
    day: date | None


@dataclass(frozen=True, slots=True)
class YarnRow:
    yarn: Yarn
    entry: Entry
    size: str
    cones: tuple[ConeRow, ...]
    expected: str
    sure: str
    claimed: str
    claims: tuple[Claim, ...]
    bar: str
    short: bool


@dataclass(frozen=True, slots=True)
class Weighing:
    day: str
    gross: str
    tare: str
    who: str


def rows(room: Room) -> list[YarnRow]:
    claims: dict[str, list[tuple[str, float, bool]]] = {}
    for planned in room.planned:
        if planned.plan is None:
            continue
        for need in planned.plan.yarns:
            claims.setdefault(need.yarn.key, []).append(
                (planned.order.key, _still_takes(planned.order, need), not need.enough)
            )
    return [_row(room, yarn, claims.get(yarn.key, [])) for yarn in room.guild.yarns]


def names(row: YarnRow) -> tuple[str, ...]:
    """By what a yarn is looked for: its own names and those on its cones."""
    return (row.yarn.name, row.yarn.key, row.yarn.fiber or "", *(line.cone.key for line in row.cones))


def _still_takes(order: WarpOrder, need: YarnNeed) -> float:
    """Meters to come off what was weighed: of a wound or finished warp, what no weighing knows of yet."""
    if order.wound is None and order.off is None:
        return need.warp_m + need.weft_m
    return sum(use.warp_m + use.weft_m for use in need.uses)


def _row(room: Room, yarn: Yarn, claims: list[tuple[str, float, bool]]) -> YarnRow:
    show = room.show
    cones = [cone for cone in room.guild.cones if cone.yarn == yarn.key]
    length = pooled(cones, yarn)
    claimed = sum(meters for _, meters, _ in claims)
    return YarnRow(
        yarn=yarn,
        entry=room.entries["yarns", yarn.key],
        size=yarn.count or show.grist(yarn.grist_m_per_g),
        cones=tuple(_cone(room, cone, yarn) for cone in cones),
        expected=show.yarn(length.expected_m),
        sure=show.yarn_there(length.sure_m),
        claimed=show.yarn_needed(claimed),
        claims=tuple(Claim(warp, show.yarn_needed(meters), short) for warp, meters, short in claims),
        bar=bar(yarn.color, claimed, length.expected_m, length.sure_m),
        short=any(short for _, _, short in claims),
    )


def _cone(room: Room, cone: Cone, yarn: Yarn) -> ConeRow:
    show, length = room.show, weighed(cone, yarn)
    entry = room.entries["cones", cone.key]
    return ConeRow(
        cone=cone,
        entry=entry,
        gross=entry.fields["gross"],
        net=show.weight(cone.net_g),
        expected=show.yarn(length.expected_m),
        sure=show.yarn_there(length.sure_m),
        day=cone.weighed,
    )


def kept(key: str) -> list[Weighing]:
    """Every weighing of a cone that was kept, those a backup brought among them, the last first.

    Whether it counts is told in ``mistakes``.
    """
    made: list[Weighing] = []
    for change in Change.objects.filter(kind="cones", key=key, after__isnull=False, undone=False):
        after: dict[str, Any] = change.after
        if change.undoes_id is None:
            made.append(Weighing(after.get("weighed", UNDATED), after["gross"], after["tare"], change.who))
    for record in Record.objects.filter(kind="weighings", key=key):
        known = {(each.day, each.gross, each.tare) for each in made}
        brought = [Weighing(**each) for each in record.fields["made"] if _is_sound(each)]
        made += [each for each in brought if (each.day, each.gross, each.tare) not in known]
        made.sort(key=lambda each: each.day if each.day[:1].isdigit() else "", reverse=True)
    return made


def _is_sound(weighing: dict[str, str]) -> bool:
    """Whether its weights can be read: an earlier version took in some that cannot."""
    try:
        return all(read(weighing[name], WEIGHT_G) >= 0 for name in ("gross", "tare"))
    except BadInput:
        return False


def weighed_before(room: Room, fields: dict[str, Any]) -> ConeRow | None:
    """The cone as it was, if it is heavier now than scale and tare explain; else None."""
    before = next((cone for cone in room.guild.cones if cone.key == fields["key"]), None)
    if before is None or not heavier(guildfile.from_json("cones", json.dumps(fields)), before):
        return None
    return _cone(room, before, room.guild.yarn(before.yarn))


def new_cone_key(room: Room, yarn: str) -> str:
    """The yarn's key with the next free number; a number that ever stood on a label is not used again."""
    taken = {cone.key for cone in room.guild.cones}
    taken |= set(Change.objects.filter(kind="cones").values_list("key", flat=True))
    number = 1
    while f"{yarn}-{number}" in taken:
        number += 1
    return f"{yarn}-{number}"

"""The shelf page: each yarn with what its cones hold now, and what each warp needs or took."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from loomready import guildfile
from loomready.app.media.pictures import bar
from loomready.app.models import Change, Record
from loomready.app.state.snapshot import Entry, Snapshot
from loomready.model.guild import Cone, Yarn
from loomready.problems import BadInput
from loomready.units import WEIGHT_G, read
from loomready.warp.result import YarnNeed
from loomready.yarn.cones import heavier
from loomready.yarn.label import label

UNDATED = "no date"  # the day of a weighing without a date


@dataclass(frozen=True, slots=True)
class Claim:
    """What a warp still needs of a yarn. ``took``: all that it took, "" for nothing."""

    warp: str
    length: str
    took: str
    short: bool


@dataclass(frozen=True, slots=True)
class ConeRow:
    """A cone as it was weighed, what was ``taken`` since ("": nothing), and what is on it now."""

    cone: Cone
    name: str
    entry: Entry
    gross: str
    net: str
    expected: str
    sure: str
    taken: str
    day: date | None


@dataclass(frozen=True, slots=True)
class YarnRow:
    yarn: Yarn
    entry: Entry
    size: str
    cones: tuple[ConeRow, ...]
    expected: str
    sure: str
    sure_m: float
    claimed: str
    claims: tuple[Claim, ...]
    bar: str
    short: bool

    @property
    def only(self) -> ConeRow | None:
        """The cone, where there is just one."""
        return self.cones[0] if len(self.cones) == 1 else None


@dataclass(frozen=True, slots=True)
class Weighing:
    day: str
    gross: str
    tare: str
    who: str


def rows(snapshot: Snapshot) -> list[YarnRow]:
    needs: dict[str, list[YarnNeed]] = {}
    warps: dict[str, list[str]] = {}
    for planned in snapshot.planned:
        for need in planned.plan.yarns if planned.plan else ():
            needs.setdefault(need.yarn.key, []).append(need)
            warps.setdefault(need.yarn.key, []).append(planned.order.key)
    return [
        _row(snapshot, yarn, list(zip(warps.get(yarn.key, ()), needs.get(yarn.key, ()), strict=True)))
        for yarn in snapshot.guild.yarns
    ]


def names(row: YarnRow) -> tuple[str, ...]:
    """The words that a yarn is found by: its own names, its fiber and count, its cones and their lots."""
    return (
        row.yarn.name,
        row.yarn.key,
        row.yarn.fiber or "",
        row.size,
        *(word for line in row.cones for word in (line.name, line.cone.key, line.cone.lot or "")),
    )


def _row(snapshot: Snapshot, yarn: Yarn, needs: list[tuple[str, YarnNeed]]) -> YarnRow:
    show, now = snapshot.show, snapshot.now
    cones = now.cones_of(yarn.key)
    expected_m, sure_m = now.expected_m(cones, yarn), now.sure_m(cones, yarn)
    claimed_m = sum(need.wanted_m for _, need in needs)
    return YarnRow(
        yarn=yarn,
        entry=snapshot.entries["yarns", yarn.key],
        size=label(yarn) or show.grist(yarn.grist_m_per_g),
        cones=tuple(_cone(snapshot, cone, yarn) for cone in cones),
        expected=show.yarn(expected_m),
        sure=show.yarn_there(sure_m),
        sure_m=sure_m,
        claimed=show.yarn_needed(claimed_m) if claimed_m else "",
        claims=tuple(_claim(snapshot, warp, need) for warp, need in needs),
        bar=bar(yarn.color, claimed_m, expected_m, sure_m),
        short=any(not need.enough for _, need in needs),
    )


def _claim(snapshot: Snapshot, warp: str, need: YarnNeed) -> Claim:
    took_m = need.warp_m + need.weft_m - need.wanted_m
    return Claim(
        warp=warp,
        length=snapshot.show.yarn_needed(need.wanted_m) if need.wanted_m else "",
        took=snapshot.show.yarn_needed(took_m) if took_m > 0 else "",
        short=not need.enough,
    )


def _cone(snapshot: Snapshot, cone: Cone, yarn: Yarn) -> ConeRow:
    show, now = snapshot.show, snapshot.now
    entry = snapshot.entries["cones", cone.key]
    taken_m = now.taken((cone,))
    return ConeRow(
        cone=cone,
        name=snapshot.name("cones", cone.key),
        entry=entry,
        gross=entry.fields["gross"],
        net=show.weight(cone.net_g),
        expected=show.yarn(now.expected_m((cone,), yarn)),
        sure=show.yarn_there(now.sure_m((cone,), yarn)),
        taken=show.yarn_needed(taken_m) if taken_m else "",
        day=cone.weighed,
    )


def kept(key: str) -> list[Weighing]:
    """Every weighing kept of a cone, those from a backup included, the last first.

    Whether it counts is recorded in ``mistakes``.
    """
    return kept_of([key])[key]


def kept_of(keys: Sequence[str]) -> dict[str, list[Weighing]]:
    """:func:`kept` of several cones."""
    made: dict[str, list[Weighing]] = {key: [] for key in keys}
    for change in Change.objects.filter(kind="cones", key__in=keys, after__isnull=False, undone=False):
        after: dict[str, Any] = change.after
        if change.undoes_id is None:
            one = Weighing(after.get("weighed", UNDATED), after["gross"], after["tare"], change.who)
            made[change.key].append(one)
    for record in Record.objects.filter(kind="weighings", key__in=keys):
        here = made[record.key]
        known = {(each.day, each.gross, each.tare) for each in here}
        brought = [Weighing(**each) for each in record.fields["made"] if _is_sound(each)]
        here += [each for each in brought if (each.day, each.gross, each.tare) not in known]
        here.sort(key=lambda each: each.day if each.day[:1].isdigit() else "", reverse=True)
    return made


def _is_sound(weighing: dict[str, str]) -> bool:
    """Whether its weights can be read: an earlier version accepted some that cannot."""
    try:
        return all(read(weighing[name], WEIGHT_G) >= 0 for name in ("gross", "tare"))
    except BadInput:
        return False


def weighed_before(snapshot: Snapshot, fields: dict[str, Any]) -> ConeRow | None:
    """The cone as it was, if it is heavier now than scale and tare explain; else None."""
    before = next((cone for cone in snapshot.guild.cones if cone.key == fields["key"]), None)
    if before is None or not heavier(guildfile.from_fields("cones", fields), before):
        return None
    return _cone(snapshot, before, snapshot.guild.yarn(before.yarn))


def new_cone_key(snapshot: Snapshot, yarn: str) -> str:
    """The yarn's key with the next free number; a number that was ever on a label is not used again."""
    taken = {cone.key for cone in snapshot.guild.cones}
    taken |= set(Change.objects.filter(kind="cones").values_list("key", flat=True))
    number = 1
    while f"{yarn}-{number}" in taken:
        number += 1
    return f"{yarn}-{number}"

"""Which cones gave the ends of a wound warp: stored when it is marked as wound, corrected by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import formats
from django.utils.translation import gettext as _

from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot
from loomready.model.guild import WarpOrder
from loomready.problems import BadInput
from loomready.warp.result import WarpPlan
from loomready.yarn.dates_taken import comes_off

MOST_DIGITS = 6


@dataclass(frozen=True, slots=True)
class ConeEnds:
    """A cone and the ends it gave. ``weighed``: that day's weighing, if it counts as before winding."""

    key: str
    name: str
    ends: int
    weighed: str


@dataclass(frozen=True, slots=True)
class WoundCones:
    wound: str
    rows: tuple[ConeEnds, ...]
    ends: int
    elsewhere: int


def as_planned(plan: WarpPlan | None) -> list[dict[str, Any]] | None:
    """The ends of each cone as the bouts have them; None where some end has no cone."""
    if plan is None:
        return None
    ends: dict[str, int] = {}
    for bout in plan.bouts:
        for cone, count in bout.cones:
            ends[cone] = ends.get(cone, 0) + count
    if sum(ends.values()) != plan.web.every_end:
        return None
    return [{"cone": cone, "ends": count} for cone, count in ends.items()]


def of_warp(snapshot: Snapshot, key: str) -> WoundCones | None:
    """What the page of a wound warp shows; None for a warp that is not wound or cannot be planned."""
    planned = snapshot.plan_of(key)
    if planned is None or planned.plan is None or planned.order.wound is None:
        return None
    plan, wound = planned.plan, planned.order.wound
    gave: dict[str, int] = {}
    for bout in plan.bouts:
        for cone, count in bout.cones:
            gave[cone] = gave.get(cone, 0) + count
    rows = tuple(
        ConeEnds(
            cone.key,
            snapshot.name("cones", cone.key),
            gave.get(cone.key, 0),
            _same_day(cone.weighed, wound),
        )
        for cone in snapshot.guild.cones
        if cone.yarn in planned.order.warp_yarns
    )
    return WoundCones(_said(wound), rows, plan.web.every_end, plan.web.every_end - sum(gave.values()))


def _same_day(weighed: date | None, wound: date) -> str:
    """When the cone was weighed on the day of winding, where that weighing counts as before it."""
    if not isinstance(weighed, datetime) or not isinstance(wound, datetime):
        return ""
    before = weighed.date() == wound.date() and comes_off(wound, weighed)
    return formats.time_format(weighed, "H:i") if before else ""


def _said(moment: date) -> str:
    if isinstance(moment, datetime):
        return formats.date_format(moment, "M j, Y, H:i")
    return formats.date_format(moment, "M j, Y")


def change(snapshot: Snapshot, key: str, posted: Mapping[str, str], version: int, who: str) -> None:
    """Save the ends that each cone gave as typed, or that winding came before a cone's weighing.

    :raises BadInput: a number that is none, or more ends than the warp has of a yarn
    :raises store.Conflict: somebody changed the warp since
    """
    planned, entry = snapshot.plan_of(key), snapshot.entry("warps", key)
    if planned is None or planned.plan is None or planned.order.wound is None or entry is None:
        raise BadInput(_("this warp is not wound; check the page again"))
    table = dict(entry.fields)
    before = posted.get("before")
    if before:
        table["wound"] = _before(snapshot, before, planned.order)
    else:
        table["wound_from"] = _typed(snapshot, planned.plan, posted)
        if not table["wound_from"]:
            table.pop("wound_from")
    store.write("warps", key, table, version=version, who=who)


def _before(snapshot: Snapshot, key: str, order: WarpOrder) -> str:
    """A moment before the cone's weighing on the day of winding."""
    cone = next((each for each in snapshot.guild.cones if each.key == key), None)
    if cone is None or not isinstance(cone.weighed, datetime) or order.wound is None:
        raise BadInput(_("this cone was not weighed on the day of winding; check the page again"))
    return (cone.weighed - timedelta(seconds=1)).isoformat()


def _typed(snapshot: Snapshot, plan: WarpPlan, posted: Mapping[str, str]) -> list[dict[str, Any]]:
    made, given = [], dict.fromkeys(plan.order.warp_yarns, 0)
    for cone in snapshot.guild.cones:
        text = posted.get(f"ends-{cone.key}", "").strip().replace(",", "")
        if cone.yarn not in given or text in ("", "0"):
            continue
        if not text.isdecimal() or len(text) > MOST_DIGITS:
            raise BadInput(
                _("%(cone)s: write a whole number of ends") % {"cone": snapshot.name("cones", cone.key)}
            )
        made.append({"cone": cone.key, "ends": int(text)})
        given[cone.yarn] += int(text)
    for need in plan.yarns:
        if given.get(need.yarn.key, 0) > need.warp_ends:
            words = {"n": given[need.yarn.key], "name": need.yarn.name, "all": need.warp_ends}
            raise BadInput(_("the cones of %(name)s give %(n)d ends; the warp has %(all)d of it") % words)
    # A cone that is no longer on the shelf keeps what it gave.
    there = {cone.key for cone in snapshot.guild.cones}
    made += [{"cone": e.cone, "ends": e.ends} for e in plan.order.wound_from if e.cone not in there]
    return made
